/* The movement that the roster keeps is the one that `pick` shows: both with the brush that weighed pieces taught. The invented logs of
 * samples/ hold enough tops for one. */
#include <glob.h>

#include "analysis/brush_learnt.h"
#include "book/species.h"
#include "derive/reconstruct.h"
#include "intake/intake.h"
#include "nearmiss/hung.h"
#include "support/limits.h"

typedef struct walk {
    const ap_roster *roster;
    ap_company company;
    ap_book *book;
    size_t at;
    size_t worked_out, learnt, differ;
    const ap_roster *plain;
} walk;

static ap_status take(void *context, const ap_pick *pick, ap_error *err) {
    walk *w = context;
    (void)err;
    const ap_fact *fact = &w->roster->facts[w->at];
    const ap_fact *plain = &w->plain->facts[w->at++];
    ap_derived derived;
    ap_wood wood;
    ap_recon recon;
    ap_error unknown;
    ap_wood_given given = AP_WOOD_GIVEN_NOTHING;
    if (!pick->species_id || ap_book_species_get(&given.species, w->book, pick->species_id, &unknown) != AP_OK) {
        given.species = NULL;
    }
    ap_derive(&derived, pick, &w->company);
    ap_wood_work_out(&wood, pick, &given, &w->company);
    ap_recon_given recon_given = AP_RECON_GIVEN(&derived, &w->company);
    recon_given.wood = &wood;
    recon_given.closed_form_only = true;
    ap_reconstruct(&recon, pick, &recon_given);
    assert_int_equal(isnan(recon.butt_up_m), isnan((double)fact->rest->butt_up_m));
    assert_true(isnan(plain->rest->butt_up_m) &&
                isnan(plain->rest->way_m)); /* only worked out where the brush is known */
    if (!isnan(recon.butt_up_m)) {
        w->worked_out++;
        check_close((double)fact->rest->butt_up_m, recon.butt_up_m, 1e-6 * (1 + fabs(recon.butt_up_m)),
                    "one reconstruction: a float keeps six digits");
        w->learnt += recon.brush.from == AP_ORIGIN_LEARNT;
        ap_fact_rest rest;
        ap_fact by_default = {.rest = &rest};
        ap_fact_rest_blank(&rest);
        ap_company unlearnt = w->company;
        unlearnt.brush = NULL;
        ap_fact_set_ways(&by_default, pick, given.species, &unlearnt);
        bool same = fabs((double)by_default.rest->butt_up_m - (double)fact->rest->butt_up_m) < 1e-6;
        w->differ += recon.brush.from == AP_ORIGIN_LEARNT && !same;
        /* What the weighed pieces did not teach is as without them. */
        assert_true(same || recon.brush.from == AP_ORIGIN_LEARNT);
    }
    return AP_OK;
}

static void the_roster_moves_pieces_as_pick_does(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    glob_t logs;
    ap_intake_result result;
    ap_roster roster;
    ap_roster plain;
    double brush[AP_WOOD_BRUSH_CLASSES];
    fixture_make(&it);
    assert_int_equal(glob("samples/crew-*.csv", 0, NULL, &logs), 0);
    ap_intake_options options = {.author = fixture_author(), .no_copy = true};
    ap_intake_result_init(&result);
    check_ok(ap_intake_files(&result, it.book, (const char *const *)logs.gl_pathv, logs.gl_pathc, &options, &err),
             &err);
    ap_intake_result_release(&result);
    globfree(&logs);
    check_ok(ap_roster_load_learnt(&roster, it.book, AP_DATE_NONE, false, &err), &err);
    check_ok(ap_roster_load(&plain, it.book, AP_DATE_NONE, false, &err), &err);
    check_ok(ap_brush_learnt_read(brush, it.book, AP_DATE_NONE, &err), &err);
    walk w = {.roster = &roster, .plain = &plain, .company = roster.company, .book = it.book};
    w.company.brush = brush;
    const ap_pick_filter all = {.since = AP_DATE_NONE, .until = AP_DATE_NONE};
    check_ok(ap_book_each_pick(it.book, &all, take, &w, &err), &err);
    print_message("%zu picks, %zu with a movement worked out, %zu of them by the learnt brush, %zu not as by default\n",
                  w.at, w.worked_out, w.learnt, w.differ);
    assert_int_equal(w.at, roster.count);
    assert_true(w.learnt > 0 && w.differ > 0);
    /* What the detectors read of their period is the same. */
    ap_hung_list hung;
    check_ok(ap_hung_load(&hung, it.book, &plain, plain.facts, check_limits(), AP_DATE_NONE, AP_DATE_NONE, &err), &err);
    for (size_t i = 0; i < roster.count; i++) {
        const ap_fact *a = &roster.facts[i];
        const ap_fact *b = &plain.facts[i];
        assert_int_equal(isnan((double)a->rest->butt_up_m), isnan((double)b->rest->butt_up_m));
        if (!isnan((double)a->rest->butt_up_m)) {
            check_close((double)b->rest->butt_up_m, (double)a->rest->butt_up_m, 0, "the same reconstruction");
            check_close((double)b->rest->way_m, (double)a->rest->way_m, 0, "the same reconstruction");
        }
    }
    ap_hung_release(&hung);
    ap_roster_release(&plain);
    ap_roster_release(&roster);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_roster_moves_pieces_as_pick_does)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
