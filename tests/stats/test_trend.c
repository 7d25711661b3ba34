#include "stats/trend.h"

#include "stats/numbers.h"

static ap_error err;

static void exact_table(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, STATS_DATA "mann_kendall_exact_p.csv");
    assert_true(table.rows > 80);
    for (size_t row = 0; row < table.rows; row++) {
        size_t n = (size_t)check_table_number(&table, row, "n");
        int64_t want = (int64_t)check_table_number(&table, row, "S");
        /* An order with exactly that S: sort upward, then move the largest down step by step; each step costs 2. */
        double x[10];
        int64_t s = (int64_t)(n * (n - 1) / 2);
        for (size_t i = 0; i < n; i++) {
            x[i] = (double)i;
        }
        for (size_t pass = 0; pass < n && s > want; pass++) {
            for (size_t i = n - 1; i > pass && s > want; i--) {
                double kept = x[i];
                x[i] = x[i - 1];
                x[i - 1] = kept;
                s -= 2;
            }
        }
        ap_mann_kendall got;
        check_ok(ap_trend_mann_kendall(&got, NULL, x, n, &err), &err);
        assert_int_equal((int)got.s, (int)want);
        assert_int_equal(got.kind, AP_TREND_EXACT);
        double p = check_table_number(&table, row, "p_upper");
        check_close(got.p_up, p, 1e-11 * p + 1e-15, "mann_kendall_exact_p.csv");
    }
    check_table_release(&table);
}

/* Every order of a multiset counted by hand (5 values with ties: 5! orders). */
static void exact_with_ties(void **state) {
    (void)state;
    const double x[] = {1.0, 2.0, 2.0, 3.0, 1.0};
    ap_mann_kendall got;
    check_ok(ap_trend_mann_kendall(&got, NULL, x, 5, &err), &err);
    int up = 0, all = 0;
    for (int code = 0; code < 3125; code++) {
        int pick[5], rest = code;
        bool used[5] = {false}, order = true;
        for (int i = 0; i < 5; i++) {
            pick[i] = rest % 5;
            rest /= 5;
            order = order && !used[pick[i]];
            used[pick[i]] = true;
        }
        if (!order) {
            continue;
        }
        int64_t s = 0;
        for (int i = 0; i < 5; i++) {
            for (int j = i + 1; j < 5; j++) {
                s += (x[pick[j]] > x[pick[i]]) - (x[pick[j]] < x[pick[i]]);
            }
        }
        all++;
        up += s >= got.s;
    }
    assert_int_equal(all, 120);
    check_close(got.p_up, (double)up / all, 1e-14, "every order counted");
    /* Variance with ties of 2 and 2: (5*4*15 - 2*(2*1*9)) / 18 */
    check_close(got.variance, (300.0 - 36.0) / 18.0, 1e-12, "Gilbert 1987, section 16.4.2, by hand");
}

static void sulfate(void **state) {
    (void)state;
    const char *source = "EPA 530/R-09-007 (2009) Example 17-6 p.17-33";
    check_table table;
    check_table_load(&table, STATS_DATA "mann_kendall_epa_17_6_sulfate.csv");
    double *t = numbers_column(&table, "date"), *x = numbers_column(&table, "sulfate");
    ap_mann_kendall got;
    ap_theil_sen line;
    check_ok(ap_trend_mann_kendall(&got, t, x, table.rows, &err), &err);
    assert_int_equal((int)got.s, 194);
    assert_int_equal(got.kind, AP_TREND_NORMAL);
    check_close(got.variance, 1428.0, 1e-9, source);
    check_close(got.z, 5.107322, 5.1e-7, source);
    check_close(got.z, 5.10732159684, 1e-11, "computed in the table's head");
    check_close(got.p_two_sided, 3.267574e-07, 5.1e-14, source);
    check_ok(ap_trend_theil_sen(&line, t, x, table.rows, 0.95, &err), &err);
    check_close(line.slope, 26.6666667, 5.1e-8, source);
    check_close(line.intercept_of_medians, -1909.3333, 5.1e-5, source);
    check_close(line.interval.low, 20.0, 5.1e-6, source);
    check_close(line.interval.high, 35.71182, 5.1e-6, source);
    check_close(line.interval.high, 35.7118240305, 1e-9, "computed in the table's head");
    free(t);
    free(x);
    check_table_release(&table);
}

static void sen(void **state) {
    (void)state;
    const char *source = "Sen 1968, as theil_sen_sen1968.csv corrects it";
    check_table table;
    check_table_load(&table, STATS_DATA "theil_sen_sen1968.csv");
    double *t = numbers_column(&table, "t"), *x = numbers_column(&table, "y");
    ap_theil_sen line;
    check_ok(ap_trend_theil_sen(&line, t, x, table.rows, 0.93, &err), &err);
    check_close(line.slope, 4.0, 1e-12, source);
    check_close(line.intercept, 6.0, 1e-12, source);
    check_close(line.intercept_of_medians, 4.0, 1e-12, source);
    check_close(line.interval.low, 3.73099471818, 1e-10, source);
    check_close(line.interval.high, 4.28461947893, 1e-10, source);
    /* The rank rule without interpolation brackets it: 26/7 and 35/8. */
    assert_true(line.interval.low > 26.0 / 7.0 && line.interval.high < 35.0 / 8.0);
    free(t);
    free(x);
    check_table_release(&table);
}

