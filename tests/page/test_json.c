/* RFC 8259. The reader below is a strict recogniser of its grammar, written from the ABNF of sections 2 to 7. */
#include "base/child.h"
#include "hostile.h"
#include "page/json.h"
#include "support/check.h"

typedef struct reader {
    const char *at;
    const char *end;
} reader;

static void skip_ws(reader *r) {
    while (r->at < r->end && strchr(" \t\n\r", *r->at)) {
        r->at++;
    }
}

static bool read_word(reader *r, const char *word) {
    size_t len = strlen(word);
    if ((size_t)(r->end - r->at) < len || memcmp(r->at, word, len) != 0) {
        return false;
    }
    r->at += len;
    return true;
}

static bool read_digits(reader *r) {
    const char *from = r->at;
    while (r->at < r->end && *r->at >= '0' && *r->at <= '9') {
        r->at++;
    }
    return r->at > from;
}

static bool read_number(reader *r) {
    read_word(r, "-");
    if (!read_word(r, "0") && !read_digits(r)) {
        return false;
    }
    if (read_word(r, ".") && !read_digits(r)) {
        return false;
    }
    if (read_word(r, "e") || read_word(r, "E")) {
        if (!read_word(r, "+")) {
            read_word(r, "-");
        }
        return read_digits(r);
    }
    return true;
}

static bool read_string(reader *r) {
    if (!read_word(r, "\"")) {
        return false;
    }
    while (r->at < r->end && *r->at != '"') {
        unsigned char c = (unsigned char)*r->at++;
        if (c < 0x20) {
            return false;
        }
        if (c == '\\') {
            if (r->at == r->end || !strchr("\"\\/bfnrtu", *r->at)) {
                return false;
            }
            if (*r->at++ == 'u') {
                for (int i = 0; i < 4; i++) {
                    if (r->at == r->end || !strchr("0123456789abcdefABCDEF", *r->at++)) {
                        return false;
                    }
                }
            }
        }
    }
    return read_word(r, "\"");
}

static bool read_value(reader *r);

static bool read_list(reader *r, const char *close, bool members) {
    skip_ws(r);
    if (read_word(r, close)) {
        return true;
    }
    for (;;) {
        skip_ws(r);
        if (members) {
            if (!read_string(r)) {
                return false;
            }
            skip_ws(r);
            if (!read_word(r, ":")) {
                return false;
            }
        }
        if (!read_value(r)) {
            return false;
        }
        skip_ws(r);
        if (read_word(r, close)) {
            return true;
        }
        if (!read_word(r, ",")) {
            return false;
        }
    }
}

static bool read_value(reader *r) {
    skip_ws(r);
    if (read_word(r, "{")) {
        return read_list(r, "}", true);
    }
    if (read_word(r, "[")) {
        return read_list(r, "]", false);
    }
    if (r->at < r->end && *r->at == '"') {
        return read_string(r);
    }
    return read_word(r, "true") || read_word(r, "false") || read_word(r, "null") || read_number(r);
}

static bool is_json(ap_str text) {
    reader r = {text.ptr, text.ptr + text.len};
    if (!read_value(&r)) {
        return false;
    }
    skip_ws(&r);
    return r.at == r.end;
}

static void test_the_reader_refuses(void **state) {
    (void)state;
    static const char *const wrong[] = {"",       "{",     "[1,]", "{\"a\"}", "{\"a\":1,}", "[1 2]",     "01",
                                        "1.",     ".5",    "+1",   "nan",     "'a'",        "\"a",       "\"\\x\"",
                                        "\"\t\"", "{a:1}", "1e",   "[1]]",    "--1",        "\"\\u12\"", "tru"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        assert_false(is_json(ap_str_from(wrong[i])));
    }
}

typedef struct out {
    ap_buf buf;
    ap_sink sink;
    ap_json json;
} out;

static void out_open(out *o, bool pretty) {
    ap_buf_init(&o->buf, 1u << 20);
    o->sink = ap_sink_to_buf(&o->buf);
    ap_json_init(&o->json, &o->sink, pretty);
}

static void write_all(ap_json *json) {
    ap_json_object_begin(json);
    ap_json_put_text(json, "name", AP_STR_LIT("a"));
    ap_json_put_text(json, "none", AP_STR_NONE);
    ap_json_put_text(json, "empty", AP_STR_LIT(""));
    ap_json_put_int(json, "most", INT64_MAX);
    ap_json_put_int(json, "least", INT64_MIN);
    ap_json_put_bool(json, "yes", true);
    ap_json_put_number(json, "nan", (double)NAN);
    ap_json_put_number(json, "inf", -(double)INFINITY);
    ap_json_put_number(json, "third", 1.0 / 3);
    ap_date day = AP_DATE_NONE;
    ap_json_put_date(json, "no_day", day);
    ap_date_from_civil(&day, 2026, 10, 31);
    ap_json_put_date(json, "day", day);
    ap_json_key(json, "list");
    ap_json_array_begin(json);
    ap_json_int(json, 1);
    ap_json_null(json);
    ap_json_object_begin(json);
    ap_json_object_end(json);
    ap_json_array_begin(json);
    ap_json_array_end(json);
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        ap_json_text(json, ap_str_from(hostile_texts[i]));
    }
    ap_json_array_end(json);
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        ap_json_put_int(json, hostile_texts[i], (int64_t)i);
    }
    ap_json_object_end(json);
}

