/* JSON Lines and plain lines. The grammar is RFC 8259's; sections are named beside the checks. */
#include "support/check.h"
#include "text/json_lines.h"

typedef struct feed {
    ap_str rest;
    size_t piece;
} feed;

static ap_status feed_read(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    (void)err;
    feed *from = context;
    size_t len = from->rest.len < from->piece ? from->rest.len : from->piece;
    *got = len < cap ? len : cap;
    if (*got) {
        memcpy(bytes, from->rest.ptr, *got);
        from->rest.ptr += *got;
        from->rest.len -= *got;
    }
    return AP_OK;
}

typedef struct reader {
    feed keys_from, from;
    ap_json_keys *keys;
    ap_json_lines *json;
    ap_row row;
    ap_error err;
} reader;

static void open_text(reader *r, const char *text) {
    memset(r, 0, sizeof *r);
    r->keys_from = r->from = (feed){ap_str_from(text), 7};
    bool more = false;
    check_ok(ap_json_keys_read(&r->keys, feed_read, &r->keys_from, &r->err), &r->err);
    check_ok(ap_json_lines_new(&r->json, feed_read, &r->from, r->keys, &r->err), &r->err);
    check_ok(ap_json_lines_next(&r->row, &more, r->json, &r->err), &r->err);
    assert_true(more && r->row.line == 0);
}

static bool next(reader *r) {
    bool more = false;
    check_ok(ap_json_lines_next(&r->row, &more, r->json, &r->err), &r->err);
    return more;
}

static void close_text(reader *r) {
    ap_json_lines_free(r->json);
    ap_json_keys_free(r->keys);
}

static void keys_of_the_whole_file_are_the_header(void **state) {
    (void)state;
    reader r;
    open_text(&r, "{\"b\": 1, \"a\": \"x\"}\n\n{\"c\":true,\"a\":null}\r\n");
    assert_int_equal(r.row.count, 3);
    check_str(r.row.cells[0], "b");
    check_str(r.row.cells[1], "a");
    check_str(r.row.cells[2], "c");
    assert_true(next(&r));
    check_str(r.row.cells[0], "1");
    check_str(r.row.cells[1], "x");
    check_str(r.row.cells[2], "");
    assert_true(next(&r) && r.row.line == 2 && !r.row.trouble);
    assert_true(next(&r) && r.row.line == 3);
    check_str(r.row.cells[1], "");
    check_str(r.row.cells[2], "true");
    assert_false(next(&r));
    close_text(&r);
}

static void texts_and_numbers(void **state) {
    (void)state;
    reader r;
    /* RFC 8259 section 7: the G clef U+1D11E is "\uD834\uDD1E"; section 6: numbers. */
    open_text(&r, "{\"a\": \"\\uD834\\uDD1E \\\"q\\\" \\\\ \\/ \\t\", \"b\": -0.5e+10}\n");
    assert_true(next(&r));
    check_str(r.row.cells[0], "\xF0\x9D\x84\x9E \"q\" \\ / \t");
    check_str(r.row.cells[1], "-0.5e+10");
    close_text(&r);
}

static void what_is_no_object_is_that_lines_trouble(void **state) {
    (void)state;
    static const struct {
        const char *line;
        const char *says;
    } bad[] = {
        {"[1]", "a list, not an object"},
        {"7", "not an object"},
        {"{\"a\": {\"b\": 1}}", "an object inside the object"},
        {"{\"a\": [1]}", "a list inside the object"},
        {"{\"a\": 01}", "not a number"},             /* section 6: no leading zeros */
        {"{\"a\": .5}", "neither a text, a number"}, /* section 6 */
        {"{\"a\": 1.}", "digits must follow the point"},
        {"{\"a\": NaN}", "neither a text, a number"}, /* section 6: not permitted */
        {"{\"a\": tru}", "neither a text, a number"},
        {"{'a': 1}", "a text in double quotes is expected"},
        {"{\"a\": \"x", "never closed"},
        {"{\"a\": \"\\x\"}", "no such escape"},
        {"{\"a\": \"\\uD834\"}", "half of a surrogate pair"},
        {"{\"a\": \"\\u0000\"}", "a NUL character"},
        {"{\"a\": \"\x01\"}", "a control character in a text"}, /* section 7 */
        {"{\"a\": 1,}", "a text in double quotes is expected"},
        {"{\"a\": 1} {}", "text behind the object"},
        {"{\"a\": 1, \"a\": 2}", "the key 'a' stands twice"},
        {"{\"a\" 1}", "a colon is expected"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        char text[200];
        reader r;
        snprintf(text, sizeof text, "{\"a\": 1}\n%s\n{\"a\": 2}\n", bad[i].line);
        open_text(&r, text);
        assert_true(next(&r) && !r.row.trouble);
        assert_true(next(&r));
        if (!r.row.trouble || !strstr(r.row.trouble, bad[i].says)) {
            fail_msg("%s: '%s', wanted '%s'", bad[i].line, r.row.trouble ? r.row.trouble : "fine", bad[i].says);
        }
        check_str(r.row.raw, bad[i].line);
        assert_true(next(&r) && !r.row.trouble); /* the reader goes on behind it */
        check_str(r.row.cells[0], "2");
        close_text(&r);
    }
}

static void the_column_of_the_trouble(void **state) {
    (void)state;
    reader r;
    open_text(&r, "{\"a\": 1, \"b\": 2}\n{\"a\": 1, \"b\": []}\n");
    assert_true(next(&r) && next(&r));
    assert_int_equal(r.row.trouble_cell, 1);
    assert_non_null(strstr(r.row.trouble, "byte 15"));
    close_text(&r);
}

static void what_looks_like_json(void **state) {
    (void)state;
    assert_true(ap_json_lines_looks_so(AP_STR_LIT("\xEF\xBB\xBF \n {\"a\"")));
    assert_true(ap_json_lines_looks_so(AP_STR_LIT("\xFF\xFE{\0\"\0")));
    assert_false(ap_json_lines_looks_so(AP_STR_LIT("job,date\n{")));
    assert_false(ap_json_lines_looks_so(AP_STR_LIT("")));
}

static void lines_of_every_kind(void **state) {
    (void)state;
    static const char text[] = "one\r\ntwo\rthree\n\nlonger than eight\r\nlast";
    for (size_t piece = 1; piece < 9; piece++) {
        feed from = {{text, sizeof text - 1}, piece};
        ap_lines *lines = NULL;
        ap_line line;
        bool more = false;
        ap_error err;
        static const char *const want[] = {"one", "two", "three", "", "longer t", "last"};
        check_ok(ap_lines_new(&lines, feed_read, &from, 8, &err), &err);
        for (size_t i = 0; i < 6; i++) {
            check_ok(ap_lines_next(&line, &more, lines, &err), &err);
            assert_true(more);
            check_str(line.text, want[i]);
            assert_int_equal(line.number, i + 1);
            assert_true((line.trouble != NULL) == (i == 4));
        }
        check_ok(ap_lines_next(&line, &more, lines, &err), &err);
        assert_false(more);
        ap_lines_free(lines);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_of_the_whole_file_are_the_header),
        cmocka_unit_test(texts_and_numbers),
        cmocka_unit_test(what_is_no_object_is_that_lines_trouble),
        cmocka_unit_test(the_column_of_the_trouble),
        cmocka_unit_test(what_looks_like_json),
        cmocka_unit_test(lines_of_every_kind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