static void pettitt_published(void **state) {
    (void)state;
    check_table table;
    ap_pettitt got;
    check_table_load(&table, STATS_DATA "changepoint_pettitt_page1955.csv");
    double *x = numbers_column(&table, "x");
    check_ok(ap_trend_pettitt(&got, x, table.rows, &err), &err);
    assert_int_equal((int)got.k, 232);
    assert_int_equal((int)got.last, 17);
    assert_true(got.rises && got.kind == AP_TREND_NORMAL);
    check_close(got.p, 0.014, 0.0006, "Pettitt 1979, Table 1: .014");
    check_close(got.p, 0.0145555975398, 1e-12, "changepoint_pettitt_page1955.csv");
    free(x);
    check_table_release(&table);
    check_table_load(&table, STATS_DATA "changepoint_nile.csv");
    x = numbers_column(&table, "flow");
    check_ok(ap_trend_pettitt(&got, x, table.rows, &err), &err);
    assert_int_equal((int)got.k, 1617);
    assert_int_equal((int)got.last, 28);
    assert_false(got.rises);
    check_close(got.p, 3.59102217694e-07, 1e-17, "changepoint_nile.csv");
    free(x);
    check_table_release(&table);
}

static int64_t largest_u(const double *x, size_t n) {
    int64_t most = 0;
    for (size_t i = 1; i <= n; i++) {
        int64_t u = 0;
        for (size_t a = 0; a < i; a++) {
            for (size_t b = i; b < n; b++) {
                u += (x[a] > x[b]) - (x[a] < x[b]);
            }
        }
        u = u < 0 ? -u : u;
        most = u > most ? u : most;
    }
    return most;
}

/* Heap's algorithm over all orders of 7 values, with and without ties. */
static void pettitt_by_counting(void **state) {
    (void)state;
    static const double sets[][7] = {{3, 1, 4, 2, 7, 6, 5}, {1, 1, 2, 1, 2, 3, 3}, {7, 6, 5, 4, 3, 2, 1}};
    for (size_t s = 0; s < 3; s++) {
        ap_pettitt got;
        double x[7];
        memcpy(x, sets[s], sizeof x);
        check_ok(ap_trend_pettitt(&got, x, 7, &err), &err);
        assert_int_equal((int)got.k, (int)largest_u(x, 7));
        assert_int_equal(got.kind, AP_TREND_EXACT);
        int count[7] = {0}, reached = 1, all = 1;
        for (int i = 0; i < 7;) {
            if (count[i] < i) {
                int j = i % 2 == 0 ? 0 : count[i];
                double kept = x[j];
                x[j] = x[i];
                x[i] = kept;
                all++;
                reached += largest_u(x, 7) >= got.k;
                count[i]++;
                i = 0;
            } else {
                count[i++] = 0;
            }
        }
        assert_int_equal(all, 5040);
        check_close(got.p, reached / 5040.0, 1e-12, "every order counted");
    }
    double x[20];
    ap_pettitt got;
    for (size_t i = 0; i < 20; i++) {
        x[i] = (double)((i * 7) % 20) + (i >= 11 ? 12.0 : 0.0);
    }
    check_ok(ap_trend_pettitt(&got, x, 20, &err), &err);
    assert_true(got.kind == AP_TREND_EXACT && got.p > 0.0 && got.p < 0.05 && got.rises);
}

static void refusals(void **state) {
    (void)state;
    const double equal[] = {2.0, 2.0, 2.0, 2.0};
    const double x[] = {1.0, 2.0, 3.0, 4.0};
    const double bad[] = {1.0, NAN, 3.0, 4.0};
    ap_mann_kendall test;
    ap_theil_sen line;
    ap_pettitt change;
    check_refused(ap_trend_mann_kendall(&test, NULL, equal, 4, &err), AP_E_DOMAIN, &err, "differ");
    check_refused(ap_trend_mann_kendall(&test, equal, x, 4, &err), AP_E_DOMAIN, &err, "differ");
    check_refused(ap_trend_mann_kendall(&test, NULL, x, 1, &err), AP_E_DOMAIN, &err, "at least 2 values, there is 1");
    check_refused(ap_trend_mann_kendall(&test, bad, x, 4, &err), AP_E_DOMAIN, &err, "not a finite number");
    check_refused(ap_trend_theil_sen(&line, equal, x, 4, 0.9, &err), AP_E_DOMAIN, &err, "times that differ");
    check_refused(ap_trend_theil_sen(&line, NULL, bad, 4, 0.9, &err), AP_E_DOMAIN, &err, "not a finite number");
    check_refused(ap_trend_theil_sen(&line, NULL, NULL, 0, 0.9, &err), AP_E_DOMAIN, &err, "at least 2");
    check_refused(ap_trend_pettitt(&change, equal, 4, &err), AP_E_DOMAIN, &err, "differ");
    check_refused(ap_trend_pettitt(&change, x, 1, &err), AP_E_DOMAIN, &err, "at least 2");
    check_ok(ap_trend_theil_sen(&line, NULL, x, 2, 0.95, &err), &err);
    assert_false(line.has_interval);
    check_close(line.slope, 1.0, 0.0, "two values");
    check_ok(ap_trend_theil_sen(&line, NULL, equal, 4, 0.5, &err), &err);
    check_close(line.slope, 0.0, 0.0, "level");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_table), cmocka_unit_test(exact_with_ties),   cmocka_unit_test(sulfate),
        cmocka_unit_test(sen),         cmocka_unit_test(pettitt_published), cmocka_unit_test(pettitt_by_counting),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
