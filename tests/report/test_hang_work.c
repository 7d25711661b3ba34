/* The hang as `calc hang` works it out: turn, way of butt and tip, drop before a slack leg bites, peak, use, load. */
#include "support/check.h"

#include "mech/hang.h"
#include "report/hang_work.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;

static ap_hang_ask_leg leg(double at_m, double length_m) {
    return (ap_hang_ask_leg){.at_m = at_m, .length_m = length_m, .stiffness_n_m = NAN, .wll_kg = NAN, .choke_deg = NAN};
}

static ap_hang_ask ask_two(double l1, double l2, double x1, double x2, double cg_m, double weight_n) {
    return (ap_hang_ask){.legs = {leg(x1, l1), leg(x2, l2)},
                         .leg_count = 2,
                         .cg_m = cg_m,
                         .weight_n = weight_n,
                         .lean_deg = NAN,
                         .piece_m = NAN,
                         .preload_n = NAN,
                         .rigging_kg = NAN,
                         .capacity_kg = NAN};
}

/* C01: exact right triangle, 6-8-10: 600 and 800, tip down 16.260. At a lean of 40 the butt lies 3.6 sin 40 + 4.8 cos 40
 * below the hook, at rest 3.6. */
static void the_right_triangle(void **state) {
    (void)state;
    ap_hang_ask ask = ask_two(6, 8, 0, 10, 5, 1000);
    ap_hang_worked w;
    ap_error err = {0};
    check_ok(ap_hang_work(&w, &ask, &err), &err);
    check_close(w.said.inclination_deg, -16.260, 0.001, "C01 derived");
    check_close(w.said.legs[0].tension_n, 600, 0.01, "C01 derived");
    check_close(w.said.legs[1].tension_n, 800, 0.01, "C01 derived");
    check_close(w.said.residual_n, 0, 1e-9 * 1000, "issue: balanced to 1e-9 of the weight");
    assert_true(isnan(w.said.turn_deg) && isnan(w.said.butt_rise_m) && !w.peak_known && isnan(w.said.hook_load_kg));

    ask.lean_deg = 20;
    ask.piece_m = 12;
    check_ok(ap_hang_work(&w, &ask, &err), &err);
    check_close(w.said.turn_deg, -36.260, 0.001, "C01 and methods note: inclination less lean");
    check_close(w.said.butt_rise_m, 3.6 * sin(20 * DEGREE) + 4.8 * cos(20 * DEGREE) - 3.6, 1e-9, "3-4-5 by hand");
    /* The tip: 8.4 along and 4.8 across from the hook; at rest 8.4 x 0.28 + 4.8 x 0.96 below it. */
    check_close(w.said.tip_rise_m, -8.4 * sin(20 * DEGREE) + 4.8 * cos(20 * DEGREE) - (8.4 * 0.28 + 4.8 * 0.96), 1e-9,
                "7-24-25 by hand");
    check_close(w.said.butt_way_m, 2 * 6 * sin(36.26020470831196 / 2 * DEGREE), 1e-9,
                "chord of the turn about the hook");
    assert_true(w.before_cut[0] == '\0' && w.no_movement[0] == '\0');

    /* At 40 degrees the hook would lie below the upper attach point: said, and told as if both were straight. */
    ask.lean_deg = 40;
    check_ok(ap_hang_work(&w, &ask, &err), &err);
    check_close(w.said.butt_rise_m, 3.6 * sin(40 * DEGREE) + 4.8 * cos(40 * DEGREE) - 3.6, 1e-9, "3-4-5 by hand");
    assert_non_null(strstr(w.before_cut, "below the attach point at 10.000 m"));
    ask.legs[0].state = ask.legs[1].state = AP_LEG_STATE_TIGHT;
    check_ok(ap_hang_work(&w, &ask, &err), &err);
    assert_true(isnan(w.said.butt_rise_m));
    assert_non_null(strstr(w.no_movement, "below the attach point at 10.000 m"));
}

