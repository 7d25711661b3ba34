/* Lines through points that are uncertain in both coordinates. */
#include "stats/both_errors.h"

#include "stats/numbers.h"

static ap_error err;

static void deming(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, STATS_DATA "deming_closed_form.csv");
    double *x = numbers_column(&table, "x");
    double *y = numbers_column(&table, "y");
    ap_both_line line;
    check_ok(ap_both_deming(&line, x, y, 10, 1, &err), &err);
    check_close(line.slope, 2.53247121991, 1e-11, "deming_closed_form.csv, slope");
    check_close(line.intercept, -1.32859170952, 1e-11, "deming_closed_form.csv, intercept");
    /* Neither coordinate is the better one: with x and y exchanged it is the same line. */
    ap_both_line turned;
    check_ok(ap_both_deming(&turned, y, x, 10, 1, &err), &err);
    check_close(turned.slope, 1 / line.slope, 1e-12, "the same line from the other side");
    check_close(turned.intercept, -line.intercept / line.slope, 1e-12, "the same line from the other side");
    check_ok(ap_both_deming(&line, x, y, 10, 4, &err), &err);
    check_ok(ap_both_deming(&turned, y, x, 10, 1.0 / 4, &err), &err);
    check_close(turned.slope, 1 / line.slope, 1e-12, "the same line from the other side, errors in y twice those in x");
    free(x);
    free(y);
    check_table_release(&table);
}

/* Arsenate by two instruments. The paper prints an intercept of 0.106448 and a slope of 0.973000; the file's own minimisation
 * gives 0.106448274551 and 0.972987803947, which is the paper's line to the digits it has in common. */
static void arsenate(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, STATS_DATA "eiv_arsenate.csv");
    double *x = numbers_column(&table, "aas");
    double *se_x = numbers_column(&table, "se.aas");
    double *y = numbers_column(&table, "aes");
    double *se_y = numbers_column(&table, "se.aes");
    size_t n = table.rows;
    ap_both_line line;
    assert_int_equal(n, 30);
    check_ok(ap_both_likelihood(&line, x, se_x, y, se_y, n, &err), &err);
    check_close(line.intercept, 0.106448, 5e-6, "Ripley & Thompson 1987, as eiv_arsenate.csv has it");
    check_close(line.slope, 0.973, 5e-4, "Ripley & Thompson 1987, as eiv_arsenate.csv has it");
    check_close(line.intercept, 0.106448274551, 1e-8,
                "eiv_arsenate.csv, minimised there, which stops 2e-9 from the root");
    check_close(line.slope, 0.972987803947, 1e-8, "eiv_arsenate.csv, minimised there, which stops 2e-9 from the root");
    free(x);
    free(se_x);
    free(y);
    free(se_y);
    check_table_release(&table);
}

/* With the same errors at every point the likelihood's line is Deming's. */
static void equal_errors_are_deming(void **state) {
    (void)state;
    const double x[] = {1, 2, 3, 4, 5, 6}, y[] = {2.2, 3.1, 5.4, 5.9, 8.3, 8.8};
    const double se_x[] = {.2, .2, .2, .2, .2, .2}, se_y[] = {.4, .4, .4, .4, .4, .4};
    ap_both_line one, other;
    check_ok(ap_both_deming(&one, x, y, 6, 4, &err), &err);
    check_ok(ap_both_likelihood(&other, x, se_x, y, se_y, 6, &err), &err);
    check_close(other.slope, one.slope, 1e-12, "Deming with an error variance of y four times that of x");
    check_close(other.intercept, one.intercept, 1e-11, "Deming with an error variance of y four times that of x");
}

static void refusals(void **state) {
    (void)state;
    const double x[] = {1, 2, 3, 4}, flat[] = {5, 5, 5, 5}, bad[] = {1, NAN, 3, 4}, none[] = {1, 1, 0, 1};
    const double cross_x[] = {-1, 1, 0, 0}, cross_y[] = {0, 0, -1, 1};
    ap_both_line line;
    check_refused(ap_both_deming(&line, x, x, 2, 1, &err), AP_E_DOMAIN, &err, "at least 3");
    check_refused(ap_both_deming(&line, x, bad, 4, 1, &err), AP_E_DOMAIN, &err, "value 2 of 4");
    check_refused(ap_both_deming(&line, x, x, 4, 0, &err), AP_E_DOMAIN, &err, "greater than 0");
    check_refused(ap_both_deming(&line, cross_x, cross_y, 4, 1, &err), AP_E_DOMAIN, &err, "no line");
    check_refused(ap_both_likelihood(&line, x, none, x, x, 4, &err), AP_E_DOMAIN, &err, "point 3 of 4");
    check_refused(ap_both_likelihood(&line, flat, x, flat, x, 4, &err), AP_E_DOMAIN, &err, "no line");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(deming),
        cmocka_unit_test(arsenate),
        cmocka_unit_test(equal_errors_are_deming),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
