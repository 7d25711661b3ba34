#include "stats/control.h"
#include "stats/prng.h"

#include "stats/numbers.h"

static ap_error err;

/* Montgomery's Table 9.1: CUSUM columns print two decimals, EWMA and its limits are computed to 12 digits. */
static void montgomery(void **state) {
    (void)state;
    const char *source = "cusum_ewma_montgomery_t9_1.csv";
    check_table table;
    check_table_load(&table, STATS_DATA "cusum_ewma_montgomery_t9_1.csv");
    double *x = numbers_column(&table, "x");
    ap_cusum_point sums[30];
    ap_ewma_point means[30];
    double scores[30];
    ptrdiff_t first_plus = 0, first_minus = 0;
    assert_int_equal((int)table.rows, 30);
    const ap_cusum_rule rule = {.target = 10.0, .sd = 1.0, .k = 0.5, .h = 5.0};
    check_ok(ap_cusum_run(sums, &first_plus, &first_minus, x, 30, &rule, &err), &err);
    check_ok(ap_ewma_run(means, x, 30, &(ap_ewma_rule){10.0, 1.0, 0.1, 2.7, false}, &err), &err);
    check_ok(ap_cusum_self_start(scores, x, 30, &err), &err);
    double start = 0.0;
    for (size_t i = 0; i < 30; i++) {
        check_close(sums[i].plus, check_table_number(&table, i, "cusum_plus"), 1e-9, source);
        check_close(sums[i].minus, check_table_number(&table, i, "cusum_minus"), 1e-9, source);
        assert_int_equal((int)sums[i].plus_since, (int)check_table_number(&table, i, "n_plus"));
        assert_int_equal((int)sums[i].minus_since, (int)check_table_number(&table, i, "n_minus"));
        check_close(means[i].value, check_table_number(&table, i, "ewma"), 1e-10, source);
        check_close(means[i].high, check_table_number(&table, i, "ewma_ucl"), 1e-9, source);
        check_close(means[i].low, check_table_number(&table, i, "ewma_lcl"), 1e-9, source);
        double u = i < 2 ? 0.0 : check_table_number(&table, i, "selfstart_U");
        check_close(scores[i], u, 1e-10, source);
        start = fmax(0.0, start + scores[i] - 0.5);
        check_close(start, check_table_number(&table, i, "selfstart_cusum_plus_k0.5"), 1e-10, source);
    }
    assert_int_equal((int)first_plus, 28); /* observation 29 */
    assert_int_equal((int)first_minus, AP_NO_SIGNAL);
    assert_int_equal(sums[28].side, 1);
    assert_int_equal(sums[27].side, 0);
    free(x);
    check_table_release(&table);
}

static void cusum_tables(void **state) {
    (void)state;
    static const struct {
        const char *path, *plus, *minus;
        ap_cusum_rule rule;
        ptrdiff_t first_plus;
        double tolerance;
    } sets[] = {
        {STATS_DATA "cusum_lucas_crosier1982.csv", "c_plus", NULL, {0.0, 1.0, 0.5, 5.0, 0.0}, 15, 1e-9},
        {STATS_DATA "cusum_montgomery_runger_t16_8.csv", "sH", "sL", {99.0, 1.0, 1.0, 10.0, 0.0}, AP_NO_SIGNAL, 1e-9},
        {STATS_DATA "cusum_nist_6323_recalled.csv", "Sh", "Sl", {325.0, 1.0, 0.3175, 4.1959, 0.0}, 13, 1e-9},
    };
    for (size_t s = 0; s < 3; s++) {
        check_table table;
        check_table_load(&table, sets[s].path);
        double *x = numbers_column(&table, "x");
        ap_cusum_point points[20];
        ptrdiff_t first_plus = 0, first_minus = 0;
        assert_true(table.rows <= 20);
        /* The third table's k and sums come from data that its source recalled from memory: arithmetic only. */
        check_ok(ap_cusum_run(points, &first_plus, &first_minus, x, table.rows, &sets[s].rule, &err), &err);
        for (size_t i = 0; i < table.rows; i++) {
            check_close(points[i].plus, check_table_number(&table, i, sets[s].plus), sets[s].tolerance, sets[s].path);
            if (sets[s].minus) {
                check_close(points[i].minus, check_table_number(&table, i, sets[s].minus), sets[s].tolerance,
                            sets[s].path);
            }
        }
        assert_int_equal((int)first_plus, (int)sets[s].first_plus);
        free(x);
        check_table_release(&table);
    }
}