static void the_order_of_the_legs_does_not_matter(void **state) {
    (void)state;
    ap_hang_ask ask = ask_two(5, 7, 2, 7, 4, 9000);
    ap_hang_worked w;
    ap_hang_worked turned;
    ap_error err = {0};
    ask.lean_deg = 15;
    ask.piece_m = 9;
    ask.legs[0].off_m = 0.3;
    ask.legs[1].off_m = 0.2;
    ask.legs[0].state = AP_LEG_STATE_TIGHT;
    ask.legs[1].state = AP_LEG_STATE_SLACK;
    check_ok(ap_hang_work(&w, &ask, &err), &err);
    ap_hang_ask_leg first = ask.legs[0];
    ask.legs[0] = ask.legs[1];
    ask.legs[1] = first;
    check_ok(ap_hang_work(&turned, &ask, &err), &err);
    check_close(turned.said.inclination_deg, w.said.inclination_deg, 0, "the same set-up");
    check_close(turned.said.butt_rise_m, w.said.butt_rise_m, 0, "the same set-up");
    for (int i = 0; i < 2; i++) {
        check_close(turned.said.legs[1 - i].tension_n, w.said.legs[i].tension_n, 0, "the same set-up");
        check_close(turned.said.legs[1 - i].slack_before_m, w.said.legs[i].slack_before_m, 0, "the same set-up");
    }
    assert_true(w.said.legs[1].slack_before_m > 0 && w.said.legs[1].drop_before_bite_m > 0);
    assert_int_equal(turned.said.legs[0].number, 1);
}

/* Against ap_hang_separate(), which works in two dimensions by another road. */
static void movement_agrees_with_the_plane(void **state) {
    (void)state;
    int compared = 0;
    for (int i = 0; i < 400; i++) {
        ap_hang_ask ask = ask_two(4 + i % 5, 4 + i % 7 * 0.9, 1 + i % 3, 6 + i % 4, 4 + i % 3 * 0.6, 5000);
        ap_hang_worked w;
        ask.lean_deg = i % 11 * 5 - 10;
        ask.piece_m = 12;
        ask.legs[0].state = i % 2 ? AP_LEG_STATE_SLACK : AP_LEG_STATE_TIGHT;
        ask.legs[1].state = i % 2 ? AP_LEG_STATE_TIGHT : i % 3 ? AP_LEG_STATE_SLACK : AP_LEG_STATE_SNUG;
        if (ap_hang_work(&w, &ask, NULL) != AP_OK || w.no_movement[0]) {
            continue;
        }
        const ap_hang_leg legs[2] = {{ask.legs[0].at_m, ask.legs[0].length_m, 0},
                                     {ask.legs[1].at_m, ask.legs[1].length_m, 0}};
        const int states[2] = {ask.legs[0].state, ask.legs[1].state};
        ap_hang hang;
        ap_hang_start start;
        ap_separation way;
        ap_error err = {0};
        check_ok(ap_hang_two_legs(&hang, legs, ask.cg_m, ask.weight_n, &err), &err);
        check_ok(ap_hang_before_cut(&start, legs, states, ask.lean_deg, &err), &err);
        ap_hang_separate(&way, &start, &hang, legs, 2, ask.cg_m, ask.piece_m);
        check_close(w.said.turn_deg, way.turn_deg, 1e-9, "hang.h [H4]");
        check_close(w.said.butt_rise_m, way.butt_up_m, 1e-9, "hang.h [H4]");
        check_close(w.said.tip_rise_m, way.tip_up_m, 1e-9, "hang.h [H4]");
        check_close(w.said.butt_way_m, way.butt_move_m, 1e-9, "hang.h [H4]");
        check_close(w.said.tip_way_m, way.tip_move_m, 1e-9, "hang.h [H4]");
        compared++;
    }
    assert_true(compared > 100);
}

/* Exact three legs (5-12-13, 9-12-15, 12-16-20) hang level; from a lean of 10 degrees the butt, 20 from the balance
 * point, rises by 20 sin 10 - 12 (1 - cos 10) about a hook 12 above it. */
static void three_legs_turn_about_their_hook(void **state) {
    (void)state;
    ap_hang_ask ask = ask_two(13, 15, 23, 11, 20, 1900);
    ap_hang_worked w;
    ap_error err = {0};
    ask.leg_count = 3;
    ask.legs[2] = leg(20, 20);
    ask.cg_side_m = 1;
    ask.legs[0].side_m = 5;
    ask.legs[1].side_m = 1;
    ask.legs[2].side_m = -15;
    ask.lean_deg = 10;
    for (int i = 0; i < 3; i++) {
        ask.legs[i].stiffness_n_m = 1e9;
    }
    check_ok(ap_hang_work(&w, &ask, &err), &err);
    assert_true(w.by_springs && !w.stiffness_assumed);
    check_close(w.said.legs[0].tension_n, 1300, 0.01, "exact: 5-12-13, 9-12-15, 12-16-20");
    check_close(w.said.turn_deg, -10, 1e-4, "exact: level");
    check_close(w.said.butt_rise_m, 20 * sin(10 * DEGREE) - 12 * (1 - cos(10 * DEGREE)), 1e-4, "turn about the hook");
    assert_true(isnan(w.said.butt_way_m));
    ask.legs[2].state = AP_LEG_STATE_SLACK;
    check_ok(ap_hang_work(&w, &ask, &err), &err);
    assert_true(isnan(w.said.butt_rise_m) && w.no_movement[0]);
    ask.legs[2].state = 0;
    ask.legs[2].stiffness_n_m = NAN;
    check_ok(ap_hang_work(&w, &ask, &err), &err);
    assert_true(w.stiffness_assumed);
}

