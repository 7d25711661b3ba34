#include "support/roster.h"

#include "analysis/weights.h"

/* Six weighed picks on three trees and one unweighed; all figures worked by hand from these ratios. */
static void fill(ap_roster *roster) {
    check_roster_init(roster);
    check_roster_add(roster, "J1/1", 100, 1.20, "white oak", "step", "E1", "J1/a");
    check_roster_add(roster, "J1/2", 100, 1.00, "white oak", "step", "E1", "J1/a");
    check_roster_add(roster, "J1/3", 101, 0.90, "white oak", "through", "E1", "J1/b");
    check_roster_add(roster, "J1/4", 101, NAN, "white oak", "step", "E1", "J1/b");
    check_roster_add(roster, "J2/1", 102, 1.10, "beech", "step", "E2", "J2/a");
    check_roster_add(roster, "J2/2", 102, 1.50, "beech", "step", "E2", "J2/a");
    check_roster_add(roster, "J2/3", 102, 1.25, "beech", "step", "E2", "J2/a");
}

static void groups_are_worked_as_by_hand(void **state) {
    (void)state;
    ap_roster roster;
    ap_arena arena;
    ap_error err;
    ap_weight_table table;
    fill(&roster);
    ap_arena_init(&arena, 1u << 20);
    const ap_by by[] = {AP_BY_SPECIES};
    check_ok(ap_weights(&table, &arena, &roster, 0, roster.count, by, 1, &err), &err);
    assert_int_equal(table.count, 2);
    assert_int_equal(table.all.picks, 7);
    assert_int_equal(table.all.count, 6);
    assert_int_equal(table.why_not[AP_NOT_WEIGHED], 1);

    const ap_weight_group *oak = &table.groups[1];
    check_str(ap_weight_group_label(&arena, &roster, &table, oak), "white oak");
    assert_int_equal(oak->picks, 4);
    assert_int_equal(oak->count, 3);
    assert_int_equal(oak->trees, 2);
    check_close(oak->median_ratio, 1.00, 1e-12, "middle of 0.90, 1.00, 1.20");
    check_close(table.all.median_ratio, (1.10 + 1.20) / 2, 1e-12, "between the third and fourth of the six ratios");
    check_close(table.all.median_log, (log(1.10) + log(1.20)) / 2, 1e-12, "between the third and fourth of the logs");
    check_close(oak->mean_log_ratio, (log(1.2) + log(1.0) + log(0.9)) / 3, 1e-15, "plain mean");
    check_close(oak->share_heavier, 1.0 / 3, 1e-15, "only 1.20 is above 1.10");
    check_close(oak->worst_ratio, 1.20, 1e-12, "largest");
    assert_string_equal(roster.facts[oak->worst].rest->name, "J1/1");
    /* Means of the trees: m1 = (ln 1.2 + 0) / 2, m2 = ln 0.9; t with one degree of freedom at 90 % two-sided is
     * tan(0.45 pi) = 6.313751515 (Student's t with one degree is Cauchy). */
    double m1 = log(1.2) / 2;
    double m2 = log(0.9);
    double half = 6.313751514675043 * fabs(m1 - m2) / 2;
    check_close(log(oak->ratio_low), (m1 + m2) / 2 - half, 1e-9, "t interval of two tree means, Cauchy quantile");
    check_close(log(oak->ratio_high), (m1 + m2) / 2 + half, 1e-9, "t interval of two tree means, Cauchy quantile");

    const ap_weight_group *beech = &table.groups[0];
    assert_int_equal(beech->trees, 1);
    assert_true(isnan(beech->ratio_low));
    check_close(beech->share_heavier, 2.0 / 3, 1e-15, "1.10 itself is a tie, not heavier by more than 10 %");
    ap_arena_release(&arena);
    ap_roster_release(&roster);
}

