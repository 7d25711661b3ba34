#include <gsl/gsl_cdf.h>

#include "stats/prng.h"
#include "stats/rates.h"

#include "stats/numbers.h"

static ap_error err;

static void garwood(void **state) {
    (void)state;
    check_table table;
    ap_interval interval;
    check_table_load(&table, STATS_DATA "poisson_garwood.csv");
    assert_true(table.rows > 40);
    for (size_t row = 0; row < table.rows; row++) {
        check_ok(ap_rate_interval(&interval, (uint64_t)check_table_number(&table, row, "count"),
                                  check_table_number(&table, row, "conf"), &err),
                 &err);
        check_close(interval.low, check_table_number(&table, row, "lo"), 1e-9, "poisson_garwood.csv");
        check_close(interval.high, check_table_number(&table, row, "hi"), 1e-9, "poisson_garwood.csv");
    }
    check_table_release(&table);
    static const struct {
        uint64_t count;
        double level, low, high;
    } published[] = {{25, 0.90, 17.38, 34.92}, {25, 0.95, 16.18, 36.90}, {25, 0.99, 14.00, 41.00}};
    for (size_t i = 0; i < 3; i++) {
        check_ok(ap_rate_interval(&interval, published[i].count, published[i].level, &err), &err);
        check_close(interval.low, published[i].low, 0.005, "Garwood 1936, as the table's head quotes it");
        check_close(interval.high, published[i].high, 0.005, "Garwood 1936, as the table's head quotes it");
    }
    check_ok(ap_rate_interval(&interval, 36, 0.90, &err), &err);
    check_close(interval.low / 20.0, 1.336558, 5.1e-7, "36 events in 20 units, as the table's head quotes it");
    check_close(interval.high / 20.0, 2.377037, 5.1e-7, "36 events in 20 units, as the table's head quotes it");
}

static void close_rel(double got, double want, const char *source) {
    check_close(got, want, 1e-9 * fmax(fabs(want), 1e-12), source);
}

static void exact_tests(void **state) {
    (void)state;
    const char *source = "exact_counts.csv";
    check_table table;
    check_table_load(&table, STATS_DATA "exact_counts.csv");
    assert_int_equal((int)table.rows, 17);
    for (size_t row = 0; row < table.rows; row++) {
        double a = check_table_number(&table, row, "a"), b = check_table_number(&table, row, "b");
        double c = check_table_number(&table, row, "c"), d = check_table_number(&table, row, "d");
        double two = check_table_number(&table, row, "p_two"), more = check_table_number(&table, row, "p_more");
        double fewer = check_table_number(&table, row, "p_fewer");
        ap_str kind = check_table_get(&table, row, "kind");
        if (ap_str_equal_word(kind, "rate")) {
            ap_rate_ratio got;
            check_ok(ap_rate_compare(&got, (uint64_t)a, b, (uint64_t)c, d, 0.95, &err), &err);
            close_rel(got.p_two_sided, two, source);
            close_rel(got.p_more, more, source);
            close_rel(got.p_fewer, fewer, source);
            close_rel(got.low, check_table_number(&table, row, "low"), source);
            assert_int_equal(got.has_high, !ap_str_equal_word(check_table_get(&table, row, "high"), "NA"));
            assert_int_equal(got.has_ratio, !ap_str_equal_word(check_table_get(&table, row, "ratio"), "NA"));
            if (got.has_high) {
                close_rel(got.high, check_table_number(&table, row, "high"), source);
            }
            if (got.has_ratio) {
                close_rel(got.ratio, check_table_number(&table, row, "ratio"), source);
            }
        } else if (ap_str_equal_word(kind, "fisher")) {
            ap_fisher got;
            check_ok(ap_fisher_test(&got, (uint64_t)a, (uint64_t)b, (uint64_t)c, (uint64_t)d, &err), &err);
            close_rel(got.p_two_sided, two, source);
            close_rel(got.p_more, more, source);
            close_rel(got.p_fewer, fewer, source);
        } else {
            double p_more = 0.0, p_two = 0.0;
            ap_interval share;
            check_ok(ap_binomial_test(&p_more, &p_two, (uint64_t)a, (uint64_t)b, c, &err), &err);
            close_rel(p_two, two, source);
            close_rel(p_more, more, source);
            check_ok(ap_share_interval(&share, (uint64_t)a, (uint64_t)b, 0.95, &err), &err);
            close_rel(share.low, check_table_number(&table, row, "low"), source);
            close_rel(share.high, check_table_number(&table, row, "high"), source);
        }
    }
    check_table_release(&table);
    ap_fisher tea;
    check_ok(ap_fisher_test(&tea, 3, 1, 1, 3, &err), &err);
    check_close(tea.p_more, 17.0 / 70.0, 1e-12, "Fisher 1935: 17 of 70 tables");
    check_close(ap_hypergeometric_more(3, 4, 8, 4), 17.0 / 70.0, 1e-12, "Fisher 1935: 17 of 70 tables");
    check_close(ap_hypergeometric_more(4, 4, 8, 4), 1.0 / 70.0, 1e-12, "Fisher 1935: 1 of 70 tables");
    assert_int_equal(ap_hypergeometric_least(0.05, 4, 8, 4), 4);
    assert_int_equal(ap_hypergeometric_least(0.01, 4, 8, 4), 5); /* none can be */
}

