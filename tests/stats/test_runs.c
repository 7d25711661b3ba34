#include "stats/runs.h"

#include "stats/arl.h"
#include "stats/numbers.h"

static ap_error err;

/* The table prints six significant digits. */
static void close_six(double got, double want, const char *source) {
    check_close(got, want, fmax(fabs(want) * 5.1e-6, 1e-12), source);
}

static void run_rules(void **state) {
    (void)state;
    static const char *const biases[] = {"ARL_bias0", "ARL_bias.05", "ARL_bias.10", "ARL_bias.15"};
    static const struct {
        const char *column;
        size_t n;
    } chances[] = {{"PFA_5", 5}, {"PFA_10", 10}, {"PFA_20", 20}, {"PFA_50", 50}};
    check_table table;
    check_table_load(&table, STATS_DATA "run_rule_exact.csv");
    assert_true(table.rows > 60);
    for (size_t row = 0; row < table.rows; row++) {
        double sd = check_table_number(&table, row, "sd");
        double limit = 1.0 + check_table_number(&table, row, "thr");
        unsigned length = (unsigned)check_table_number(&table, row, "m");
        double p = 0.0, got = 0.0;
        for (size_t b = 0; b < 4; b++) {
            /* The biases are on the log scale, as the errors are. */
            check_ok(ap_runs_share(&p, limit, 0.05 * (double)b, sd, &err), &err);
            check_ok(ap_runs_arl(&got, p, length, &err), &err);
            close_six(got, check_table_number(&table, row, biases[b]), "run_rule_exact.csv");
        }
        check_ok(ap_runs_share(&p, limit, 0.0, sd, &err), &err);
        for (size_t c = 0; c < 4; c++) {
            check_ok(ap_runs_chance(&got, p, length, chances[c].n, &err), &err);
            close_six(got, check_table_number(&table, row, chances[c].column), "run_rule_exact.csv");
        }
    }
    check_table_release(&table);
}

/* All 2^n sequences counted. */
static void chance_by_counting(void **state) {
    (void)state;
    const double p = 0.3;
    for (unsigned length = 1; length <= 5; length++) {
        double want = 0.0;
        for (unsigned bits = 0; bits < 4096; bits++) {
            unsigned run = 0, most = 0;
            double chance = 1.0;
            for (unsigned i = 0; i < 12; i++) {
                bool hit = (bits >> i) & 1u;
                run = hit ? run + 1 : 0;
                most = run > most ? run : most;
                chance *= hit ? p : 1.0 - p;
            }
            want += most >= length ? chance : 0.0;
        }
        double got = 0.0;
        check_ok(ap_runs_chance(&got, p, length, 12, &err), &err);
        check_close(got, want, 1e-12, "every sequence of 12 counted");
    }
    unsigned length = 0;
    double got = 0.0;
    check_ok(ap_runs_length_for(&length, p, 12, 0.05, 20, &err), &err);
    check_ok(ap_runs_chance(&got, p, length, 12, &err), &err);
    assert_true(got <= 0.05);
    check_ok(ap_runs_chance(&got, p, length - 1, 12, &err), &err);
    assert_true(got > 0.05);
}

