#include "stats/tolerance.h"

#include "stats/noncentral_t.h"
#include "stats/numbers.h"
#include "stats/prng.h"

static ap_error err;

static void noncentral_t(void **state) {
    (void)state;
    double lower = 0.0, upper = 0.0, t = 0.0;
    /* Central: NIST/SEMATECH e-Handbook 1.3.6.7.2, three decimals. */
    static const double central[][3] = {{1, 0.95, 6.314}, {5, 0.975, 2.571}, {10, 0.99, 2.764}, {100, 0.999, 3.174}};
    for (size_t i = 0; i < 4; i++) {
        check_ok(ap_noncentral_t_quantile(&t, central[i][1], central[i][0], 0.0, &err), &err);
        check_close(t, central[i][2], 0.0005001, "NIST e-Handbook 1.3.6.7.2");
    }
    /* nu = 1, closed form P(T <= 0) = Phi(-delta); any nu. */
    check_ok(ap_noncentral_t_share(&lower, &upper, 0.0, 1.0, 2.0, &err), &err);
    check_close(lower, 0.5 * erfc(2.0 / sqrt(2.0)), 1e-14, "T <= 0 exactly when Z <= -delta");
    check_close(lower + upper, 1.0, 1e-14, "the two sides make one");
    /* Reflection: P(T <= t; delta) = P(T > -t; -delta). */
    double other = 0.0;
    check_ok(ap_noncentral_t_share(&lower, NULL, 1.7, 3.3, 0.9, &err), &err);
    check_ok(ap_noncentral_t_share(NULL, &other, -1.7, 3.3, -0.9, &err), &err);
    check_close(lower, other, 1e-14, "reflection");
    /* Many degrees of freedom: the normal. */
    check_ok(ap_noncentral_t_share(&lower, NULL, 2.0, 1e9, 1.0, &err), &err);
    check_close(lower, 0.5 * erfc(-1.0 / sqrt(2.0)), 1e-8, "limit of many degrees of freedom");
    for (double p = 0.001; p < 1.0; p += 0.0499) {
        check_ok(ap_noncentral_t_quantile(&t, p, 4.7, 6.1, &err), &err);
        check_ok(ap_noncentral_t_share(&lower, NULL, t, 4.7, 6.1, &err), &err);
        check_close(lower, p, 1e-11, "quantile and probability undo each other");
    }
    check_refused(ap_noncentral_t_quantile(&t, 0.9, 0.0, 1.0, &err), AP_E_DOMAIN, &err, "degrees of freedom");
    check_refused(ap_noncentral_t_quantile(&t, 0.9, 3.0, NAN, &err), AP_E_DOMAIN, &err, "shift");
    check_refused(ap_noncentral_t_quantile(&t, 1.0, 3.0, 1.0, &err), AP_E_DOMAIN, &err, "between 0 and 1");
    check_refused(ap_noncentral_t_share(&lower, NULL, INFINITY, 3.0, 1.0, &err), AP_E_DOMAIN, &err, "finite t");
}

/* Both tables were computed to 11 decimals by a general-purpose package whose own root search stops near 1e-9; the
 * README of the tables gives k to 1e-7. */