static void cusum_clipped(void **state) {
    (void)state;
    /* By hand, k .5, clip 2: one wild value adds 1.5 and no more; the next of 0.6 adds 0.1. */
    const double x[] = {50.0, 0.6, -80.0, 9.0, 9.0, 9.0};
    const double want[] = {1.5, 1.6, 0.0, 1.5, 3.0, 4.5};
    ap_cusum_point points[6];
    ptrdiff_t plus = 0, minus = 0;
    const ap_cusum_rule rule = {0.0, 1.0, 0.5, 4.0, 2.0};
    check_ok(ap_cusum_run(points, &plus, &minus, x, 6, &rule, &err), &err);
    for (size_t i = 0; i < 6; i++) {
        check_close(points[i].plus, want[i], 1e-12, "by hand");
    }
    assert_int_equal((int)plus, 5);
    assert_int_equal((int)minus, AP_NO_SIGNAL);
    assert_int_equal((int)points[5].plus_since, 3);
    /* A sum of exactly h, come to by rounding, is not beyond it. */
    ap_cusum_point tie = {.plus = 3.9 + 1e-13};
    check_ok(ap_cusum_step(&tie, 0.6, &rule, &err), &err);
    assert_int_equal(tie.side, 0);
}

static void ewma_nist(void **state) {
    (void)state;
    const char *source = "NIST/SEMATECH e-Handbook 6.3.2.4";
    check_table table;
    check_table_load(&table, STATS_DATA "ewma_nist_6324.csv");
    double *x = numbers_column(&table, "x");
    ap_ewma_point points[20];
    assert_int_equal((int)table.rows, 20);
    check_ok(ap_ewma_run(points, x, 20, &(ap_ewma_rule){50.0, 2.0539, 0.3, 3.0, true}, &err), &err);
    for (size_t i = 0; i < 20; i++) {
        /* The handbook prints two decimals and cuts some (49.21 for 49.2116): within one unit of the last. */
        check_close(points[i].value, check_table_number(&table, i, "ewma_published"), 0.01, source);
        check_close(points[i].value, check_table_number(&table, i, "ewma_full"), 1e-10, source);
        check_close(points[i].high, 52.5884, 0.00005 + 0.0001, source);
        check_close(points[i].low, 47.4115, 0.00005 + 0.0001, source);
        assert_int_equal(points[i].side, 0);
    }
    free(x);
    check_table_release(&table);
}

static void individuals(void **state) {
    (void)state;
    check_table table;
    ap_limits limits;
    check_table_load(&table, STATS_DATA "individuals_nist_6322.csv");
    double *x = numbers_column(&table, "flowrate");
    const char *source = "individuals_nist_6322.csv";
    check_ok(ap_individuals_limits(&limits, x, table.rows, &err), &err);
    check_close(limits.center, 50.81, 1e-10, source);
    check_close(limits.spread, 1.87777777778, 1e-10, source);
    check_close(limits.high, 55.8040898345, 1e-9, source);
    check_close(limits.low, 45.8159101655, 1e-9, source);
    free(x);
    check_table_release(&table);

    check_table_load(&table, STATS_DATA "tchart_montgomery_recalled.csv");
    source = "tchart_montgomery_recalled.csv (data recalled from memory: arithmetic only)";
    double *hours = numbers_column(&table, "hours");
    for (size_t i = 0; i < table.rows; i++) {
        check_ok(ap_between_events_score(&hours[i], hours[i], &err), &err);
        check_close(hours[i], check_table_number(&table, i, "x"), 1e-10, source);
    }
    check_ok(ap_individuals_limits(&limits, hours, table.rows, &err), &err);
    check_close(limits.center, 5.38927697275, 1e-10, source);
    check_close(limits.spread, 2.36092057242, 1e-10, source);
    /* That source rounds 3 / 1.128 to 2.66, as hand calculation does. */
    check_close(limits.center + 2.66 * limits.spread, 11.6693256954, 1e-9, source);
    check_close(limits.center - 2.66 * limits.spread, -0.890771749901, 1e-9, source);
    check_close(limits.high, 11.6693256954, 0.0005 * limits.spread, source);
    free(hours);
    check_table_release(&table);
}