static void two_groupings_and_a_slice(void **state) {
    (void)state;
    ap_roster roster;
    ap_arena arena;
    ap_error err;
    ap_weight_table table;
    fill(&roster);
    ap_arena_init(&arena, 1u << 20);
    ap_by by[AP_WEIGHTS_BY_MAX];
    size_t by_count;
    check_ok(ap_weights_parse_by(by, &by_count, AP_STR_LIT("species, cut"), &err), &err);
    size_t first;
    size_t end;
    ap_roster_slice(&roster, 100, 101, &first, &end);
    assert_int_equal(first, 0);
    assert_int_equal(end, 4);
    check_ok(ap_weights(&table, &arena, &roster, first, end, by, by_count, &err), &err);
    assert_int_equal(table.count, 2);
    check_str(ap_weight_group_label(&arena, &roster, &table, &table.groups[0]), "white oak, step");
    assert_int_equal(table.groups[0].picks, 3);
    ap_arena_release(&arena);
    ap_roster_release(&roster);
}

static void nothing_gives_no_number(void **state) {
    (void)state;
    ap_roster roster;
    ap_arena arena;
    ap_error err;
    ap_weight_table table;
    check_roster_init(&roster);
    check_roster_add(&roster, "J1/1", 100, NAN, "beech", "", "", "t");
    ap_arena_init(&arena, 1u << 20);
    const ap_by by[] = {AP_BY_CUT};
    check_ok(ap_weights(&table, &arena, &roster, 0, 0, by, 1, &err), &err);
    assert_int_equal(table.count, 0);
    check_ok(ap_weights(&table, &arena, &roster, 0, 1, by, 1, &err), &err);
    assert_int_equal(table.groups[0].count, 0);
    assert_true(isnan(table.groups[0].median_ratio));
    check_str(ap_weight_group_label(&arena, &roster, &table, &table.groups[0]), "not recorded");
    ap_arena_release(&arena);
    ap_roster_release(&roster);
}

static void words_of_by_are_checked(void **state) {
    (void)state;
    ap_by by[AP_WEIGHTS_BY_MAX];
    size_t count;
    ap_error err;
    check_refused(ap_weights_parse_by(by, &count, AP_STR_LIT("specie"), &err), AP_E_USAGE, &err, "species, cut, basis");
    check_refused(ap_weights_parse_by(by, &count, AP_STR_LIT("cut,cut"), &err), AP_E_USAGE, &err, "twice");
    check_refused(ap_weights_parse_by(by, &count, AP_STR_LIT("cut,species,crew,crane,month"), &err), AP_E_USAGE, &err,
                  "at most 4");
}

/* Sorting into groups keeps every pick once, whatever the number of groups. */
static void many_groups_add_up(void **state) {
    (void)state;
    ap_roster roster;
    ap_arena arena;
    ap_error err;
    ap_weight_table table;
    check_roster_init(&roster);
    enum { PICKS = 5000, SPECIES = 700 };
    for (int i = 0; i < PICKS; i++) {
        char species[16];
        char name[16];
        snprintf(species, sizeof species, "s%d", (i * 31) % SPECIES);
        snprintf(name, sizeof name, "J/%d", i);
        check_roster_add(&roster, name, i / 50, 1 + (i % 7) / 100.0, species, "step", "E", species);
    }
    ap_arena_init(&arena, 16u << 20);
    const ap_by by[] = {AP_BY_SPECIES};
    check_ok(ap_weights(&table, &arena, &roster, 0, roster.count, by, 1, &err), &err);
    assert_int_equal(table.count, SPECIES);
    size_t picks = 0;
    for (size_t g = 0; g < table.count; g++) {
        picks += table.groups[g].count;
    }
    assert_int_equal(picks, PICKS);
    ap_arena_release(&arena);
    ap_roster_release(&roster);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(groups_are_worked_as_by_hand), cmocka_unit_test(two_groupings_and_a_slice),
        cmocka_unit_test(nothing_gives_no_number),      cmocka_unit_test(words_of_by_are_checked),
        cmocka_unit_test(many_groups_add_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
