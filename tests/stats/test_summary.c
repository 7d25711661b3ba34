#include "stats/summary.h"

#include "stats/numbers.h"

static ap_error err;

/* NIST StRD univariate: the certified values as the .dat files print them. Digits: 15 printed; the spread of the sets
 * with a large mean is limited by the rounding of the data to double (NumAcc3 9.4 digits, NumAcc4 8.2 digits: what
 * two-pass arithmetic in double reaches, column lre_sd of nist_univariate_certified.csv). */
static void nist_univariate(void **state) {
    (void)state;
    static const struct {
        const char *file;
        double mean_digits, sd_digits, r_digits;
    } sets[] = {
        {"Lew", 1e-14, 1e-14, 1e-13},     {"Mavro", 1e-14, 1e-12, 1e-12}, {"Michelso", 1e-14, 1e-12, 1e-12},
        {"NumAcc1", 1e-14, 1e-14, 1e-14}, {"NumAcc3", 1e-14, 1e-9, 1e-9}, {"NumAcc4", 1e-14, 1e-8, 1e-8},
    };
    for (size_t s = 0; s < sizeof sets / sizeof *sets; s++) {
        char path[128];
        numbers set;
        snprintf(path, sizeof path, STATS_DATA "nist_strd/%s.dat", sets[s].file);
        numbers_load(&set, path);
        double mean = numbers_value(&set, "Sample Mean");
        double sd = numbers_value(&set, "Sample Standard Deviation (denom. = n-1)");
        double r = numbers_value(&set, "Sample Autocorrelation Coefficient (lag 1) r(1)");
        numbers_scan(&set, numbers_after(&set, "---\n"), NULL);
        ap_moments moments;
        double got = 0.0;
        ap_moments_clear(&moments);
        check_ok(ap_moments_add_all(&moments, set.at, set.n, &err), &err);
        check_ok(ap_moments_mean(&got, &moments, &err), &err);
        check_close(got, mean, sets[s].mean_digits * fabs(mean), path);
        check_ok(ap_moments_sd(&got, &moments, &err), &err);
        check_close(got, sd, sets[s].sd_digits * sd, path);
        check_ok(ap_stats_autocorrelation(&got, set.at, set.n, &err), &err);
        check_close(got, r, sets[s].r_digits * fabs(r), path);

        /* Merging two halves is the same as one pass. */
        ap_moments first, second;
        double merged = 0.0;
        ap_moments_clear(&first);
        ap_moments_clear(&second);
        check_ok(ap_moments_add_all(&first, set.at, set.n / 3, &err), &err);
        check_ok(ap_moments_add_all(&second, set.at + set.n / 3, set.n - set.n / 3, &err), &err);
        ap_moments_merge(&first, &second);
        check_ok(ap_moments_sd(&merged, &first, &err), &err);
        check_close(merged, sd, 2.0 * sets[s].sd_digits * sd, path);
        check_ok(ap_moments_mean(&merged, &first, &err), &err);
        check_close(merged, mean, sets[s].mean_digits * fabs(mean), path);
        numbers_release(&set);
    }
}

/* The count and certified values of the parsed table agree with the .dat files it was parsed from. */
static void nist_table(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, STATS_DATA "nist_univariate_certified.csv");
    for (size_t row = 0; row < table.rows; row++) {
        ap_str name = check_table_get(&table, row, "set");
        if (ap_str_equal_word(name, "Lottery") || ap_str_equal_word(name, "NumAcc2")) {
            continue; /* their data files are not among the copies */
        }
        char path[128];
        numbers set;
        snprintf(path, sizeof path, STATS_DATA "nist_strd/%.*s.dat", AP_STR_ARG(name));
        numbers_load(&set, path);
        numbers_scan(&set, numbers_after(&set, "---\n"), NULL);
        assert_int_equal((int)set.n, (int)check_table_number(&table, row, "n"));
        ap_interval interval;
        double mean = check_table_number(&table, row, "cert_mean");
        check_ok(ap_stats_mean_interval(&interval, set.at, set.n, 0.95, &err), &err);
        check_close((interval.low + interval.high) / 2.0, mean, 1e-14 * fabs(mean), path);
        numbers_release(&set);
    }
    check_table_release(&table);
}

