/* What chance makes and what is found, on invented months from the first of twenty seeds that were drawn after the detectors were frozen
 * (docs/testing.md); all of them by `make calibrate`. */
#include "nearmiss/months.h"
#include "stats/rates.h"

/* Both sides: crying wolf fails, and too silent fails too. Garwood 1936 for the interval of the count. */
static void months_without_a_pattern_give_what_is_announced(void **state) {
    (void)state;
    enum { MONTHS = 80 };
    month_tally tally = {.most = 0};
    size_t found = 0;
    double announced = 0;
    for (uint64_t m = 0; m < MONTHS; m++) {
        const month_plan plan = {.seed = UINT64_C(1002560521919) + m,
                                 .before = 300,
                                 .picks = 110,
                                 .tree_sd = 0.08,
                                 .rest_sd = 0.13,
                                 .a_tree = 7};
        month_run(&tally, &plan);
    }
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        found += tally.found[d];
        announced += tally.announced[d];
        if (tally.announced[d] > 0) {
            print_message("%-15s %zu found, %.2f announced\n", ap_detector_name((ap_detector_id)d), tally.found[d],
                          tally.announced[d]);
        }
    }
    ap_interval interval;
    ap_error err;
    check_ok(ap_rate_interval(&interval, found, 0.99, &err), &err);
    print_message("%d months: %zu likely findings, %.1f announced, 99 %% interval of the count %.1f to %.1f\n", MONTHS,
                  found, announced, interval.low, interval.high);
    assert_true(tally.most <= check_limits()->expected_most);
    assert_true(announced >= interval.low && announced <= interval.high);
}

/* Kerfs and hooks back that go by trees: taken as independent, 400 such months gave 275 findings of these two where 15.9 were announced. */
static void picks_of_one_tree_alike_give_no_more(void **state) {
    (void)state;
    enum { MONTHS = 80 };
    month_tally tally = {.most = 0};
    for (uint64_t m = 0; m < MONTHS; m++) {
        const month_plan plan = {.seed = UINT64_C(6002560521919) + m,
                                 .before = 300,
                                 .picks = 110,
                                 .tree_sd = 0.08,
                                 .rest_sd = 0.13,
                                 .a_tree = 7,
                                 .alike = 0.3};
        month_run(&tally, &plan);
    }
    size_t found = tally.found[AP_DETECT_KERF] + tally.found[AP_DETECT_RE_RIG];
    double announced = tally.announced[AP_DETECT_KERF] + tally.announced[AP_DETECT_RE_RIG];
    ap_interval interval;
    ap_error err;
    check_ok(ap_rate_interval(&interval, found, 0.99, &err), &err);
    print_message("%d months of alike picks: %zu kerfs and hooks found, %.1f announced, 99 %% interval %.1f to %.1f\n",
                  MONTHS, found, announced, interval.low, interval.high);
    assert_true(announced >= interval.low && announced <= interval.high);
}

/* Every pick a tree of its own, so that the closed form of the power holds. */
static void what_is_there_is_found_as_often_as_computed(void **state) {
    (void)state;
    enum { SEEDS = 20 };
    month_tally tally = {.most = 0};
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        const month_plan plan = {.seed = UINT64_C(7002560521919) + seed,
                                 .before = 300,
                                 .picks = 110,
                                 .rest_sd = 0.13,
                                 .bias = 0.16,
                                 .a_tree = 1};
        month_run(&tally, &plan);
    }
    double power = tally.e1_power / SEEDS;
    ap_interval interval;
    ap_error err;
    check_ok(ap_share_interval(&interval, tally.e1_rows, SEEDS, 0.99, &err), &err);
    print_message("found in %zu of %d months, computed power %.2f, 99 %% interval of the share %.2f to %.2f\n",
                  tally.e1_rows, SEEDS, power, interval.low, interval.high);
    assert_true(power >= interval.low && power <= interval.high);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_there_is_found_as_often_as_computed),
        cmocka_unit_test(months_without_a_pattern_give_what_is_announced),
        cmocka_unit_test(picks_of_one_tree_alike_give_no_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