/* Any table: the tail is that of the full test, and the least count is the first at the level. */
static void the_tail_is_that_of_the_exact_test(void **state) {
    (void)state;
    ap_prng prng;
    ap_prng_init(&prng, 31, 0);
    for (int turn = 0; turn < 2000; turn++) {
        uint64_t all = 2 + ap_prng_below(&prng, turn % 10 ? 200 : 20000);
        uint64_t first = 1 + ap_prng_below(&prng, all - 1);
        uint64_t hits = ap_prng_below(&prng, all + 1);
        uint64_t low = first + hits > all ? first + hits - all : 0;
        uint64_t high = first < hits ? first : hits;
        uint64_t k = low + ap_prng_below(&prng, high - low + 1);
        ap_fisher fisher;
        check_ok(ap_fisher_test(&fisher, k, first - k, hits - k, all - first + k - hits, &err), &err);
        check_close(ap_hypergeometric_more(k, first, all, hits), fisher.p_more, 1e-8 * fisher.p_more + 1e-15,
                    "ap_fisher_test");
        uint64_t least = ap_hypergeometric_least(0.02, first, all, hits);
        assert_true(least > high || ap_hypergeometric_more(least, first, all, hits) <= 0.02);
        assert_true(least == low || ap_hypergeometric_more(least - 1, first, all, hits) > 0.02);
    }
}

static void false_discovery(void **state) {
    (void)state;
    const char *source = "benjamini_hochberg1995.csv";
    check_table table;
    check_table_load(&table, STATS_DATA "benjamini_hochberg1995.csv");
    double *p = numbers_column(&table, "p");
    size_t n = table.rows, found = 0;
    double adjusted[15], turned[15], back[15];
    assert_int_equal((int)n, 15);
    check_ok(ap_false_discovery(adjusted, &found, p, n, 0.05, &err), &err);
    assert_int_equal((int)found, 4); /* Benjamini & Hochberg 1995, section 4 */
    for (size_t i = 0; i < n; i++) {
        check_close(adjusted[i], check_table_number(&table, i, "bh"), 1e-12, source);
        turned[i] = p[n - 1 - i];
    }
    check_ok(ap_false_discovery(back, NULL, turned, n, 0.05, &err), &err);
    for (size_t i = 0; i < n; i++) {
        check_close(back[n - 1 - i], adjusted[i], 0.0, "the order of the tests does not matter");
    }
    free(p);
    check_table_release(&table);
}

static void chi_square(void **state) {
    (void)state;
    /* Mendel's round and wrinkled: 5474 and 1850 against 3 : 1; by hand 0.2629 */
    const uint64_t peas[] = {5474, 1850};
    const double shares[] = {0.75, 0.25};
    double statistic = 0.0, p = 0.0;
    check_ok(ap_chi_square_test(&statistic, &p, peas, shares, 2, &err), &err);
    check_close(statistic, 19.0 * 19.0 / 5493.0 + 19.0 * 19.0 / 1831.0, 1e-12, "by hand");
    check_close(p, erfc(sqrt(statistic / 2.0)), 1e-12, "one degree of freedom is a squared normal");
    const uint64_t few[] = {3, 4};
    check_refused(ap_chi_square_test(&statistic, &p, few, shares, 2, &err), AP_E_DOMAIN, &err, "cell 2 has 1.75");
    const double wrong[] = {0.5, 0.4};
    check_refused(ap_chi_square_test(&statistic, &p, peas, wrong, 2, &err), AP_E_DOMAIN, &err, "add to 1");
}