static void robust(void **state) {
    (void)state;
    check_table table;
    numbers data;
    check_table_load(&table, STATS_DATA "robust_location_scale_expected.csv");
    numbers_load(&data, STATS_DATA "robust_data.csv");
    for (size_t row = 0; row < table.rows; row++) {
        ap_str name = check_table_get(&table, row, "data");
        char label[16], source[64];
        snprintf(label, sizeof label, "%.*s", AP_STR_ARG(name));
        snprintf(source, sizeof source, "robust_location_scale_expected.csv, %s", label);
        numbers_row(&data, label);
        assert_int_equal((int)data.n, (int)check_table_number(&table, row, "n"));
        double got = 0.0;
        ap_location location;
        ap_moments moments;
        ap_moments_clear(&moments);
        check_ok(ap_moments_add_all(&moments, data.at, data.n, &err), &err);
        check_ok(ap_moments_mean(&got, &moments, &err), &err);
        check_close(got, check_table_number(&table, row, "mean"), 1e-12, source);
        check_ok(ap_moments_sd(&got, &moments, &err), &err);
        check_close(got, check_table_number(&table, row, "sd"), 1e-12, source);
        check_ok(ap_stats_median(&got, data.at, data.n, &err), &err);
        check_close(got, check_table_number(&table, row, "median"), 1e-12, source);
        check_ok(ap_stats_mad(&got, data.at, data.n, &err), &err);
        check_close(got, check_table_number(&table, row, "mad_const"), 1e-12, source);
        check_ok(ap_stats_huber(&location, data.at, data.n, &err), &err);
        if (data.n < 4) {
            assert_int_equal(location.kind, AP_LOCATION_MEDIAN_TOO_FEW);
            check_close(location.value, check_table_number(&table, row, "median"), 1e-12, source);
        } else {
            assert_int_equal(location.kind, AP_LOCATION_HUBER);
            /* The source stops its iteration at 1e-6 of the scale; its README asks for 1e-5. */
            check_close(location.value, check_table_number(&table, row, "huber_mu_k1.5"), 1e-5 * location.mad, source);
            check_close(location.mad, check_table_number(&table, row, "huber_s"), 1e-12, source);
        }
    }
    numbers_release(&data);
    check_table_release(&table);
}

static void huber_solves_its_equation(void **state) {
    (void)state;
    const double x[] = {0.1, -0.3, 0.2, 4.0, 0.05, -0.1, 0.4, -5.0, 0.3};
    ap_location location;
    check_ok(ap_stats_huber(&location, x, 9, &err), &err);
    double sum = 0.0;
    for (size_t i = 0; i < 9; i++) {
        sum += fmax(-1.5, fmin(1.5, (x[i] - location.value) / location.mad));
    }
    check_close(sum, 0.0, 1e-9, "definition of the M-estimate, Huber 1981");
    const double equal[] = {2.0, 2.0, 2.0, 2.0, 9.0};
    check_ok(ap_stats_huber(&location, equal, 5, &err), &err);
    assert_int_equal(location.kind, AP_LOCATION_MEDIAN_NO_MAD);
    check_close(location.value, 2.0, 0.0, "the median stands in");
}

static void quantile_definition(void **state) {
    (void)state;
    const double x[] = {15.0, 20.0, 35.0, 40.0, 50.0};
    double got = 0.0;
    /* h = 4p + 1 by hand: p = .4 -> 2.6 -> 20 + .6 * 15 */
    check_ok(ap_stats_quantile(&got, x, 5, 0.4, &err), &err);
    check_close(got, 29.0, 1e-12, "Hyndman & Fan 1996, definition 7, by hand");
    check_ok(ap_stats_quantile(&got, x, 5, 0.0, &err), &err);
    check_close(got, 15.0, 0.0, "the smallest");
    check_ok(ap_stats_quantile(&got, x, 5, 1.0, &err), &err);
    check_close(got, 50.0, 0.0, "the largest");
    check_ok(ap_stats_quantile(&got, x, 1, 0.7, &err), &err);
    check_close(got, 15.0, 0.0, "one value");
}

static void median_interval(void **state) {
    (void)state;
    double x[25];
    ap_interval interval;
    for (size_t i = 0; i < 25; i++) {
        x[(i * 7) % 25] = (double)(i + 1);
    }
    /* P(Bin(25, 1/2) <= 7) = .02164, <= 8 = .05388 (binomial table, any textbook): r = 8 */
    check_ok(ap_stats_median_interval(&interval, x, 25, 0.95, &err), &err);
    check_close(interval.low, 8.0, 0.0, "binomial table n = 25");
    check_close(interval.high, 18.0, 0.0, "binomial table n = 25");
    check_close(interval.level, 1.0 - 2.0 * 0.0216426, 1e-6, "binomial table n = 25");
    for (size_t i = 0; i < 10; i++) {
        x[i] = (double)(i + 1);
    }
    check_ok(ap_stats_median_interval(&interval, x, 10, 0.95, &err), &err);
    check_close(interval.low, 2.0, 0.0, "1 - 2 * 11/1024");
    check_close(interval.level, 1.0 - 22.0 / 1024.0, 1e-12, "1 - 2 * 11/1024");
    check_ok(ap_stats_median_interval(&interval, x, 6, 0.95, &err), &err);
    check_close(interval.level, 1.0 - 2.0 / 64.0, 1e-12, "1 - 2 / 2^6");
    check_refused(ap_stats_median_interval(&interval, x, 5, 0.95, &err), AP_E_DOMAIN, &err, "5 values are too few");
    check_refused(ap_stats_median_interval(&interval, x, 1, 0.95, &err), AP_E_DOMAIN, &err, "1 value is too few");
}

