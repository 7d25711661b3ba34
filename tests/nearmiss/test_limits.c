/* The list of limits against the rows of a fresh book: every limit has its row, a value within its bounds, a reason and a source; every
 * detector has its rule; impossible values are refused; a change leaves its history. */
#include "followup/finding.h"
#include "support/limits.h"

static void every_limit_is_a_row_with_reason_and_source(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_rule_row *rows = NULL;
    size_t count = 0;
    ap_error err;
    fixture_make(&it);
    ap_arena_init(&arena, 1u << 20);
    check_ok(ap_book_rules(&rows, &count, &arena, it.book, &err), &err);
    for (size_t l = 0; l < ap_limit_count(); l++) {
        const ap_limit *limit = ap_limit_get(l);
        const ap_rule_row *row = NULL;
        for (size_t r = 0; r < count; r++) {
            if (ap_str_equal_word(rows[r].name, limit->rule) && ap_str_equal_word(rows[r].key, limit->key)) {
                row = &rows[r];
            }
        }
        assert_non_null(row);
        assert_true(row->number >= limit->low && row->number <= limit->high);
        assert_true(row->reason.len > 10 && row->source.len > 10);
        assert_true(ap_str_equal(row->value, row->shipped));
        assert_non_null(ap_rule_find(ap_str_from(limit->rule)));
    }
    for (int d = 0; d < AP_DETECT_COUNT; d++) {
        assert_non_null(ap_rule_find(ap_str_from(ap_detector_name((ap_detector_id)d))));
    }
    ap_arena_release(&arena);
    fixture_remove(&it);
}

static void impossible_limits_are_refused_and_changes_are_kept(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_rule_limits limits;
    ap_rule_change *changes = NULL;
    size_t count = 0;
    ap_error err;
    const ap_book_author author = fixture_author();
    const ap_str why = AP_STR_LIT("a test");
    const ap_limit *length = ap_limit_find(AP_STR_LIT("heavier-run"), AP_STR_LIT("length"));
    const ap_limit *angle = ap_limit_find(AP_STR_LIT("leg"), AP_STR_LIT("angle"));
    fixture_make(&it);
    ap_arena_init(&arena, 1u << 20);
    check_ok(ap_book_begin(it.book, &err), &err);
    check_refused(ap_limit_change(it.book, length, 3, AP_UNITS_METRIC, why, &author, &err), AP_E_INPUT, &err,
                  "from 4 to 12");
    check_refused(ap_limit_change(it.book, length, 4.5, AP_UNITS_METRIC, why, &author, &err), AP_E_INPUT, &err,
                  "whole number");
    check_refused(ap_limit_change(it.book, angle, 61, AP_UNITS_METRIC, why, &author, &err), AP_E_INPUT, &err,
                  "60 degrees");
    check_refused(ap_limit_change(it.book, angle, NAN, AP_UNITS_METRIC, why, &author, &err), AP_E_INPUT, &err,
                  "5 degrees");
    const ap_limit *distance = ap_limit_find(AP_STR_LIT("moved"), AP_STR_LIT("distance"));
    const ap_limit *row = ap_limit_find(AP_STR_LIT("pencil"), AP_STR_LIT("row"));
    const ap_limit *past = ap_limit_find(AP_STR_LIT("silence"), AP_STR_LIT("past"));
    const ap_limit *found = ap_limit_find(AP_STR_LIT("chance"), AP_STR_LIT("discoveries"));
    check_refused(ap_limit_change(it.book, distance, 0.05, AP_UNITS_METRIC, why, &author, &err), AP_E_INPUT, &err,
                  "from 0.1 m to 10 m");
    /* 10 m = 32.8 ft (the foot is .3048 m exactly, NIST SP 811 B.8). */
    check_refused(ap_limit_change(it.book, distance, INFINITY, AP_UNITS_US, why, &author, &err), AP_E_INPUT, &err,
                  "to 32.8 ft");
    check_refused(ap_limit_change(it.book, row, 3.5, AP_UNITS_US, why, &author, &err), AP_E_INPUT, &err,
                  "number of picks: a whole number");
    check_refused(ap_limit_change(it.book, past, 90.5, AP_UNITS_US, why, &author, &err), AP_E_INPUT, &err,
                  "number of days: a whole number");
    check_refused(ap_limit_change(it.book, found, 1.5, AP_UNITS_US, why, &author, &err), AP_E_INPUT, &err, "to 50 %");
    check_ok(ap_limit_change(it.book, length, 6, AP_UNITS_METRIC, why, &author, &err), &err);
    check_ok(ap_limit_change(it.book, length, 5, AP_UNITS_METRIC, why, &author, &err), &err);
    check_ok(ap_book_commit(it.book, &err), &err);
    check_ok(ap_limits_read(&limits, it.book, &err), &err);
    check_close(limits.run_length, 5, 0, "what was set last");
    check_ok(ap_book_rule_history(&changes, &count, &arena, it.book, AP_STR_LIT("heavier-run"), &err), &err);
    assert_int_equal(count, 2);
    check_str(changes[0].old_value, "4");
    check_str(changes[0].new_value, "6");
    check_str(changes[1].old_value, "6");
    /* Written past the program: a book that says something impossible is not read as if it did not. */
    static const char *const impossible[] = {"-1", "0", "1e300", "'four'", "''", "9e999", "'4 m'", "'4x'", "'nan'"};
    for (size_t i = 0; i < sizeof impossible / sizeof impossible[0]; i++) {
        char sql[160];
        snprintf(sql, sizeof sql, "UPDATE rule SET value = %s WHERE name = 'drift' AND key = 'limit'", impossible[i]);
        fixture_change(&it, sql);
        check_refused(ap_limits_read(&limits, it.book, &err), AP_E_BOOK, &err, "afterpick rule set drift limit=VALUE");
    }
    fixture_change(&it, "UPDATE rule SET value = '4' WHERE name = 'drift' AND key = 'limit'");
    check_ok(ap_limits_read(&limits, it.book, &err), &err);
    fixture_change(&it, "DELETE FROM rule WHERE name = 'shock'");
    check_refused(ap_limits_read(&limits, it.book, &err), AP_E_BOOK, &err, "afterpick rule set shock ratio=VALUE");
    ap_arena_release(&arena);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_limit_is_a_row_with_reason_and_source),
        cmocka_unit_test(impossible_limits_are_refused_and_changes_are_kept),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
