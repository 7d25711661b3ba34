/* Reconstruction of ranges: corners exact, single values a point, what is outside the model counted. */
#include "support/check.h"

#include "analysis/recon_interval.h"

static ap_settings settings;
static const ap_company company = {.settings = &settings};

/* A 20 ft stick on two slings, balance point logged, so that only statics is at work. */
static ap_pick stick(void) {
    ap_pick pick;
    ap_pick_clear(&pick);
    pick.length_m = 6;
    pick.balance_point_m = 2.4;
    pick.lean_deg = 30;
    pick.measured_weight_kg = 1000;
    pick.measured_as = AP_WEIGHED_AS_NET;
    pick.rigging_weight_kg = 200;
    pick.cut_capacity_kg = 2400;
    pick.leg_count = 2;
    for (int i = 0; i < 2; i++) {
        pick.legs[i].state = AP_LEG_STATE_TIGHT;
        pick.legs[i].kind = AP_LEG_KIND_EYE;
        pick.legs[i].hitch = AP_HITCH_CHOKER;
    }
    pick.legs[0].at_m = 1;
    pick.legs[0].length_m = 3;
    pick.legs[1].at_m = 5;
    pick.legs[1].length_m = 3.5;
    return pick;
}

static ap_recon plain(const ap_pick *pick) {
    ap_derived derived;
    ap_recon recon;
    ap_wood wood;
    const ap_wood_given nothing = AP_WOOD_GIVEN_NOTHING;
    ap_derive(&derived, pick, &company);
    ap_wood_work_out(&wood, pick, &nothing, &company);
    ap_recon_given given = AP_RECON_GIVEN(&derived, &company);
    given.wood = &wood;
    ap_reconstruct(&recon, pick, &given);
    return recon;
}

static void single_values_are_a_point(void **state) {
    (void)state;
    ap_recon_interval interval;
    ap_error err;
    ap_settings_defaults(&settings);
    ap_pick pick = stick();
    ap_recon recon = plain(&pick);
    assert_int_equal(recon.no_movement.no, AP_RECON_SAID);
    check_ok(ap_recon_interval_read(&interval, &pick, NULL, &company, NULL, 0, &err), &err);
    assert_int_equal(interval.corners + interval.draws, 0);
    check_close(interval.figure[AP_INTERVAL_TURN_DEG].low, recon.turn_deg, 0, "the same function");
    check_close(interval.figure[AP_INTERVAL_TURN_DEG].high, recon.turn_deg, 0, "the same function");
    check_close(interval.figure[AP_INTERVAL_HOOK_KG].high, 1200, 1e-9, "1000 kg and 200 kg of block and slings");
    check_close(interval.figure[AP_INTERVAL_CAPACITY_SHARE].high, 0.5, 1e-12, "1200 of 2400 kg");
}