/* Where each rule is first completed in sequences made for the purpose. */
static void nelson_sequences(void **state) {
    (void)state;
    static const struct {
        const char *column;
        unsigned rule;
    } rules[] = {
        {"r1", AP_NELSON_BEYOND}, {"r2", AP_NELSON_RUN}, {"r5", AP_NELSON_TWO_OF_3}, {"r6", AP_NELSON_FOUR_OF_5}};
    check_table table;
    check_table_load(&table, STATS_DATA "nelson_rules_sequences.csv");
    assert_true(table.rows >= 14);
    for (size_t row = 0; row < table.rows; row++) {
        double z[80];
        ap_nelson_mark marks[80];
        size_t n = 0;
        for (ap_str rest = check_table_get(&table, row, "values"); rest.ptr && n < 80;) {
            z[n++] = strtod(ap_str_split(rest, ' ', &rest).ptr, NULL); /* stops at the blank */
        }
        check_ok(ap_nelson_marks(marks, z, n, AP_NELSON_NINE, &err), &err);
        for (size_t r = 0; r < sizeof rules / sizeof rules[0]; r++) {
            size_t first = 0;
            for (size_t i = n; i > 0; i--) {
                first = marks[i - 1].rules & rules[r].rule ? i : first;
            }
            bool never = ap_str_equal_word(check_table_get(&table, row, rules[r].column), "NA");
            size_t want = never ? 0 : (size_t)check_table_number(&table, row, rules[r].column);
            if (first != want) {
                fail_msg("row %zu, %s: first at %zu, not %zu (Nelson 1984, nelson_rules_sequences.csv)", row + 1,
                         rules[r].column, first, want);
            }
        }
    }
    check_table_release(&table);
}

/* Values until the first mark when nothing is wrong. 91.75 with eight in a row: Champ & Woodall 1987, Technometrics 29:393-399, from
 * memory; the interval is three Monte Carlo standard errors. */
static void the_rules_together_have_the_published_run_length(void **state) {
    (void)state;
    enum { REPLICATIONS = 4000, LONG = 1500 };
    double sum = 0;
    double squares = 0;
    for (uint64_t r = 0; r < REPLICATIONS; r++) {
        static double z[LONG];
        static ap_nelson_mark marks[LONG];
        ap_prng prng;
        size_t length = 0;
        ap_prng_init(&prng, 5772156649, r);
        for (size_t n = 0; n < LONG && !length;) {
            for (size_t k = 0; k < 150; k++) {
                z[n++] = ap_prng_normal(&prng);
            }
            check_ok(ap_nelson_marks(marks, z, n, 8, &err), &err);
            for (size_t i = n - 150; i < n && !length; i++) {
                length = marks[i].rules ? i + 1 : 0;
            }
        }
        double run = length ? (double)length : LONG; /* exp(-16) of them */
        sum += run;
        squares += run * run;
    }
    double mean = sum / REPLICATIONS;
    double error = sqrt((squares / REPLICATIONS - mean * mean) / REPLICATIONS);
    print_message("rules 1, 2 (eight), 5, 6: 91.75 published, %.2f here, Monte Carlo error %.2f\n", mean, error);
    check_close(mean, 91.75, 3 * error, "Champ & Woodall 1987, from memory");
}

