#include "support/roster.h"

#include "analysis/people.h"

/* Five picks are shown by person, four are not; a blank estimator is nobody. */
static void fill(ap_roster *roster) {
    static const struct {
        const char *who;
        const char *cut;
        int picks;
    } made[] = {{"E1", "through", 5}, {"E1", "step", 4}, {"E2", "through", 4}, {"E3", "through", 1}, {"", "step", 3}};
    check_roster_init(roster);
    int n = 0;
    for (size_t i = 0; i < sizeof made / sizeof made[0]; i++) {
        for (int k = 0; k < made[i].picks; k++) {
            char name[16];
            snprintf(name, sizeof name, "J/%d", ++n);
            check_roster_add(roster, name, 20000, 1.1, "red oak", made[i].cut, made[i].who, "T1");
        }
    }
}

static const ap_weight_group *group_of(const ap_roster *roster, const ap_weight_table *table, const char *label) {
    ap_arena arena;
    ap_arena_init(&arena, 1 << 16);
    const ap_weight_group *found = NULL;
    for (size_t g = 0; g < table->count; g++) {
        ap_str text = ap_weight_group_label(&arena, roster, table, &table->groups[g]);
        found = ap_str_equal_word(text, label) ? &table->groups[g] : found;
    }
    ap_arena_release(&arena);
    return found;
}

static void few_picks_are_not_shown_by_person(void **state) {
    (void)state;
    ap_roster roster;
    ap_arena arena;
    ap_weight_table table;
    ap_error err;
    const ap_by by[] = {AP_BY_ESTIMATOR};
    fill(&roster);
    ap_arena_init(&arena, 1 << 20);
    check_ok(ap_people_merge(&roster, 0, roster.count, by, 1, &err), &err);
    check_ok(ap_weights(&table, &arena, &roster, 0, roster.count, by, 1, &err), &err);
    assert_int_equal(table.count, 3);
    assert_int_equal(group_of(&roster, &table, "E1")->picks, 9);
    assert_int_equal(group_of(&roster, &table, "people with fewer than 5 picks (2)")->picks, 5);
    assert_int_equal(group_of(&roster, &table, "not recorded")->picks, 3);
    assert_int_equal(table.all.picks, 17);
    ap_arena_release(&arena);
    ap_roster_release(&roster);
}

static void each_cell_of_two_groupings_counts_for_itself(void **state) {
    (void)state;
    ap_roster roster;
    ap_arena arena;
    ap_weight_table table;
    ap_error err;
    const ap_by by[] = {AP_BY_CUT, AP_BY_ESTIMATOR};
    fill(&roster);
    ap_arena_init(&arena, 1 << 20);
    check_ok(ap_people_merge(&roster, 0, roster.count, by, 2, &err), &err);
    check_ok(ap_weights(&table, &arena, &roster, 0, roster.count, by, 2, &err), &err);
    assert_int_equal(group_of(&roster, &table, "through, E1")->picks, 5);
    assert_null(group_of(&roster, &table, "step, E1"));
    assert_int_equal(group_of(&roster, &table, "step, people with fewer than 5 picks (3)")->picks, 4);
    assert_true(group_of(&roster, &table, "step, people with fewer than 5 picks (3)")->median_ratio > 0);
    ap_people_blank_groups(&table, &roster); /* four picks may be one person's: the counts stay, the figures do not */
    const ap_weight_group *four = group_of(&roster, &table, "step, people with fewer than 5 picks (3)");
    assert_true(four->count == 4 && isnan(four->median_ratio) && isnan(four->worst_ratio) && four->worst == SIZE_MAX);
    assert_true(group_of(&roster, &table, "through, E1")->median_ratio > 0);
    assert_int_equal(group_of(&roster, &table, "through, people with fewer than 5 picks (3)")->picks, 5);
    ap_arena_release(&arena);
    ap_roster_release(&roster);
}

static void names_and_other_groupings_stay_as_they_are(void **state) {
    (void)state;
    ap_error err;
    const ap_by person[] = {AP_BY_ESTIMATOR};
    const ap_by cut[] = {AP_BY_CUT};
    for (int names = 0; names < 2; names++) {
        ap_roster roster;
        fill(&roster);
        roster.names = names;
        uint32_t before = ap_fact_group(&roster.facts[roster.count - 4], AP_BY_ESTIMATOR);
        check_ok(ap_people_merge(&roster, 0, roster.count, names ? person : cut, 1, &err), &err);
        assert_int_equal(ap_fact_group(&roster.facts[roster.count - 4], AP_BY_ESTIMATOR), before);
        check_ok(ap_people_merge(&roster, 0, 0, person, 1, &err), &err);
        ap_roster_release(&roster);
    }
}

/* The slope of a handful of picks is as much about one person as their median. */
static void no_slope_of_few_picks(void **state) {
    (void)state;
    ap_error err;
    const ap_by by[] = {AP_BY_ESTIMATOR};
    for (int picks = 4; picks <= 5; picks++) {
        ap_roster roster;
        ap_arena arena;
        ap_trend trend;
        check_roster_init(&roster);
        ap_arena_init(&arena, 1 << 20);
        for (int i = 0; i < picks; i++) { /* a month and a job each */
            char name[16];
            snprintf(name, sizeof name, "J%d/1", i);
            ap_fact *fact = check_roster_add(&roster, name, 20000 + 31 * i, 1 + .05 * i, "red oak", "step", "E1", "T1");
            char month[AP_ISO_SIZE];
            ap_month_to_iso(month, ap_month_index(fact->date));
            ap_fact_set_group(fact, AP_BY_MONTH, ap_intern_add(roster.labels[AP_BY_MONTH], ap_str_from(month)));
        }
        check_ok(ap_trend_work_out(&trend, &arena, &roster, 0, roster.count, by, 1, &err), &err);
        assert_true(trend.count == 1 && trend.series[0].by_month.has_slope);
        ap_people_blank_months(&trend, &roster);
        assert_true(trend.series[0].by_month.has_slope == (picks == 5));
        assert_false(trend.series[0].by_job.has_slope && picks < 5);
        assert_true(isnan(trend.series[0].months[0].median_log));
        ap_arena_release(&arena);
        ap_roster_release(&roster);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(few_picks_are_not_shown_by_person),
        cmocka_unit_test(each_cell_of_two_groupings_counts_for_itself),
        cmocka_unit_test(names_and_other_groupings_stay_as_they_are),
        cmocka_unit_test(no_slope_of_few_picks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