static void cusum_lengths(void **state) {
    (void)state;
    check_table table;
    double got = 0.0;
    check_table_load(&table, STATS_DATA "arl_cusum_k0.5.csv");
    for (size_t row = 0; row < table.rows; row++) {
        double shift = check_table_number(&table, row, "shift_sigma");
        const char *source = "arl_cusum_k0.5.csv";
        for (int h = 4; h <= 5; h++) {
            double want = check_table_number(&table, row, h == 4 ? "one_sided_h4" : "one_sided_h5");
            check_ok(ap_cusum_arl(&got, 0.5, h, 0.0, 0.0, shift, 1.0, &err), &err);
            check_close(got, want, 1e-6 * want, source);
            want = check_table_number(&table, row, h == 4 ? "two_sided_h4" : "two_sided_h5");
            check_ok(ap_cusum_arl_two_sided(&got, 0.5, h, 0.0, shift, &err), &err);
            check_close(got, want, 1e-6 * want, source);
        }
        check_ok(ap_cusum_arl_two_sided(&got, 0.5, 4.0, 2.0, shift, &err), &err);
        double want = check_table_number(&table, row, "two_sided_h4_FIR2");
        check_close(got, want, 1e-6 * want, source);
        /* Published to three digits (1.325 as 1.32): within one unit of the last. */
        want = check_table_number(&table, row, "pub_LC1982_h4_FIR");
        check_close(got, want, want >= 100.0 ? 1.0 : want >= 10.0 ? 0.1 : 0.01, "Lucas & Crosier 1982 Table 1");
    }
    check_table_release(&table);
    check_ok(ap_cusum_arl(&got, 0.5, 3.0, 0.0, 0.0, 0.0, 1.0, &err), &err);
    check_close(got, 117.59, 0.01, "Brook & Evans 1972");
    check_ok(ap_cusum_arl(&got, 0.5, 3.0, 0.0, 0.0, 1.5, 1.0, &err), &err);
    check_close(got, 3.75, 0.005, "Brook & Evans 1972");

    check_table_load(&table, STATS_DATA "arl_cusum_sigma_wrong.csv");
    for (size_t row = 0; row < table.rows; row++) {
        double ratio = check_table_number(&table, row, "true_over_assumed_sd");
        double h = check_table_number(&table, row, "h");
        double want = check_table_number(&table, row, "ARL0");
        check_ok(ap_cusum_arl(&got, 0.5, h, 0.0, 0.0, 0.0, ratio, &err), &err);
        check_close(got, want, 5e-5 + 1e-6 * want, "arl_cusum_sigma_wrong.csv");
        want = check_table_number(&table, row, "ARL_bias1assumedsd");
        check_ok(ap_cusum_arl(&got, 0.5, h, 0.0, 0.0, 1.0, ratio, &err), &err);
        check_close(got, want, 6e-6, "arl_cusum_sigma_wrong.csv");
    }
    check_table_release(&table);
}

static void ewma_lengths(void **state) {
    (void)state;
    static const struct {
        const char *column;
        double lambda, width;
    } schemes[] = {
        {"l0.5_c3.071", 0.5, 3.071}, {"l0.03_c2.437", 0.03, 2.437}, {"l0.2_c2.962", 0.2, 2.962},
        {"l0.1_c2.814", 0.1, 2.814}, {"l0.2_c2.86", 0.2, 2.86},     {"l0.1_c2.7", 0.1, 2.7},
    };
    check_table table;
    double got = 0.0;
    check_table_load(&table, STATS_DATA "arl_ewma_two_sided.csv");
    for (size_t row = 0; row < table.rows; row++) {
        double shift = check_table_number(&table, row, "shift_sigma");
        for (size_t s = 0; s < 6; s++) {
            double want = check_table_number(&table, row, schemes[s].column);
            check_ok(ap_ewma_arl(&got, schemes[s].lambda, schemes[s].width, shift, &err), &err);
            check_close(got, want, 1e-6 * want, "arl_ewma_two_sided.csv");
            if (s < 2) {
                want = check_table_number(&table, row, s == 0 ? "pub_l0.5" : "pub_l0.03");
                check_close(got, want,
                            want >= 100.0  ? 1.0
                            : want >= 10.0 ? 0.1
                                           : 0.01,
                            "Lucas & Saccucci 1990 Table 3, three digits");
            }
        }
    }
    check_table_release(&table);
}

static void limits_for(void **state) {
    (void)state;
    check_table table;
    double got = 0.0;
    check_table_load(&table, STATS_DATA "limits_for_arl0.csv");
    for (size_t row = 0; row < table.rows; row++) {
        double arl0 = check_table_number(&table, row, "ARL0");
        const char *source = "limits_for_arl0.csv";
        check_ok(ap_cusum_limit_for(&got, 0.5, arl0, false, &err), &err);
        check_close(got, check_table_number(&table, row, "cusum_one_sided_h_k.5"), 1e-7, source);
        check_ok(ap_cusum_limit_for(&got, 0.5, arl0, true, &err), &err);
        check_close(got, check_table_number(&table, row, "cusum_two_sided_h_k.5"), 1e-7, source);
        check_ok(ap_ewma_width_for(&got, 0.2, arl0, &err), &err);
        check_close(got, check_table_number(&table, row, "ewma_two_l.2"), 1e-7, source);
        check_ok(ap_ewma_width_for(&got, 0.1, arl0, &err), &err);
        check_close(got, check_table_number(&table, row, "ewma_two_l.1"), 1e-7, source);
    }
    check_table_release(&table);
}

