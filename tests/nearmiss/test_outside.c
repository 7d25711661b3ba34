/* What chance makes and what is found, on invented months drawn from seeds that were chosen after the detectors were frozen. */
#include "nearmiss/months.h"

#include "nearmiss/detect.h"
#include "stats/rates.h"
#include "stats/runs.h"

static void run_month(const month_plan *plan, ap_chance *chance, size_t *likely, size_t by[AP_DETECT_COUNT],
                      bool *biased_run) {
    ap_roster roster;
    ap_arena arena;
    ap_finding_list findings;
    ap_error err;
    check_roster_init(&roster);
    ap_arena_init(&arena, 64u << 20);
    ap_finding_list_init(&findings, &arena);
    month_add(&roster, plan);
    const ap_detect_given given = {.roster = &roster, .limits = check_limits()};
    check_ok(ap_detect_all(&findings, chance, &given, MONTH_FIRST, MONTH_LAST, &err), &err);
    for (size_t f = 0; f < findings.count; f++) {
        const ap_finding *finding = &findings.items[f];
        *likely += finding->class == AP_FINDING_LIKELY;
        by[finding->detector] += finding->class == AP_FINDING_LIKELY;
        bool run = finding->detector == AP_DETECT_HEAVIER_RUN && finding->groups & 1;
        *biased_run = *biased_run || (run && strstr(finding->scope.ptr, "estimator E1"));
    }
    ap_arena_release(&arena);
    ap_roster_release(&roster);
}

/* Both sides: crying wolf fails, and too silent fails too. Garwood 1936 for the interval of the count. */
static void months_without_a_pattern_give_what_is_announced(void **state) {
    (void)state;
    double announced = 0;
    double most = 0;
    size_t seen = 0;
    size_t by[AP_DETECT_COUNT] = {0};
    double each[AP_DETECT_COUNT] = {0};
    enum { MONTHS = 80 };
    for (uint64_t m = 0; m < MONTHS; m++) {
        const month_plan plan = {
            .seed = 2026112600 + m, .before = 300, .picks = 110, .tree_sd = 0.08, .rest_sd = 0.13, .a_tree = 7};
        ap_chance chance;
        bool run = false;
        run_month(&plan, &chance, &seen, by, &run);
        announced += chance.expected;
        most = fmax(most, chance.expected);
        for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
            each[d] += chance.line[d].looked ? chance.line[d].expected : 0;
        }
    }
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        if (each[d] > 0) {
            print_message("%-15s %zu found, %.2f announced\n", ap_detector_name((ap_detector_id)d), by[d], each[d]);
        }
    }
    ap_interval interval;
    ap_error err;
    check_ok(ap_rate_interval(&interval, seen, 0.99, &err), &err);
    print_message("%d months: %zu likely findings, %.1f announced, 99 %% interval of the count %.1f to %.1f\n", MONTHS,
                  seen, announced, interval.low, interval.high);
    assert_true(most <= check_limits()->expected_most);
    assert_true(announced >= interval.low && announced <= interval.high);
}

/* Power by the exact chance of a run (Feller 1968, XIII.7; ap_runs_chance) at the limit that the review took, for the picks that
 * estimator E1 weighed in the month; every pick a tree of its own, so that the closed form holds. */
static void what_is_there_is_found_as_often_as_computed(void **state) {
    (void)state;
    enum { SEEDS = 20 };
    const double bias = 0.16;
    double power = 0;
    size_t found = 0;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        const month_plan plan = {
            .seed = 77000001 + seed, .before = 300, .picks = 110, .rest_sd = 0.13, .bias = bias, .a_tree = 1};
        ap_roster roster;
        ap_chance chance;
        ap_error err;
        size_t likely = 0;
        size_t by[AP_DETECT_COUNT] = {0};
        bool run = false;
        run_month(&plan, &chance, &likely, by, &run);
        found += run;
        check_roster_init(&roster);
        month_add(&roster, &plan);
        size_t weighed = 0;
        for (size_t i = plan.before; i < roster.count; i++) {
            ap_str who = ap_roster_label(&roster, AP_BY_ESTIMATOR, ap_fact_group(&roster.facts[i], AP_BY_ESTIMATOR));
            weighed += ap_str_equal_word(who, "E1");
        }
        ap_roster_release(&roster);
        double share = NAN;
        double one = NAN;
        check_ok(ap_runs_share(&share, 1.1, bias, plan.rest_sd, &err), &err);
        check_ok(ap_runs_chance(&one, share, (unsigned)chance.line[AP_DETECT_HEAVIER_RUN].limit, weighed, &err), &err);
        power += one / SEEDS;
    }
    ap_interval interval;
    ap_error err;
    check_ok(ap_share_interval(&interval, found, SEEDS, 0.99, &err), &err);
    print_message("found in %zu of %d months, computed power %.2f, 99 %% interval of the share %.2f to %.2f\n", found,
                  SEEDS, power, interval.low, interval.high);
    assert_true(power >= interval.low && power <= interval.high);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_there_is_found_as_often_as_computed),
        cmocka_unit_test(months_without_a_pattern_give_what_is_announced),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