static void factors(void **state) {
    (void)state;
    check_table table;
    double k = 0.0;
    size_t compared = 0;
    check_table_load(&table, STATS_DATA "tolerance_k_onesided.csv");
    assert_true(table.rows > 200);
    for (size_t row = 0; row < table.rows; row++) {
        double want = check_table_number(&table, row, "k");
        if (check_table_number(&table, row, "n") >= 300.0 && check_table_number(&table, row, "content") >= 0.99) {
            continue; /* approximated in the source: tolerance_k_large_shift.csv says how, and has the values */
        }
        compared++;
        check_ok(ap_tolerance_factor_sample(&k, check_table_number(&table, row, "content"),
                                            check_table_number(&table, row, "conf"),
                                            (size_t)check_table_number(&table, row, "n"), &err),
                 &err);
        check_close(k, want, 1e-7 * want, "tolerance_k_onesided.csv");
    }
    assert_int_equal((int)compared, (int)table.rows - 5);
    check_table_release(&table);
    check_table_load(&table, STATS_DATA "tolerance_k_large_shift.csv");
    for (size_t row = 0; row < table.rows; row++) {
        check_ok(ap_tolerance_factor_sample(&k, check_table_number(&table, row, "content"),
                                            check_table_number(&table, row, "conf"),
                                            (size_t)check_table_number(&table, row, "n"), &err),
                 &err);
        check_close(k, check_table_number(&table, row, "k"), 1e-9, "tolerance_k_large_shift.csv");
    }
    check_table_release(&table);
    check_table_load(&table, STATS_DATA "tolerance_k_pooled_sd.csv");
    assert_true(table.rows > 200);
    for (size_t row = 0; row < table.rows; row++) {
        double want = check_table_number(&table, row, "k");
        check_ok(ap_tolerance_factor(&k, check_table_number(&table, row, "content"),
                                     check_table_number(&table, row, "conf"), check_table_number(&table, row, "n"),
                                     check_table_number(&table, row, "pooled_df"), &err),
                 &err);
        check_close(k, want, 1e-7 * want, "tolerance_k_pooled_sd.csv");
    }
    check_table_release(&table);
    static const struct {
        size_t n;
        double content, confidence, k, half_digit;
        const char *source;
    } published[] = {
        {8, 0.95, 0.95, 3.187294, 5e-7, "EPA 530/R-09-007 Example 17-3"},
        {20, 0.99, 0.90, 3.051543, 5e-7, "EnvStats manual, one-sided factor"},
        {43, 0.90, 0.99, 1.8740, 5e-5, "NIST e-Handbook 7.2.6.3"},
        {6, 0.90, 0.99, 4.4111, 5e-5, "NIST e-Handbook 7.2.6.3"},
    };
    for (size_t i = 0; i < 4; i++) {
        check_ok(ap_tolerance_factor_sample(&k, published[i].content, published[i].confidence, published[i].n, &err),
                 &err);
        check_close(k, published[i].k, 1.01 * published[i].half_digit, published[i].source);
    }
}

static void chrysene(void **state) {
    (void)state;
    check_table table;
    double bound = 0.0;
    check_table_load(&table, STATS_DATA "tolerance_chrysene.csv");
    double *x = numbers_column(&table, "chrysene_ppb");
    size_t n = table.rows;
    for (size_t i = 0; i < n; i++) {
        x[i] = log(x[i]);
    }
    check_ok(ap_tolerance_upper(&bound, x, n, 0.95, 0.95, &err), &err);
    check_close(bound, 4.510032, 5.1e-7, "EPA 530/R-09-007 Example 17-3 p.17-17");
    check_close(exp(bound), 90.9247, 5.1e-5, "EPA 530/R-09-007 Example 17-3 p.17-17");
    check_table_release(&table);
    check_table_load(&table, STATS_DATA "prediction_chrysene.csv");
    check_ok(ap_prediction_upper(&bound, x, n, 0.95, &err), &err);
    check_close(bound, check_table_number(&table, 0, "value"), 1e-10, "prediction_chrysene.csv");
    check_close(exp(bound), check_table_number(&table, 1, "value"), 1e-8, "prediction_chrysene.csv");
    check_table_release(&table);
    free(x);
}

static void nonparametric(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, STATS_DATA "tolerance_nonparametric_n.csv");
    for (size_t row = 0; row < table.rows; row++) {
        size_t n = 0;
        check_ok(ap_nonparametric_count(&n, check_table_number(&table, row, "content"),
                                        check_table_number(&table, row, "conf"),
                                        (size_t)check_table_number(&table, row, "m_from_top"), &err),
                 &err);
        assert_int_equal((int)n, (int)check_table_number(&table, row, "n_min"));
    }
    check_table_release(&table);
    double content = 0.0;
    check_ok(ap_nonparametric_content(&content, 24, 1, 0.95, &err), &err);
    check_close(content, 0.8826538, 5.1e-8, "EPA 530/R-09-007 Example 17-4 p.17-21");

    double x[93];
    for (size_t i = 0; i < 93; i++) {
        x[(i * 40) % 93] = (double)(i + 1);
    }
    ap_nonparametric bound;
    check_ok(ap_nonparametric_upper(&bound, x, 93, 0.95, 0.95, &err), &err);
    check_close(bound.value, 92.0, 0.0, "93 values: the second largest (tolerance_nonparametric_n.csv)");
    assert_int_equal((int)bound.from_top, 2);
    assert_true(bound.confidence >= 0.95);
    check_refused(ap_nonparametric_upper(&bound, x, 58, 0.95, 0.95, &err), AP_E_DOMAIN, &err, "only from 59 values");
}

