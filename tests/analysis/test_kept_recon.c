/* A kept result is used when it is of the same inputs and balances, and worked out again else; undo takes it along. */
#include "support/book_fixture.h"

#include "analysis/kept_recon.h"
#include "book/reconstructions.h"

typedef struct bench {
    ap_pick pick;
    ap_settings settings;
    ap_company company;
    ap_recon recon;
    ap_recon_kept kept;
} bench;

/* Three chains in the plane of the lean, the third one carrying too. */
static void three_legs(ap_pick *p) {
    p->length_m = 9.0;
    p->balance_point_m = 4.2;
    p->lean_deg = 20.0;
    p->measured_weight_kg = 1500.0;
    p->measured_as = AP_WEIGHED_AS_NET;
    for (int i = 0; i < 3; i++) {
        p->legs[i].kind = AP_LEG_KIND_CHAIN;
        p->legs[i].at_m = 1.5 + 2.5 * i;
        p->legs[i].length_m = i == 1 ? 4.9 : 5.6;
        p->legs[i].wll_kg = 3000.0;
        p->legs[i].state = AP_LEG_STATE_TIGHT;
    }
    ap_pick_count_legs(p);
}

static void start(bench *b) {
    memset(b, 0, sizeof *b);
    ap_pick_clear(&b->pick);
    ap_settings_defaults(&b->settings);
    b->company.settings = &b->settings;
    three_legs(&b->pick);
}

static void work_out(bench *b) {
    ap_derived derived;
    ap_derive(&derived, &b->pick, &b->company);
    ap_recon_given given = AP_RECON_GIVEN(&derived, &b->company);
    given.kept = &b->kept;
    ap_reconstruct(&b->recon, &b->pick, &given);
    assert_int_equal(b->recon.no_hang.no, AP_RECON_SAID);
}

static void a_kept_result_is_the_same_result(void **state) {
    (void)state;
    bench b;
    start(&b);
    assert_true(ap_recon_wants_solver(&b.pick));
    work_out(&b);
    assert_true(b.kept.fresh);
    ap_recon first = b.recon;
    b.kept.fresh = false;
    work_out(&b);
    assert_false(b.kept.fresh);
    check_close(b.recon.inclination_deg, first.inclination_deg, 0, "bit for bit");
    check_close(b.recon.flattest_deg, first.flattest_deg, 0, "bit for bit");
    for (int i = 0; i < 3; i++) {
        check_close(b.recon.legs[i].tension_n, first.legs[i].tension_n, 0, "bit for bit");
        assert_true(b.recon.legs[i].tight == first.legs[i].tight);
    }
}

static void other_inputs_are_worked_out_again(void **state) {
    (void)state;
    bench b;
    start(&b);
    work_out(&b);
    double *inputs[] = {&b.pick.measured_weight_kg, &b.pick.legs[0].length_m, &b.pick.legs[2].at_m,
                        &b.pick.legs[1].wll_kg,     &b.pick.balance_point_m,  &b.pick.length_m};
    for (size_t i = 0; i < sizeof inputs / sizeof *inputs; i++) {
        b.kept.fresh = false;
        *inputs[i] *= 1.001;
        work_out(&b);
        assert_true(b.kept.fresh);
    }
    b.kept.fresh = false;
    b.kept.fingerprint ^= 1; /* another version of the method */
    work_out(&b);
    assert_true(b.kept.fresh);
}

/* A stranger's row under the right fingerprint: every number that matters, bent, is found out. */
static void a_row_that_does_not_balance_is_not_believed(void **state) {
    (void)state;
    bench b;
    start(&b);
    work_out(&b);
    const ap_recon_kept good = b.kept;
    static const int bent[] = {0, 2, 3, 4, 7, 10, 13}; /* inclination, hook, tensions */
    for (size_t i = 0; i < sizeof bent / sizeof *bent; i++) {
        static const double wrong[] = {NAN, INFINITY, -1.0, 1e300};
        for (int k = 0; k < 5; k++) {
            b.kept = good;
            b.kept.fresh = false;
            b.kept.values[bent[i]] = k < 4 ? wrong[k] : good.values[bent[i]] + 0.5 + 0.01 * fabs(good.values[bent[i]]);
            work_out(&b);
            if (!b.kept.fresh) {
                fail_msg("value %d bent to %g was believed", bent[i], b.kept.values[bent[i]]);
            }
        }
    }
    b.kept = good;
    b.kept.fresh = false;
    b.kept.values[6] = -1; /* residual */
    work_out(&b);
    assert_true(b.kept.fresh);
}

/* Two legs in the plane are left to the closed form. */
static void the_closed_form_is_not_kept(void **state) {
    (void)state;
    bench b;
    start(&b);
    b.pick.legs[2] = b.pick.legs[3];
    ap_pick_count_legs(&b.pick);
    assert_false(ap_recon_wants_solver(&b.pick));
    work_out(&b);
    assert_false(b.kept.fresh);
    b.pick.legs[1].side_m = 0.3;
    assert_true(ap_recon_wants_solver(&b.pick));
}

static int64_t rows(ap_book *book, int64_t pick_id) {
    bool found = false;
    uint64_t fingerprint = 0;
    double values[AP_KEPT_VALUES];
    ap_error err;
    check_ok(ap_book_reconstruction_get(&found, &fingerprint, values, book, pick_id, &err), &err);
    return found;
}

static void the_book_keeps_it_once(void **state) {
    (void)state;
    book_fixture it;
    bench b;
    ap_error err;
    ap_arena arena;
    ap_pick stored;
    size_t count = 0;
    ap_arena_init(&arena, 1 << 20);
    fixture_make(&it);
    start(&b);
    ap_pick pick = fixture_pick(&it, "J1", "1", "2026-10-01", 3000);
    three_legs(&pick);
    fixture_store(&it, &pick, '1');
    ap_pick plain = fixture_pick(&it, "J1", "2", "2026-10-01", 3000);
    fixture_store(&it, &plain, '2');
    check_ok(ap_kept_recon_write(&count, it.book, &b.company, 0, &err), &err);
    assert_int_equal(count, 1);
    check_ok(ap_kept_recon_write(&count, it.book, &b.company, 0, &err), &err);
    assert_int_equal(count, 0);
    check_ok(ap_book_get_pick(&stored, &arena, it.book, AP_STR_LIT("J1/1"), &err), &err);
    assert_int_equal(rows(it.book, stored.id), 1);
    b.pick = stored;
    check_ok(ap_kept_recon_read(&b.kept, it.book, &stored, &err), &err);
    assert_true(b.kept.present);
    work_out(&b);
    assert_false(b.kept.fresh);
    fixture_remove(&it);
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_kept_result_is_the_same_result),
        cmocka_unit_test(other_inputs_are_worked_out_again),
        cmocka_unit_test(a_row_that_does_not_balance_is_not_believed),
        cmocka_unit_test(the_closed_form_is_not_kept),
        cmocka_unit_test(the_book_keeps_it_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