static void u_limits(void **state) {
    (void)state;
    ap_limits limits;
    /* 48 in 120 units: u = .4; a group of 25: .4 +- 3 sqrt(.016), by hand */
    check_ok(ap_u_limits(&limits, 48.0, 120.0, 25.0, &err), &err);
    check_close(limits.center, 0.4, 1e-12, "Montgomery 7.3, by hand");
    check_close(limits.high, 0.4 + 3.0 * sqrt(0.016), 1e-12, "Montgomery 7.3, by hand");
    check_close(limits.low, 0.4 - 3.0 * sqrt(0.016), 1e-12, "Montgomery 7.3, by hand");
    check_ok(ap_u_limits(&limits, 40.0, 100.0, 13.0, &err), &err);
    check_close(limits.low, 0.0, 0.0, "not below 0");
    check_refused(ap_u_limits(&limits, 48.0, 120.0, 12.0, &err), AP_E_DOMAIN, &err, "5 expected");
    check_refused(ap_u_limits(&limits, 0.0, 120.0, 12.0, &err), AP_E_DOMAIN, &err, "5 expected");
    check_refused(ap_u_limits(&limits, 1.0, 0.0, 12.0, &err), AP_E_DOMAIN, &err, "above 0");
}

static void self_start_edges(void **state) {
    (void)state;
    const double equal[] = {5.0, 5.0, 5.0, 5.0, 6.0};
    double scores[5];
    check_ok(ap_cusum_self_start(scores, equal, 5, &err), &err);
    check_close(scores[3], 0.0, 0.0, "equal to all before");
    check_close(scores[4], 8.0, 0.0, "documented");
    const double wild[] = {0.0, 1.0, 0.5, 1e300, -1e300};
    check_ok(ap_cusum_self_start(scores, wild, 4, &err), &err);
    assert_true(isfinite(scores[3]) && scores[3] > 2.0);
}

static void refusals(void **state) {
    (void)state;
    const double bad[] = {1.0, NAN};
    const double equal[] = {1.0, 1.0, 1.0};
    ap_cusum_point points[3] = {{0}};
    ap_ewma_point means[3];
    ap_limits limits;
    double score = 0.0;
    ptrdiff_t plus = 0, minus = 0;
    const ap_cusum_rule rule = {0.0, 1.0, 0.5, 4.0, 0.0};
    check_refused(ap_cusum_run(points, &plus, &minus, bad, 2, &rule, &err), AP_E_DOMAIN, &err, "value 2 of 2");
    check_refused(ap_cusum_run(points, &plus, &minus, equal, 0, &rule, &err), AP_E_DOMAIN, &err, "at least 1");
    check_refused(ap_cusum_run(points, &plus, &minus, equal, 3, &(ap_cusum_rule){0.0, 0.0, 0.5, 4.0, 0.0}, &err),
                  AP_E_DOMAIN, &err, "sd and h above 0");
    check_refused(ap_cusum_step(points, INFINITY, &rule, &err), AP_E_DOMAIN, &err, "finite");
    check_refused(ap_ewma_run(means, equal, 3, &(ap_ewma_rule){0.0, 1.0, 0.0, 3.0, true}, &err), AP_E_DOMAIN, &err,
                  "0..1");
    check_refused(ap_ewma_run(means, equal, 0, &(ap_ewma_rule){0.0, 1.0, 0.2, 3.0, true}, &err), AP_E_DOMAIN, &err,
                  "at least 1");
    check_refused(ap_cusum_self_start(&score, NULL, 0, &err), AP_E_DOMAIN, &err, "at least 1");
    check_refused(ap_individuals_limits(&limits, equal, 3, &err), AP_E_DOMAIN, &err, "differ");
    check_refused(ap_individuals_limits(&limits, equal, 1, &err), AP_E_DOMAIN, &err, "at least 2");
    ap_nelson_mark mark;
    check_refused(ap_nelson_marks(&mark, &(double){NAN}, 1, 9, &err), AP_E_DOMAIN, &err, "Nelson's rules");
    check_refused(ap_nelson_marks(&mark, &(double){1}, 1, 0, &err), AP_E_DOMAIN, &err, "at least one");
    check_refused(ap_between_events_score(&score, -1.0, &err), AP_E_DOMAIN, &err, "0 or more");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(montgomery),
        cmocka_unit_test(cusum_tables),
        cmocka_unit_test(cusum_clipped),
        cmocka_unit_test(ewma_nist),
        cmocka_unit_test(individuals),
        cmocka_unit_test(u_limits),
        cmocka_unit_test(self_start_edges),
        cmocka_unit_test(nelson_sequences),
        cmocka_unit_test(the_rules_together_have_the_published_run_length),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
