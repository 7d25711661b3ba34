/* The roster for the statistics of the error holds the facts of the whole one, but for what it says it leaves out. */
#include "analysis/roster.h"
#include "support/book_fixture.h"

enum { PICKS = 700 };

static void store(book_fixture *it) {
    fixture_import_begin(it, "a.csv", 'a');
    for (int i = 0; i < PICKS; i++) {
        char job[32], number[32], tree[32];
        snprintf(job, sizeof job, "J%d", i * 7 % 90);
        snprintf(number, sizeof number, "%d", PICKS - i);
        snprintf(tree, sizeof tree, "T%d", i % 3);
        ap_pick pick = fixture_pick(it, job, number, i % 2 ? "2026-10-06" : "2026-09-04", 1000 + i);
        pick.tree = i % 5 ? ap_str_from(tree) : AP_STR_NONE;
        pick.estimator = i % 4 ? AP_STR_LIT("Somebody Invented") : AP_STR_LIT("E7");
        pick.crane = i % 3 ? AP_STR_LIT("C1") : AP_STR_NONE;
        pick.cut = i % 6;
        pick.piece = i % 6;
        pick.estimate_basis = i % 5;
        pick.measured_as = i % 3;
        pick.planned_as = AP_WEIGHED_AS_NET;
        pick.near_miss = i % 7 ? 0 : AP_YESNO_YES;
        pick.toward = i % 5;
        pick.notes = i % 9 ? AP_STR_NONE : AP_STR_LIT("hollow at the union");
        fixture_set_quantity(&pick, AP_F_planned_weight, 900 + i, AP_UNIT_LB, 33);
        fixture_set_quantity(&pick, AP_F_length, 8 + i % 20, AP_UNIT_FT, 33);
        fixture_set_quantity(&pick, AP_F_butt_diameter, 12 + i % 12, AP_UNIT_IN, 33);
        fixture_set_quantity(&pick, AP_F_tip_diameter, 9, AP_UNIT_IN, 33);
        fixture_set_quantity(&pick, AP_F_planned_capacity, 1000 + 3 * i, AP_UNIT_LB, 33);
        pick.legs[0].kind = 1 + i % 3;
        ap_pick_count_legs(&pick);
        fixture_offer(it, &pick, NULL);
    }
    fixture_import_end(it);
}

static bool same_number(double a, double b) {
    return a == b || (isnan(a) && isnan(b));
}

/* What was asked beyond the error, and no more. */
static void check_depths(const ap_fact *all, const ap_fact *errors, const ap_fact *wood) {
    assert_true(same_number(all->rest->volume_m3, wood->rest->volume_m3));
    assert_true(same_number((double)all->rest->diameter_m, (double)wood->rest->diameter_m));
    assert_int_equal(all->wood, wood->wood);
    assert_int_equal(all->wood & ~AP_FACT_BUTT, errors->wood);
    assert_true(isnan(wood->rest->share_cut) && isnan(errors->rest->share_cut) && isnan(errors->rest->volume_m3));
    assert_int_equal(ap_fact_group(errors, AP_BY_SETUP), 0);
    assert_int_equal(ap_fact_group(wood, AP_BY_SETUP), 0);
}

static void test_facts_are_the_same(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_roster all;
    ap_roster errors;
    ap_roster wood;
    size_t above = 0;
    size_t butts = 0;
    fixture_make(&it);
    store(&it);
    check_ok(ap_roster_load(&all, it.book, AP_DATE_NONE, false, &err), &err);
    check_ok(ap_roster_load_errors(&errors, it.book, AP_DATE_NONE, false, &err), &err);
    check_ok(ap_roster_load_wood(&wood, it.book, AP_DATE_NONE, &err), &err);
    assert_int_equal(wood.count, PICKS);
    assert_int_equal(all.count, PICKS);
    assert_int_equal(errors.count, PICKS);
    assert_int_equal(all.trees_assumed, errors.trees_assumed);
    for (size_t i = 0; i < PICKS; i++) {
        const ap_fact *a = &all.facts[i];
        const ap_fact *b = &errors.facts[i];
        for (int by = 0; by < AP_BY_COUNT; by++) {
            if (by != AP_BY_SETUP) {
                check_str(ap_roster_label(&errors, (ap_by)by, ap_fact_group(b, by)),
                          ap_roster_label(&all, (ap_by)by, ap_fact_group(a, by)).ptr
                              ? ap_roster_label(&all, (ap_by)by, ap_fact_group(a, by)).ptr
                              : "");
                assert_int_equal(ap_fact_group(a, by), ap_fact_group(b, by));
            }
        }
        assert_true(same_number(a->log_error, b->log_error) && same_number(a->planned_net_kg, b->planned_net_kg));
        assert_true(same_number(a->hook_kg, b->hook_kg) && same_number(a->measured_net_kg, b->measured_net_kg));
        assert_true(same_number(a->share_planned, b->share_planned) && a->marks == b->marks);
        assert_true(same_number((double)a->replanned_log, (double)b->replanned_log));
        assert_int_equal(a->compared, b->compared);
        assert_int_equal(a->weighed_by, b->weighed_by);
        assert_int_equal(a->near_miss, b->near_miss);
        assert_int_equal(a->toward_person, b->toward_person);
        assert_int_equal(a->damage_noted, b->damage_noted);
        assert_int_equal(a->wood_class, b->wood_class);
        check_depths(a, b, &wood.facts[i]);
        butts += (wood.facts[i].wood & AP_FACT_BUTT) != 0;
        above += (b->wood & AP_FACT_ABOVE_CEILING) != 0;
    }
    assert_true(above > 0); /* the book has pieces heavier than wood can be */
    assert_true(butts > 0);
    ap_roster_release(&wood);
    ap_roster_release(&all);
    ap_roster_release(&errors);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_facts_are_the_same)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