/* The load on the hook is linear in the weight and the share falls with the capacity: the ends are corners. */
static void corners_are_exact(void **state) {
    (void)state;
    ap_recon_interval interval;
    ap_error err;
    ap_pick pick = stick();
    const ap_interval_range ranges[] = {
        {AP_F_measured_weight, 900, 1500},
        {AP_F_cut_capacity, 2000, 2400},
        {AP_F_balance_point, 2.2, 2.6},
    };
    check_ok(ap_recon_interval_read(&interval, &pick, NULL, &company, ranges, 3, &err), &err);
    assert_int_equal(interval.corners, 8);
    assert_int_equal(interval.draws, AP_INTERVAL_DRAWS);
    check_close(interval.figure[AP_INTERVAL_HOOK_KG].low, 1100, 1e-9, "900 + 200");
    check_close(interval.figure[AP_INTERVAL_HOOK_KG].high, 1700, 1e-9, "1500 + 200");
    check_close(interval.figure[AP_INTERVAL_CAPACITY_SHARE].low, 1100.0 / 2400, 1e-12, "1100 of 2400 kg");
    check_close(interval.figure[AP_INTERVAL_CAPACITY_SHARE].high, 1700.0 / 2000, 1e-12, "1700 of 2000 kg");
    for (int end = 0; end < 2; end++) { /* the balance point alone moves the turn, and moves it one way */
        ap_pick at = pick;
        at.balance_point_m = end ? 2.6 : 2.2;
        double turn = plain(&at).turn_deg;
        assert_true(turn >= interval.figure[AP_INTERVAL_TURN_DEG].low - 1e-12);
        assert_true(turn <= interval.figure[AP_INTERVAL_TURN_DEG].high + 1e-12);
        bool is_end = fabs(turn - interval.figure[AP_INTERVAL_TURN_DEG].low) < 1e-9 ||
                      fabs(turn - interval.figure[AP_INTERVAL_TURN_DEG].high) < 1e-9;
        assert_true(is_end);
    }
    assert_true(interval.butt_up >= 0 && interval.butt_up <= 1);
    check_close(interval.butt_up_se, sqrt(interval.butt_up * (1 - interval.butt_up) / AP_INTERVAL_DRAWS), 1e-12,
                "binomial standard error");
}

/* The share of draws in which the butt goes up is that of the balance points on the far side of the one without a turn,
 * which bisection finds. */
static void draws_give_the_share(void **state) {
    (void)state;
    ap_recon_interval interval;
    ap_error err;
    ap_pick pick = stick();
    double low = 1.2;
    double high = 4.8;
    pick.lean_deg = 0;
    ap_pick at = pick;
    at.balance_point_m = low;
    bool up_at_low = plain(&at).butt_up_m > 0;
    at.balance_point_m = high;
    assert_true(up_at_low != (plain(&at).butt_up_m > 0));
    double a = low;
    double b = high;
    for (int i = 0; i < 60; i++) {
        at.balance_point_m = (a + b) / 2;
        *((plain(&at).butt_up_m > 0) == up_at_low ? &a : &b) = at.balance_point_m;
    }
    double share = up_at_low ? (a - low) / (high - low) : (high - a) / (high - low);
    const ap_interval_range range = {AP_F_balance_point, low, high};
    pick.balance_point_m = 3;
    check_ok(ap_recon_interval_read(&interval, &pick, NULL, &company, &range, 1, &err), &err);
    assert_int_equal(interval.without, 0);
    check_close(interval.butt_up, share, 4 * interval.butt_up_se, "uniform draws, four standard errors");
}

static void counts_what_is_outside_the_model(void **state) {
    (void)state;
    ap_recon_interval interval;
    ap_error err;
    ap_pick pick = stick();
    const ap_interval_range range = {AP_LF_at + AP_F_COUNT, -0.5, 0.5}; /* half of it before the butt */
    check_ok(ap_recon_interval_read(&interval, &pick, NULL, &company, &range, 1, &err), &err);
    assert_true(interval.without > 800 && interval.without < 1200);
    ap_interval_range many[AP_INTERVAL_RANGES + 1];
    for (int i = 0; i <= AP_INTERVAL_RANGES; i++) {
        many[i] = (ap_interval_range){AP_F_lean, 0, 1};
    }
    check_refused(ap_recon_interval_read(&interval, &pick, NULL, &company, many, AP_INTERVAL_RANGES + 1, &err),
                  AP_E_LIMIT, &err, "more than 24 ranges");
    pick.leg_count = 0;
    check_ok(ap_recon_interval_read(&interval, &pick, NULL, &company, NULL, 0, &err), &err);
    assert_true(isnan(interval.figure[AP_INTERVAL_TURN_DEG].low));
    assert_int_equal(interval.figure[AP_INTERVAL_TURN_DEG].met, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(single_values_are_a_point),
        cmocka_unit_test(corners_are_exact),
        cmocka_unit_test(draws_give_the_share),
        cmocka_unit_test(counts_what_is_outside_the_model),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
