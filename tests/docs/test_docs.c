/* The documents name what the one field table names. */
#include "support/check.h"

#include "base/pick.h"
#include "base/sink.h"

static void read_doc(ap_buf *text, const char *path) {
    ap_error err;
    ap_buf_init(text, 1u << 20);
    check_ok(ap_file_read(text, path, 1u << 20, &err), &err);
}

static void every_column_is_in_the_log_document(void **state) {
    (void)state;
    ap_buf text;
    read_doc(&text, "docs/log.md");
    for (int column = 0; column < AP_F_COUNT + AP_LF_COUNT; column++) {
        const ap_field *field = ap_field_get(column);
        char wanted[96];
        bool leg = field->leg > 0;
        snprintf(wanted, sizeof wanted, "| `%s%s` |", leg ? "leg_i_" : "",
                 leg ? field->name + strlen("leg_1_") : field->name);
        if (!strstr(text.ptr, wanted)) {
            fail_msg("docs/log.md does not name %s", wanted);
        }
        for (int word = 1; field->vocabulary && word <= ap_word_count(field->vocabulary); word++) {
            snprintf(wanted, sizeof wanted, "`%s`", ap_word_get(field->vocabulary, word));
            if (!strstr(text.ptr, wanted)) {
                fail_msg("docs/log.md does not name the word %s", wanted);
            }
        }
    }
    ap_buf_release(&text);
}

static void the_log_document_names_nothing_else(void **state) {
    (void)state;
    ap_buf text;
    read_doc(&text, "docs/log.md");
    size_t rows = 0;
    for (const char *at = strstr(text.ptr, "\n| `"); at; at = strstr(at + 1, "\n| `")) {
        ap_str name = ap_str_split(ap_str_from(at + strlen("\n| `")), '`', &(ap_str){0});
        char canonical[64];
        bool leg = ap_str_starts(name, AP_STR_LIT("leg_i_"));
        snprintf(canonical, sizeof canonical, "%s%.*s", leg ? "leg_1_" : "", (int)(name.len - (leg ? 6 : 0)),
                 name.ptr + (leg ? 6 : 0));
        if (ap_field_find(ap_str_from(canonical)) < 0) {
            fail_msg("docs/log.md names '%s', which is no column", canonical);
        }
        rows++;
    }
    assert_int_equal(rows, AP_F_COUNT + AP_LF_COUNT);
    ap_buf_release(&text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_column_is_in_the_log_document),
        cmocka_unit_test(the_log_document_names_nothing_else),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