/* The planning factor by its meaning, not its formula: in 4000 simulated books the bound covers the content in at least
 * the stated share of them. Trees' means with picks inside: m and nu from the balanced design, so that the factor is
 * exact. Seed fixed; the band is four standard errors. */
static void content_by_simulation(void **state) {
    (void)state;
    enum { BOOKS = 4000, TREES = 7 };
    const double content = 0.95, confidence = 0.90;
    double k = 0.0;
    check_ok(ap_tolerance_factor(&k, content, confidence, TREES, TREES - 1, &err), &err);
    ap_prng prng;
    ap_prng_init(&prng, 20240501, 0);
    int covered = 0;
    for (int book = 0; book < BOOKS; book++) {
        double sum = 0.0, squares = 0.0;
        for (int tree = 0; tree < TREES; tree++) {
            double x = ap_prng_normal(&prng);
            sum += x;
            squares += x * x;
        }
        double mean = sum / TREES;
        double sd = sqrt((squares - TREES * mean * mean) / (TREES - 1));
        covered += 0.5 * erfc(-(mean + k * sd) / sqrt(2.0)) >= content;
    }
    double share = (double)covered / BOOKS;
    check_close(share, confidence, 4.0 * sqrt(confidence * (1.0 - confidence) / BOOKS),
                "the definition of a tolerance bound");
}

static void refusals(void **state) {
    (void)state;
    const double equal[] = {2.0, 2.0, 2.0};
    double got = 0.0;
    size_t n = 0;
    check_refused(ap_tolerance_factor_sample(&got, 0.95, 0.9, 1, &err), AP_E_DOMAIN, &err,
                  "at least 2 values, there is 1");
    check_refused(ap_tolerance_factor(&got, 1.0, 0.9, 5, 4, &err), AP_E_DOMAIN, &err, "content");
    check_refused(ap_tolerance_factor(&got, 0.9, 0.9, 0.0, 4, &err), AP_E_DOMAIN, &err, "effective count");
    check_refused(ap_tolerance_factor(&got, 0.9, 0.9, 3.0, NAN, &err), AP_E_DOMAIN, &err, "degrees of freedom");
    check_refused(ap_tolerance_df(&got, 0.95, 0.0, 3.0, 1.0, 9.0, &err), AP_E_DOMAIN, &err, "variance of the mean");
    check_refused(ap_tolerance_df(&got, 0.95, 0.1, 0.0, 1.0, 9.0, &err), AP_E_DOMAIN, &err, "above 0");
    check_ok(ap_tolerance_df(&got, 0.95, 0.1, 7.0, 1.0, 7.0, &err), &err);
    check_close(got, 7.0, 1e-12, "equal degrees of freedom stay what they are");
    check_refused(ap_tolerance_upper(&got, equal, 3, 0.95, 0.9, &err), AP_E_DOMAIN, &err, "differ");
    check_refused(ap_tolerance_upper(&got, equal, 0, 0.95, 0.9, &err), AP_E_DOMAIN, &err, "at least 2");
    check_refused(ap_prediction_upper(&got, equal, 3, 0.95, &err), AP_E_DOMAIN, &err, "differ");
    check_refused(ap_prediction_factor(&got, 0.0, 3.0, 2.0, &err), AP_E_DOMAIN, &err, "level");
    check_refused(ap_nonparametric_count(&n, 0.95, 0.9, 0, &err), AP_E_DOMAIN, &err, "from the top");
    check_refused(ap_nonparametric_content(&got, 5, 6, 0.9, &err), AP_E_DOMAIN, &err, "does not exist");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(noncentral_t),
        cmocka_unit_test(factors),
        cmocka_unit_test(chrysene),
        cmocka_unit_test(nonparametric),
        cmocka_unit_test(content_by_simulation),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