/* J02 and J01 (load chart practice quiz): 10000 + 380 + 930 + 225 lb hang on the hook as 11535. */
static void load_peak_and_use(void **state) {
    (void)state;
    static const double LB = 0.45359237;
    ap_hang_ask ask = ask_two(6, 6, 2, 6, 4, 10000 * LB * 9.80665);
    ap_hang_worked w;
    ap_error err = {0};
    ask.rigging_kg = 1535 * LB;
    ask.capacity_kg = 18300 * LB;
    ask.preload_n = ask.weight_n * 0.8;
    ask.legs[0].wll_kg = ask.legs[1].wll_kg = 5000 * LB;
    ask.legs[0].hitch = AP_HITCH_CHOKER;
    ask.legs[1].choke_deg = 100;
    check_ok(ap_hang_work(&w, &ask, &err), &err);
    check_close(w.said.hook_load_kg / LB, 11535, 1e-6, "J02 load chart practice quiz");
    check_close(w.said.capacity_share, 11535.0 / 18300.0, 1e-9, "J01, J02");
    check_close(w.said.peak_high_n / ask.weight_n, 1.2, 1e-9, "methods note: 2W - P");
    check_close(w.said.peak_capacity_share, (12000.0 + 1535.0) / 18300.0, 1e-9, "methods note: 2W - P");
    /* Legs 6 long over arms of 2: height root 32; each W/2 x 6 / root 32. */
    double each = 5000 * 6 / sqrt(32.0);
    check_close(w.said.legs[0].use, each / (5000 * 0.75), 1e-9, "H06: choker 0.75");
    check_close(w.said.legs[1].use, each / (5000 * 0.87), 1e-9, "H02: 90 to 120 degrees 0.87");
}

static void refusals(void **state) {
    (void)state;
    ap_hang_worked w = {.depth_m = -7};
    ap_error err = {0};
    ap_hang_ask ask = ask_two(6, 8, 0, 10, 5, 1000);
    ask.piece_m = 9;
    check_refused(ap_hang_work(&w, &ask, &err), AP_E_DOMAIN, &err, "leg 2 is attached 10.000 m");
    ask.piece_m = NAN;
    ask.legs[0].at_m = -1;
    check_refused(ap_hang_work(&w, &ask, &err), AP_E_DOMAIN, &err, "-1.000 m");
    ask = ask_two(6, 8, 0, 10, 5, 1000);
    ask.cg_m = 12;
    ask.piece_m = 11;
    check_refused(ap_hang_work(&w, &ask, &err), AP_E_DOMAIN, &err, "centre of gravity at 12.000 m");
    ask = ask_two(6, 8, 0, 10, 5, 1000);
    ask.lean_deg = 91;
    check_refused(ap_hang_work(&w, &ask, &err), AP_E_DOMAIN, &err, "91 degrees");
    ask = ask_two(6, 8, 0, 10, 5, 1000);
    ask.preload_n = -5;
    check_refused(ap_hang_work(&w, &ask, &err), AP_E_DOMAIN, &err, "preload");
    ask = ask_two(6, 8, 0, 10, 5, 1000);
    ask.rigging_kg = 10;
    ask.capacity_kg = 0;
    check_refused(ap_hang_work(&w, &ask, &err), AP_E_DOMAIN, &err, "capacity of 0 kg");
    ask = ask_two(6, 8, 0, 10, 5, 1000);
    ask.leg_count = 5;
    check_refused(ap_hang_work(&w, &ask, &err), AP_E_DOMAIN, &err, "5 legs");
    ask = ask_two(0, 8, 0, 10, 5, 1000);
    ask.legs[0].side_m = 0.5;
    check_refused(ap_hang_work(&w, &ask, &err), AP_E_DOMAIN, &err, "carries nothing");
    assert_true(w.depth_m == -7);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_right_triangle),
        cmocka_unit_test(the_order_of_the_legs_does_not_matter),
        cmocka_unit_test(movement_agrees_with_the_plane),
        cmocka_unit_test(three_legs_turn_about_their_hook),
        cmocka_unit_test(load_peak_and_use),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