static void windows_and_gaps(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, STATS_DATA "near_miss_window.csv");
    for (size_t row = 0; row < table.rows; row++) {
        unsigned got = 99;
        bool none = ap_str_equal_word(check_table_get(&table, row, "max_window_picks"), "NA");
        check_ok(ap_runs_window(&got, check_table_number(&table, row, "p"),
                                (unsigned)check_table_number(&table, row, "r_events"),
                                check_table_number(&table, row, "alpha"), &err),
                 &err);
        assert_int_equal((int)got, none ? 0 : (int)check_table_number(&table, row, "max_window_picks"));
    }
    check_table_release(&table);
    check_table_load(&table, STATS_DATA "gchart_limits.csv");
    for (size_t row = 0; row < table.rows; row++) {
        int got = 99;
        check_ok(
            ap_runs_gap(&got, check_table_number(&table, row, "p"), check_table_number(&table, row, "alpha"), &err),
            &err);
        assert_int_equal(got, (int)check_table_number(&table, row, "lower_gap_signal"));
    }
    check_table_release(&table);
    int got = 0;
    check_ok(ap_runs_gap(&got, 0.001, 0.01, &err), &err);
    assert_int_equal(got, 9); /* 1 - .999^10 = .00996, ^11 = .01095 */
}

static void refusals(void **state) {
    (void)state;
    double got = 0.0;
    unsigned count = 0;
    int gap = 0;
    check_refused(ap_runs_arl(&got, 0.0, 3, &err), AP_E_DOMAIN, &err, "never comes");
    check_refused(ap_runs_arl(&got, NAN, 3, &err), AP_E_DOMAIN, &err, "0..1");
    check_refused(ap_runs_arl(&got, 0.5, 0, &err), AP_E_DOMAIN, &err, "a run has");
    check_refused(ap_runs_arl(&got, 1e-200, 3, &err), AP_E_DOMAIN, &err, "never comes");
    check_ok(ap_runs_arl(&got, 1.0, 7, &err), &err);
    check_close(got, 7.0, 0.0, "every value passes");
    check_ok(ap_runs_chance(&got, 0.0, 3, 100, &err), &err);
    check_close(got, 0.0, 0.0, "no value passes");
    check_ok(ap_runs_chance(&got, 1.0, 3, 2, &err), &err);
    check_close(got, 0.0, 0.0, "fewer values than the run is long");
    check_refused(ap_runs_share(&got, 1.1, 0.0, 0.0, &err), AP_E_DOMAIN, &err, "greater than 0");
    check_refused(ap_runs_length_for(&count, 0.9, 1000, 0.01, 5, &err), AP_E_DOMAIN, &err, "no run of up to 5");
    check_refused(ap_cusum_arl(&got, 0.5, 4.0, 0.4, 0.0, 0.0, 1.0, &err), AP_E_DOMAIN, &err, "never signal");
    check_refused(ap_cusum_arl(&got, 0.5, 0.0, 0.0, 0.0, 0.0, 1.0, &err), AP_E_DOMAIN, &err, "above 0");
    check_refused(ap_cusum_arl(&got, 0.5, 50.0, 0.0, 0.0, 0.0, 1.0, &err), AP_E_DOMAIN, &err, "beyond");
    check_refused(ap_cusum_arl(&got, 0.5, 4.0, 0.0, 5.0, 0.0, 1.0, &err), AP_E_DOMAIN, &err, "start");
    check_refused(ap_ewma_arl(&got, 0.0, 3.0, 0.0, &err), AP_E_DOMAIN, &err, "weight");
    check_refused(ap_ewma_arl(&got, 0.2, 30.0, 0.0, &err), AP_E_DOMAIN, &err, "beyond");
    check_refused(ap_cusum_limit_for(&got, 0.5, 0.5, false, &err), AP_E_DOMAIN, &err, "between 1");
    check_refused(ap_runs_window(&count, 0.0, 3, 0.05, &err), AP_E_DOMAIN, &err, "between 0 and 1");
    check_refused(ap_runs_gap(&gap, 0.5, 1.0, &err), AP_E_DOMAIN, &err, "between 0 and 1");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(run_rules),    cmocka_unit_test(chance_by_counting), cmocka_unit_test(cusum_lengths),
        cmocka_unit_test(ewma_lengths), cmocka_unit_test(limits_for),         cmocka_unit_test(windows_and_gaps),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