static void refusals(void **state) {
    (void)state;
    ap_interval interval;
    ap_rate_ratio ratio;
    ap_fisher fisher;
    double a = 0.0, b = 0.0;
    const double bad[] = {0.5, 1.5};
    const double nan_p[] = {0.5, NAN};
    check_refused(ap_rate_interval(&interval, 3, 1.0, &err), AP_E_DOMAIN, &err, "level");
    check_refused(ap_share_interval(&interval, 0, 0, 0.9, &err), AP_E_DOMAIN, &err, "0 of 0");
    check_refused(ap_share_interval(&interval, 3, 2, 0.9, &err), AP_E_DOMAIN, &err, "3 of 2");
    check_refused(ap_rate_compare(&ratio, 0, 1.0, 0, 1.0, 0.9, &err), AP_E_DOMAIN, &err, "1 to 1000000 events");
    check_refused(ap_rate_compare(&ratio, 1, NAN, 0, 1.0, 0.9, &err), AP_E_DOMAIN, &err, "exposures above 0");
    check_refused(ap_fisher_test(&fisher, 0, 0, 1, 2, &err), AP_E_DOMAIN, &err, "two groups");
    check_refused(ap_binomial_test(&a, &b, 0, 0, 0.5, &err), AP_E_DOMAIN, &err, "exact test");
    check_refused(ap_false_discovery(&a, NULL, bad, 2, 0.1, &err), AP_E_DOMAIN, &err, "p value 2");
    check_refused(ap_false_discovery(&a, NULL, nan_p, 2, 0.1, &err), AP_E_DOMAIN, &err, "not a finite number");
    check_refused(ap_false_discovery(&a, NULL, bad, 0, 0.1, &err), AP_E_DOMAIN, &err, "at least 1");
    /* R 4.2.2: qgamma(.025, 1e6), qgamma(.975, 1e6 + 1); qgamma(.025, 999), qgamma(.975, 1000) */
    check_ok(ap_rate_interval(&interval, 1000000, 0.95, &err), &err);
    check_close(interval.low, 998040.983340294, 1e-4, "R qgamma");
    check_close(interval.high, 1001961.911945432, 1e-4, "R qgamma");
    check_ok(ap_rate_interval(&interval, 999, 0.95, &err), &err);
    check_close(interval.low, 938.004018562, 1e-7, "R qgamma");
    check_close(interval.high, 1062.921151225, 1e-7, "R qgamma");
    check_ok(ap_fisher_test(&fisher, 0, 5, 0, 7, &err), &err);
    check_close(fisher.p_two_sided, 1.0, 0.0, "no hits: nothing to tell");
}

/* Some thousands of cases, where GSL's inverse of the beta distribution gives up: the interval fulfils its own definition. */
static void a_share_of_thousands_has_an_interval(void **state) {
    (void)state;
    static const unsigned cases[][2] = {{924, 5999}, {1, 5999}, {5998, 5999}, {150000, 1000000}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        ap_interval interval;
        unsigned k = cases[i][0];
        unsigned n = cases[i][1];
        check_ok(ap_share_interval(&interval, k, n, 0.99, &err), &err);
        check_close(gsl_cdf_binomial_Q(k - 1, interval.low, n), 0.005, 1e-9,
                    "Clopper & Pearson 1934: P(k or more) at low");
        check_close(gsl_cdf_binomial_P(k, interval.high, n), 0.005, 1e-9,
                    "Clopper & Pearson 1934: P(k or fewer) at high");
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_share_of_thousands_has_an_interval),
        cmocka_unit_test(garwood),
        cmocka_unit_test(exact_tests),
        cmocka_unit_test(the_tail_is_that_of_the_exact_test),
        cmocka_unit_test(false_discovery),
        cmocka_unit_test(chi_square),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
