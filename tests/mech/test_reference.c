/* Every row of the reference table is checked somewhere; and the rows that belong to no formula of mech/. */
#include "support/check.h"

#include "base/sink.h"
#include "stats/control.h"

enum { REFERENCE_ROWS = 54 };

/* "B01" names B01, B01f and B01g, not B011. */
static bool names(ap_str id, ap_str row) {
    return ap_str_starts(id, row) && (id.len == row.len || id.ptr[row.len] < '0' || id.ptr[row.len] > '9');
}

static bool value_of(const check_table *values, ap_str id) {
    for (size_t row = 0; row < values->rows; row++)
        if (names(check_table_get(values, row, "id"), id))
            return true;
    return false;
}

static bool file_names(ap_str path, ap_str id) {
    ap_buf text;
    ap_error err;
    char name[128];
    char word[16];
    snprintf(name, sizeof name, "%.*s", AP_STR_ARG(path));
    snprintf(word, sizeof word, "%.*s", AP_STR_ARG(id));
    ap_buf_init(&text, 1u << 20);
    check_ok(ap_file_read(&text, name, 1u << 20, &err), &err);
    bool found = strstr(text.ptr, word) != NULL;
    ap_buf_release(&text);
    return found;
}

static void every_row_of_the_reference_table_is_checked(void **state) {
    (void)state;
    check_table rows;
    check_table values;
    check_table_load(&rows, "tests/mech/reference_rows.csv");
    check_table_load(&values, "tests/mech/check_values.csv");
    size_t covered = 0;
    for (size_t row = 0; row < rows.rows; row++) {
        ap_str id = check_table_get(&rows, row, "id");
        ap_str where = check_table_get(&rows, row, "where");
        if (where.len ? !file_names(where, id) : !value_of(&values, id))
            fail_msg("reference row %.*s is checked nowhere", AP_STR_ARG(id));
        covered++;
    }
    assert_int_equal(covered, REFERENCE_ROWS);
    check_table_release(&values);
    check_table_release(&rows);
}

/* L01: Pyzdek & Keller, Handbook for Quality Management, Table 9.4; the limits with its 2.66, where d2 = 1.128 gives
 * 3/1.128 = 2.6596: apart by less than 0.0005 mean ranges. */
static void individuals_of_table_9_4(void **state) {
    (void)state;
    static const double values[25] = {110, 103, 97,  96, 105, 110, 100, 93, 90,  103, 97,  103, 90,
                                      97,  99,  106, 90, 96,  109, 90,  91, 108, 96,  101, 96};
    ap_limits limits;
    ap_error err = {0};
    check_ok(ap_individuals_limits(&limits, values, 25, &err), &err);
    check_close(limits.center, 99.04, 0.001, "L01 Pyzdek & Keller Table 9.4");
    check_close(limits.spread, 8.16667, 0.00001, "L01 Pyzdek & Keller Table 9.4, mean moving range");
    check_close(limits.low, 77.317, 0.0005 * 8.2, "L01 with the handbook's 2.66");
    check_close(limits.high, 120.763, 0.0005 * 8.2, "L01 with the handbook's 2.66");
}

/* L03: NIST/SEMATECH e-Handbook 6.3.3.1, from memory: a mean count of 16 has limits 4 and 28. */
static void a_mean_count_of_sixteen(void **state) {
    (void)state;
    ap_limits limits;
    ap_error err = {0};
    check_ok(ap_u_limits(&limits, 16.0, 1.0, 1.0, &err), &err);
    check_close(limits.low, 4.0, 0.0, "L03 NIST/SEMATECH 6.3.3.1, from memory");
    check_close(limits.high, 28.0, 0.0, "L03 NIST/SEMATECH 6.3.3.1, from memory");
}

/* L04: 19 events on 242 picks give u = 0.0785124; at 42 picks a month 3.3 are expected, fewer than the 5 that the
 * normal limits need: the reference's 0.2082 is not drawn, the month is refused. With twice the picks of six such
 * months it is the same u. */
static void too_few_expected_are_refused(void **state) {
    (void)state;
    ap_limits limits = {.center = -7.0};
    ap_error err = {0};
    check_refused(ap_u_limits(&limits, 19.0, 242.0, 42.0, &err), AP_E_DOMAIN, &err, "5");
    assert_true(limits.center == -7.0);
    check_ok(ap_u_limits(&limits, 19.0, 242.0, 84.0, &err), &err);
    check_close(limits.center, 0.0785124, 1e-7, "L04 derived: ubar");
    /* The half width goes with 1/sqrt(picks): 0.2082 at 42 picks, from its own two figures. */
    check_close((limits.high - limits.center) * sqrt(2.0), 0.2082 - 0.0785124, 0.0001,
                "L04 derived: limit at 42 picks");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_of_the_reference_table_is_checked),
        cmocka_unit_test(individuals_of_table_9_4),
        cmocka_unit_test(a_mean_count_of_sixteen),
        cmocka_unit_test(too_few_expected_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
