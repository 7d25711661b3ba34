/* Picks like one pick: who is in it and the figures, by hand. */
#include "analysis/similar.h"

#include "support/roster.h"

static ap_fact *add(ap_roster *roster, const char *name, double ratio, const char *species, const char *cut,
                    double planned_kg) {
    ap_fact *fact = check_roster_add(roster, name, 20000, ratio, species, cut, "E1", "T1");
    fact->planned_net_kg = (float)planned_kg;
    return fact;
}

static void picks_and_quarters_by_hand(void **state) {
    (void)state;
    ap_roster roster;
    ap_similar similar;
    ap_error err;
    check_roster_init(&roster);
    add(&roster, "J/1", 1.30, "red oak", "step", 1000);
    add(&roster, "J/2", 0.90, "red oak", "step", 1000);
    add(&roster, "J/3", 1.00, "red oak", "step", 1499); /* within a factor of 1.5 */
    add(&roster, "J/4", 1.10, "red oak", "step", 668);  /* within */
    add(&roster, "J/5", 1.40, "red oak", "step", 1200);
    add(&roster, "J/6", NAN, "red oak", "step", 900);   /* like it, not weighed */
    add(&roster, "J/7", 2.00, "red oak", "step", 1501); /* too large */
    add(&roster, "J/8", 2.00, "red oak", "step", 666);  /* too small */
    add(&roster, "J/9", 2.00, "white pine", "step", 1000);
    add(&roster, "J/10", 2.00, "red oak", "through", 1000);
    roster.facts[1].rest->movement = AP_MOVE_BIT(AP_MOVEMENT_STILL);
    roster.facts[2].rest->movement = AP_MOVE_BIT(AP_MOVEMENT_SETTLED);
    roster.facts[3].rest->movement = AP_MOVE_BIT(AP_MOVEMENT_SWING);
    roster.facts[4].near_miss = AP_YESNO_YES;
    check_ok(ap_similar_find(&similar, &roster, 0, &err), &err);
    assert_int_equal(similar.picks, 5);
    assert_int_equal(similar.compared, 4);
    assert_int_equal(similar.heavier, 1); /* J/5 alone */
    assert_int_equal(similar.moved_logged, 3);
    assert_int_equal(similar.moved, 1);
    assert_int_equal(similar.near_misses, 1);
    /* 0.9, 1.0, 1.1, 1.4: the middle between 1.0 and 1.1; quarters by linear interpolation (Hyndman and Fan 1996, type 7). */
    check_close(similar.median_ratio, 1.05, 1e-6, "by hand");
    check_close(similar.quarter, 0.975, 1e-6, "Hyndman and Fan 1996, type 7");
    check_close(similar.three_quarters, 1.175, 1e-6, "Hyndman and Fan 1996, type 7");
    assert_int_equal(similar.shown_count, 5);
    assert_int_equal(ap_roster_find(&roster, AP_STR_LIT("J/9")), 8);
    assert_true(ap_roster_find(&roster, AP_STR_LIT("J/99")) == SIZE_MAX);
    ap_roster_release(&roster);
}

static void what_they_share_is_given_up_in_order_while_too_few_are_found(void **state) {
    (void)state;
    ap_roster roster;
    ap_similar similar;
    ap_error err;
    check_roster_init(&roster);
    add(&roster, "J/1", 1.3, "red oak", "step", 1000);
    for (int i = 2; i < 8; i++) {
        char name[16];
        snprintf(name, sizeof name, "J/%d", i);
        add(&roster, name, 1.1, "red oak", i < 6 ? "step" : "through", 1000);
    }
    check_ok(ap_similar_find(&similar, &roster, 0, &err), &err);
    assert_int_equal(similar.picks, 6); /* 4 with the cut are fewer than 5 */
    assert_false(similar.by[AP_BY_CUT]);
    assert_true(similar.by[AP_BY_SPECIES]);
    add(&roster, "J/8", 1.1, "red oak", "step", 1000);
    check_ok(ap_similar_find(&similar, &roster, 0, &err), &err);
    assert_int_equal(similar.picks, 5);
    assert_true(similar.by[AP_BY_CUT]);
    ap_roster_release(&roster);
}

static void one_alone_has_none(void **state) {
    (void)state;
    ap_roster roster;
    ap_similar similar;
    ap_error err;
    check_roster_init(&roster);
    add(&roster, "J/1", NAN, "red oak", "", NAN);
    check_ok(ap_similar_find(&similar, &roster, 0, &err), &err);
    assert_int_equal(similar.picks, 0);
    assert_true(isnan(similar.median_ratio));
    assert_false(similar.by_size);
    ap_roster_release(&roster);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(picks_and_quarters_by_hand),
        cmocka_unit_test(what_they_share_is_given_up_in_order_while_too_few_are_found),
        cmocka_unit_test(one_alone_has_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
