/* Before and after an action. */
#include "support/roster.h"

#include "analysis/action_effect.h"

static const char newcombe[] = "Newcombe 1998, Statistics in Medicine 17:873-890, table II, contrast (a), method 10; "
                               "from memory, to be confirmed";

static void difference_of_shares_as_published(void **state) {
    (void)state;
    ap_interval interval;
    ap_error err;
    check_ok(ap_share_difference(&interval, 56.0 / 70, 70, 48.0 / 80, 80, 0.95, &err), &err);
    check_close(interval.low, 0.0524, 5e-5, newcombe);
    check_close(interval.high, 0.3339, 5e-5, newcombe);
    check_ok(ap_share_difference(&interval, 0, 10, 0, 10, 0.95, &err), &err);
    check_close(interval.low, -interval.high, 1e-12, "symmetry of the method");
    check_refused(ap_share_difference(&interval, 1.5, 10, 0, 10, 0.95, &err), AP_E_DOMAIN, &err, "between 0 and 1");
    check_refused(ap_share_difference(&interval, 0, 0, 0, 10, 0.95, &err), AP_E_DOMAIN, &err, "picks on both sides");
}

/* `trees` trees of 4 picks a month apart from `from`; of each four, `heavy` are 30 % heavier than planned. */
static void add(ap_roster *roster, ap_date from, int trees, int heavy, const char *species) {
    for (int tree = 0; tree < trees; tree++) {
        for (int i = 0; i < 4; i++) {
            char name[32];
            char of[32];
            snprintf(name, sizeof name, "J%d-%d/%d", (int)from, tree, i);
            snprintf(of, sizeof of, "J%d/%d", (int)from, tree);
            check_roster_add(roster, name, from + tree, i < heavy ? 1.3 : 1.0, species, "step", "E1", of);
        }
    }
}

static ap_action action_of(const char *figure, const char *species) {
    return (ap_action){
        .opened = 20000,
        .closed = 20010,
        .state = AP_STR_LIT("done"),
        .measure = {.figure = ap_str_from(figure), .species = species ? ap_str_from(species) : AP_STR_NONE}};
}

static void counts_the_year_before_and_what_came_after(void **state) {
    (void)state;
    ap_roster roster;
    ap_effect effect;
    ap_error err;
    check_roster_init(&roster);
    add(&roster, 20000 - 400, 1, 4, "beech"); /* more than a year before: not counted */
    add(&roster, 20000 - 100, 25, 2, "beech");
    add(&roster, 20000 - 10, 1, 4, "silver maple");
    add(&roster, 20005, 1, 4, "beech"); /* between agreed and done: neither */
    add(&roster, 20011, 30, 0, "beech");
    ap_action action = action_of("heavier", "beech");
    check_ok(ap_effect_read(&effect, &roster, &action, 21000, &err), &err);
    assert_int_equal(effect.before.picks, 100);
    assert_int_equal(effect.before.events, 50);
    assert_int_equal(effect.before.trees, 25);
    assert_int_equal(effect.after.picks, 120);
    assert_int_equal(effect.after.events, 0);
    assert_true(effect.has_difference && effect.moved_down && !effect.moved_up);
    check_close(effect.difference, -0.5, 1e-12, "50 of 100 before, none after");

    action = action_of("bias", NULL);
    check_ok(ap_effect_read(&effect, &roster, &action, 21000, &err), &err);
    assert_int_equal(effect.before.picks, 104);
    assert_int_equal(effect.after.picks, 120);
    assert_true(effect.moved_down);

    action = action_of("heavier", "white ash"); /* no such pick */
    check_ok(ap_effect_read(&effect, &roster, &action, 21000, &err), &err);
    assert_int_equal(effect.before.picks + effect.after.picks, 0);
    assert_false(effect.has_difference);
    assert_true(isnan(effect.before.value));
    ap_roster_release(&roster);
}

/* The same shares from picks that share their fate within trees say less. */
static void picks_of_one_tree_do_not_count_as_many(void **state) {
    (void)state;
    ap_roster apart;
    ap_roster together;
    ap_effect a;
    ap_effect b;
    ap_error err;
    check_roster_init(&apart);
    check_roster_init(&together);
    add(&apart, 20000 - 100, 8, 2, "beech");
    add(&apart, 20011, 8, 1, "beech");
    for (int tree = 0; tree < 8; tree++) {
        add(&together, 20000 - 100 + tree, 1, tree < 4 ? 4 : 0, "beech");
    }
    for (int tree = 0; tree < 8; tree++) {
        add(&together, 20011 + tree, 1, tree < 2 ? 4 : 0, "beech");
    }
    ap_action action = action_of("heavier", NULL);
    check_ok(ap_effect_read(&a, &apart, &action, 21000, &err), &err);
    check_ok(ap_effect_read(&b, &together, &action, 21000, &err), &err);
    check_close(a.difference, b.difference, 1e-12, "equal counts");
    assert_true(b.high - b.low > 1.5 * (a.high - a.low));
    ap_roster_release(&apart);
    ap_roster_release(&together);
}

static void says_when_it_is_too_early(void **state) {
    (void)state;
    ap_roster roster;
    ap_effect effect;
    ap_error err;
    check_roster_init(&roster);
    add(&roster, 20000 - 100, 10, 2, "beech");
    add(&roster, 20011, 1, 2, "beech");
    ap_action action = action_of("heavier", NULL);
    check_ok(ap_effect_read(&effect, &roster, &action, 21000, &err), &err);
    assert_false(effect.has_difference); /* one tree after */
    /* Fleiss 1981, equation 3.14, one-sided 5 %, power 80 %, .5 against .25: mean .375,
     * (1.6449 sqrt(2 .375 .625) + .8416 sqrt(.25 + .1875))^2 / .0625 = 45.3, worked by hand. */
    assert_int_equal(effect.needed, 46);
    action = action_of("heaviest", NULL);
    check_refused(ap_effect_read(&effect, &roster, &action, 21000, &err), AP_E_DOMAIN, &err, "'heaviest'");
    ap_roster_release(&roster);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(difference_of_shares_as_published),
        cmocka_unit_test(counts_the_year_before_and_what_came_after),
        cmocka_unit_test(picks_of_one_tree_do_not_count_as_many),
        cmocka_unit_test(says_when_it_is_too_early),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