static void test_shape(void **state) {
    (void)state;
    out o;
    out_open(&o, false);
    ap_json_object_begin(&o.json);
    ap_json_put_text(&o.json, "a", AP_STR_LIT("x"));
    ap_json_key(&o.json, "b");
    ap_json_array_begin(&o.json);
    ap_json_int(&o.json, 1);
    ap_json_number(&o.json, 2.5);
    ap_json_bool(&o.json, false);
    ap_json_array_end(&o.json);
    ap_json_put_text(&o.json, "c", AP_STR_NONE);
    ap_json_object_end(&o.json);
    check_str(ap_buf_str(&o.buf), "{\"a\":\"x\",\"b\":[1,2.5,false],\"c\":null}");
    ap_buf_release(&o.buf);
    out_open(&o, true);
    ap_json_array_begin(&o.json);
    ap_json_object_begin(&o.json);
    ap_json_put_int(&o.json, "a", 1);
    ap_json_object_end(&o.json);
    ap_json_array_end(&o.json);
    check_str(ap_buf_str(&o.buf), "[\n  {\n    \"a\": 1\n  }\n]");
    ap_buf_release(&o.buf);
}

static void test_grammar(void **state) {
    (void)state;
    for (int pretty = 0; pretty < 2; pretty++) {
        out o;
        out_open(&o, pretty);
        write_all(&o.json);
        assert_true(is_json(ap_buf_str(&o.buf)));
        assert_true(ap_utf8_is_valid(ap_buf_str(&o.buf)));
        ap_buf_release(&o.buf);
    }
}

static void check_text(ap_str text, const char *want) {
    out o;
    out_open(&o, false);
    ap_json_text(&o.json, text);
    check_str(ap_buf_str(&o.buf), want);
    ap_buf_release(&o.buf);
}

static void test_strings(void **state) {
    (void)state;
    check_text(AP_STR_LIT("a\"b\\c/d"), "\"a\\\"b\\\\c/d\"");
    check_text(AP_STR_LIT("\n\r\t\b\f\0\x1B\x7F"), "\"\\n\\r\\t\\u0008\\u000c\\u0000\\u001b\\u007f\"");
    check_text(AP_STR_LIT("\xC2\x9B\xE2\x80\xAE\xE2\x80\xA8"), "\"\\u009b\\u202e\\u2028\"");
    check_text(AP_STR_LIT("\xFF樫🌳"), "\"\xEF\xBF\xBD樫🌳\"");
}

static void check_number(double value, const char *want) {
    out o;
    out_open(&o, false);
    ap_json_number(&o.json, value);
    check_str(ap_buf_str(&o.buf), want);
    assert_true(is_json(ap_buf_str(&o.buf)));
    ap_buf_release(&o.buf);
}

static void test_numbers(void **state) {
    (void)state;
    check_number(0, "0");
    check_number(4850, "4850");
    check_number(0.1, "0.1");
    check_number(-2.5, "-2.5");
    check_number(100000, "100000");
    check_number(0.30000000000000004, "0.30000000000000004");
    check_number(1e22, "1e+22");
    check_number(5e-324, "5e-324");
    check_number((double)NAN, "null");
    check_number((double)INFINITY, "null");
}

/* Any double reads back to itself. */
static void test_numbers_round_trip(void **state) {
    (void)state;
    uint64_t seed = 88172645463325252u;
    for (int i = 0; i < 200000; i++) {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        double value;
        memcpy(&value, &seed, sizeof value);
        if (!isfinite(value)) {
            continue;
        }
        out o;
        out_open(&o, false);
        ap_json_number(&o.json, value);
        assert_true(strtod(o.buf.ptr, NULL) == value);
        assert_true(is_json(ap_buf_str(&o.buf)));
        ap_buf_release(&o.buf);
    }
}

static void test_another_reader_agrees(void **state) {
    (void)state;
    out o;
    out_open(&o, true);
    write_all(&o.json);
    static const char *const argv[] = {"python3", "-m", "json.tool", NULL};
    ap_child_spec spec = {
        .argv = argv, .input = ap_buf_str(&o.buf), .output_max = 1u << 20, .errors_max = 4096, .deadline_ms = 20000};
    ap_child_result result;
    ap_error err;
    memset(&result, 0, sizeof result);
    ap_error_clear(&err);
    if (ap_child_run(&result, &spec, &err) != AP_OK || result.exit_code == 127) {
        print_message("json read by another reader: not run (no python3)\n");
    } else {
        if (result.exit_code != 0) {
            print_error("json.tool: %.*s\n", AP_STR_ARG(ap_buf_str(&result.errors)));
        }
        assert_int_equal(result.exit_code, 0);
        assert_true(is_json(ap_buf_str(&result.output)));
    }
    ap_child_result_release(&result);
    ap_buf_release(&o.buf);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_reader_refuses),
        cmocka_unit_test(test_shape),
        cmocka_unit_test(test_grammar),
        cmocka_unit_test(test_strings),
        cmocka_unit_test(test_numbers),
        cmocka_unit_test(test_numbers_round_trip),
        cmocka_unit_test(test_another_reader_agrees),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