static void t_intervals(void **state) {
    (void)state;
    ap_interval interval;
    /* t.975 of 1, 4 and 30 degrees of freedom: NIST/SEMATECH e-Handbook 1.3.6.7.2 */
    static const double table[][2] = {{1.0, 12.706}, {4.0, 2.776}, {30.0, 2.042}};
    for (size_t i = 0; i < 3; i++) {
        check_ok(ap_stats_t_interval(&interval, 1.0, 2.0, table[i][0], 0.95, &err), &err);
        check_close(interval.high, 1.0 + 2.0 * table[i][1], 2.0 * 0.0005, "NIST e-Handbook 1.3.6.7.2");
        check_close(interval.low, 1.0 - 2.0 * table[i][1], 2.0 * 0.0005, "NIST e-Handbook 1.3.6.7.2");
    }
    const double equal[] = {3.0, 3.0, 3.0};
    check_ok(ap_stats_mean_interval(&interval, equal, 3, 0.9, &err), &err);
    check_close(interval.high - interval.low, 0.0, 0.0, "all equal: no length");

    /* Trees 7, 3, 9 with means 1, 2 and 6: mean 3, sd sqrt(7), t.975(2) = 4.303 */
    const double x[] = {0.0, 2.0, 2.0, 6.0, 5.0, 7.0};
    const uint32_t tree[] = {7, 7, 3, 9, 9, 9};
    ap_cluster_mean mean;
    check_ok(ap_stats_cluster_mean(&mean, x, tree, 6, 0.95, &err), &err);
    assert_int_equal((int)mean.clusters, 3);
    check_close(mean.mean, 3.0, 1e-12, "by hand");
    check_close(mean.sd, sqrt(7.0), 1e-12, "by hand");
    check_close(mean.interval.high - 3.0, 4.303 * sqrt(7.0 / 3.0), 0.001 * sqrt(7.0 / 3.0),
                "NIST e-Handbook 1.3.6.7.2");
    const uint32_t one[] = {5, 5, 5, 5, 5, 5};
    check_refused(ap_stats_cluster_mean(&mean, x, one, 6, 0.95, &err), AP_E_DOMAIN, &err, "2 clusters");
}

static void refusals(void **state) {
    (void)state;
    const double bad[] = {1.0, NAN, 3.0};
    const double one[] = {1.0};
    const double equal[] = {4.0, 4.0};
    double got = -7.0;
    ap_interval interval = {0};
    ap_location location = {0};
    check_refused(ap_stats_median(&got, NULL, 0, &err), AP_E_DOMAIN, &err,
                  "a median needs at least 1 value, there are 0");
    check_refused(ap_stats_median(&got, bad, 3, &err), AP_E_DOMAIN, &err, "value 2 of 3 is not a finite number");
    check_refused(ap_stats_quantile(&got, one, 1, 1.5, &err), AP_E_DOMAIN, &err, "between 0 and 1");
    check_refused(ap_stats_quantile(&got, one, 1, NAN, &err), AP_E_DOMAIN, &err, "between 0 and 1");
    check_refused(ap_stats_mad(&got, bad, 3, &err), AP_E_DOMAIN, &err, "not a finite number");
    check_refused(ap_stats_huber(&location, NULL, 0, &err), AP_E_DOMAIN, &err, "at least 1 value");
    check_refused(ap_stats_mean_interval(&interval, one, 1, 0.95, &err), AP_E_DOMAIN, &err,
                  "at least 2 values, there is 1");
    check_refused(ap_stats_mean_interval(&interval, equal, 2, 1.0, &err), AP_E_DOMAIN, &err, "level");
    check_refused(ap_stats_t_interval(&interval, 0.0, -1.0, 3.0, 0.9, &err), AP_E_DOMAIN, &err, "standard error");
    check_refused(ap_stats_t_interval(&interval, 0.0, 1.0, 0.0, 0.9, &err), AP_E_DOMAIN, &err, "degrees of freedom");
    check_refused(ap_stats_autocorrelation(&got, equal, 2, &err), AP_E_DOMAIN, &err, "values that differ");
    check_refused(ap_stats_autocorrelation(&got, one, 1, &err), AP_E_DOMAIN, &err, "at least 2");
    ap_moments moments;
    ap_moments_clear(&moments);
    check_refused(ap_moments_mean(&got, &moments, &err), AP_E_DOMAIN, &err, "there are 0");
    check_refused(ap_moments_add(&moments, INFINITY, &err), AP_E_DOMAIN, &err, "finite");
    check_ok(ap_moments_add(&moments, 1e308, &err), &err);
    check_refused(ap_moments_sd(&got, &moments, &err), AP_E_DOMAIN, &err, "at least 2 values, there is 1");
    check_ok(ap_moments_add(&moments, -1e308, &err), &err);
    check_refused(ap_moments_sd(&got, &moments, &err), AP_E_DOMAIN, &err, "too large");
    check_close(got, -7.0, 0.0, "out is untouched on failure");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nist_univariate),
        cmocka_unit_test(nist_table),
        cmocka_unit_test(robust),
        cmocka_unit_test(huber_solves_its_equation),
        cmocka_unit_test(quantile_definition),
        cmocka_unit_test(median_interval),
        cmocka_unit_test(t_intervals),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
