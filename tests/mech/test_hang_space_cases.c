/* One to four elastic legs in space: exact cases, slack legs, several rests, facts of the trade, refusals. */
#include "support/check.h"

#include "mech/hang.h"
#include "mech/hang_space.h"
#include "space_kit.h"

/* D01: reference table, derived: W/(3 sin a), 3000 on three equal legs at 60 degrees. */
static void three_equal_legs(void **state) {
    (void)state;
    setup s = {.count = 3, .piece = {3000.0, 4.0, 0.0, 8.0}};
    for (int i = 0; i < 3; i++)
        s.legs[i] = (ap_space_leg){4.0 + cos(120.0 * i * DEGREE), 0.0, sin(120.0 * i * DEGREE), 2.0, 1e9};
    ap_space_hang h;
    ap_error err = {0};
    check_ok(ap_hang_space(&h, solver, s.legs, 3, &s.piece, &err), &err);
    for (int i = 0; i < 3; i++) {
        check_close(h.rest[0].tension_n[i], 1154.70, 0.01, "D01 derived: W/(3 sin a)");
        check_close(h.rest[0].leg_angle_deg[i], 60.0, 1e-4, "D01");
    }
    assert_int_equal(h.count, 1);
}

/* Exact: hook 12 over a level plane, legs 13, 15 and 20 to (3, 4), (-9, 0) and (0, -16) from the centre of gravity.
 * Shares of the weight 12/19, 4/19, 3/19 hold its moment; tensions are share * length / 12: 1300, 500, 500 for 1900. */
static void three_unequal_legs(void **state) {
    (void)state;
    static const double exact[3] = {1300.0, 500.0, 500.0};
    for (int stiff = 3; stiff <= 9; stiff++) {
        double k = pow(10.0, stiff);
        setup s = {.count = 3,
                   .piece = {1900.0, 20.0, 1.0, 40.0},
                   .legs = {{23.0, 0.0, 5.0, 13.0 - 1300.0 / k, k},
                            {11.0, 0.0, 1.0, 15.0 - 500.0 / k, k},
                            {20.0, 0.0, -15.0, 20.0 - 500.0 / k, k}}};
        ap_space_hang h;
        ap_error err = {0};
        check_ok(ap_hang_space(&h, solver, s.legs, 3, &s.piece, &err), &err);
        for (int i = 0; i < 3; i++)
            check_close(h.rest[0].tension_n[i], exact[i], 1e-6, "exact: 5-12-13, 9-12-15, 12-16-20");
        check_close(h.rest[0].inclination_deg, 0.0, 1e-9, "exact: level");
        check_close(h.rest[0].roll_deg, 0.0, 1e-9, "exact: level");
        check_close(h.rest[0].hook_y_m, 12.0, 1e-9, "exact");
    }
}

/* E01, E02: reference table, spring balance: two parallel springs of 1000, one with 0.5 of slack. Parallel here: 100
 * long over 0.01; the slack one is a pair of half the stiffness each, so that the load keeps level. */
static void parallel_springs_with_slack(void **state) {
    (void)state;
    const ap_space_leg legs[3] = {
        {5.0, 0.0, 0.0, 100.0, 1000.0}, {4.99, 0.0, 0.0, 100.5, 500.0}, {5.01, 0.0, 0.0, 100.5, 500.0}};
    ap_space_piece piece = {2000.0, 5.0, 0.0, 10.0};
    ap_space_hang h;
    ap_error err = {0};
    check_ok(ap_hang_space(&h, solver, legs, 3, &piece, &err), &err);
    check_close(h.rest[0].tension_n[0], 1250.0, 0.01, "E01 derived: spring balance");
    check_close(h.rest[0].tension_n[1] + h.rest[0].tension_n[2], 750.0, 0.01, "E01 derived: spring balance");
    piece.weight_n = 400.0;
    check_ok(ap_hang_space(&h, solver, legs, 3, &piece, &err), &err);
    check_close(h.rest[0].tension_n[0], 400.0, 0.01, "E02 derived: second still slack");
    assert_true(!h.rest[0].tight[1] && !h.rest[0].tight[2]);
    check_close(h.rest[0].slack_m[1], 0.1, 1e-5, "E02 derived: 0.5 less the stretch of 0.4");
}

/* Attach points r off the axis and the centre of gravity s to the side: the piece rolls until it lies plumb below the
 * legs' plane: tan(roll) = -s/r. Exact for any lengths. */
static void a_side_offset_rolls_the_piece(void **state) {
    (void)state;
    static const double rows[][2] = {{0.3, 0.1}, {0.25, -0.4}, {0.4, 0.0}, {0.2, 0.2}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double r = rows[i][0];
        const ap_space_leg legs[2] = {{2.0, r, 0.0, 6.0, 1e6}, {8.0, r, 0.0, 5.0, 1e6}};
        const ap_space_piece piece = {10000.0, 5.0, rows[i][1], 10.0};
        ap_space_hang h;
        ap_error err = {0};
        check_ok(ap_hang_space(&h, solver, legs, 2, &piece, &err), &err);
        check_close(h.rest[0].roll_deg, atan2(-rows[i][1], r) / DEGREE, 1e-9, "statics: plumb below the legs' plane");
        assert_false(h.rest[0].rolls_freely);
        assert_int_equal(h.count, 1);
    }
}

/* A short third leg choked under the piece: its hook cannot stand over the middle, and the piece comes to rest on
 * either side alike; with the same legs across the piece it comes to rest tip up or tip down. */
static void two_rests_are_both_reported(void **state) {
    (void)state;
    const ap_space_leg roll[3] = {{2.0, 0.3, 0.0, 6.0, 1e6}, {8.0, 0.3, 0.0, 6.0, 1e6}, {5.0, -0.3, 0.0, 5.5, 1e6}};
    const ap_space_piece piece = {10000.0, 5.0, 0.0, 10.0};
    ap_space_hang h;
    ap_error err = {0};
    check_ok(ap_hang_space(&h, solver, roll, 3, &piece, &err), &err);
    assert_int_equal(h.count, 2);
    assert_true(fabs(h.rest[0].roll_deg) > 20.0);
    check_close(h.rest[0].roll_deg, -h.rest[1].roll_deg, 1e-6, "mirror");
    check_close(h.rest[0].energy_j, h.rest[1].energy_j, 1e-6, "mirror");

    const ap_space_leg dive[3] = {{5.0, 0.3, -3.0, 6.0, 1e6}, {5.0, 0.3, 3.0, 6.0, 1e6}, {5.0, -0.3, 0.0, 5.5, 1e6}};
    check_ok(ap_hang_space(&h, solver, dive, 3, &piece, &err), &err);
    assert_int_equal(h.count, 2);
    assert_true(fabs(h.rest[0].inclination_deg) > 20.0);
    check_close(h.rest[0].inclination_deg, -h.rest[1].inclination_deg, 1e-6, "mirror");
    /* A centre of gravity toward the tip: both are still there, the tip-down one lies deeper. */
    const ap_space_piece heavy_tip = {10000.0, 5.02, 0.0, 10.0};
    check_ok(ap_hang_space(&h, solver, dive, 3, &heavy_tip, &err), &err);
    assert_int_equal(h.count, 2);
    assert_true(h.rest[0].inclination_deg < -20.0 && h.rest[1].inclination_deg > 20.0);
    assert_true(h.rest[0].energy_j < h.rest[1].energy_j);
}

/* Common practice, no source: a leader at 50 degrees, slung equally far from its centre of gravity with the hook one
 * spacing above it, needs a lower leg about twice the upper (2.041 by statics); a third leg that steadies, cut a
 * little long, carries nothing, and drawn in it carries little. */
static void the_lower_leg_is_twice_the_upper(void **state) {
    (void)state;
    ap_hang_leg fitted[2] = {{3.0, NAN, 0.0}, {5.0, NAN, 0.0}};
    ap_error err = {0};
    check_ok(ap_hang_lengths_for(fitted, 4.0, 50.0, 2.0, &err), &err);
    const ap_space_piece piece = {5000.0, 4.0, 0.0, 8.0};
    ap_space_leg legs[3] = {
        {3.0, 0.0, 0.0, fitted[0].length_m, 5e7}, {5.0, 0.0, 0.0, fitted[1].length_m, 5e7}, {7.0, 0.0, 0.0, 0.0, 5e7}};
    check_close(legs[0].length_m / legs[1].length_m, 2.041, 0.0005, "common practice, no source; 2.041 by statics");
    ap_space_hang h;
    check_ok(ap_hang_space(&h, solver, legs, 2, &piece, &err), &err);
    check_close(h.rest[0].inclination_deg, 50.0, 0.05, "common practice, no source: it keeps its lean");
    double reach = hypot(h.rest[0].hook_x_m - 7.0, h.rest[0].hook_y_m);
    legs[2].length_m = reach + 0.05;
    check_ok(ap_hang_space(&h, solver, legs, 3, &piece, &err), &err);
    assert_true(!h.rest[0].tight[2]);
    check_close(h.rest[0].slack_m[2], 0.05, 0.002, "common practice, no source: a balancer cut long is slack");
    legs[2].length_m = reach - 0.02;
    check_ok(ap_hang_space(&h, solver, legs, 3, &piece, &err), &err);
    assert_true(h.rest[0].tight[2]);
}

/* Common practice, no source: with the leg toward the tip too long the tip hangs low, and the other way round. */
static void a_long_leg_lets_its_end_down(void **state) {
    (void)state;
    random_state = 8;
    for (int i = 0; i < 500; i++) {
        double longer = uniform(0.05, 1.5);
        double k = uniform(1e5, 1e7);
        const ap_space_piece piece = {uniform(2000.0, 20000.0), 5.0, 0.0, 10.0};
        ap_space_leg legs[2] = {{3.0, 0.2, 0.0, 6.0, k}, {7.0, 0.2, 0.0, 6.0, k}};
        ap_space_hang h;
        ap_error err = {0};
        legs[i % 2].length_m += longer;
        check_ok(ap_hang_space(&h, solver, legs, 2, &piece, &err), &err);
        assert_true(i % 2 ? h.rest[0].inclination_deg < 0.0 : h.rest[0].inclination_deg > 0.0);
    }
}

static void refuse(const ap_space_leg *legs, int count, const ap_space_piece *piece, const char *says) {
    ap_space_hang h = {.count = 77};
    ap_error err = {0};
    check_refused(ap_hang_space(&h, solver, legs, count, piece, &err), AP_E_DOMAIN, &err, says);
    assert_int_equal(h.count, 77);
}

static void refusals_give_the_numbers(void **state) {
    (void)state;
    const ap_space_piece piece = {1000.0, 5.0, 0.0, 10.0};
    const ap_space_leg good[2] = {{2.0, 0.0, 0.0, 5.0, 1e6}, {8.0, 0.0, 0.0, 5.0, 1e6}};
    ap_space_leg legs[3] = {good[0], good[1], {5.0, 0.0, 3.0, 5.0, 1e6}};
    refuse(good, 0, &piece, "0 legs");
    refuse(good, 5, &piece, "5 legs");
    legs[1].at_m = 2.0;
    refuse(legs, 2, &piece, "2.000 m");
    legs[1] = good[1];
    legs[1].length_m = 0.9;
    refuse(legs, 2, &piece, "0.100 m are missing");
    legs[1].length_m = 0.0;
    refuse(legs, 2, &piece, "0.000 m carries nothing");
    legs[1] = good[1];
    legs[1].at_m = 10.5;
    refuse(legs, 2, &piece, "10.500 m");
    legs[1].at_m = -0.5;
    refuse(legs, 2, &piece, "-0.500 m");
    legs[1].at_m = NAN;
    refuse(legs, 2, &piece, "attach point");
    legs[1] = good[1];
    legs[1].stiffness_n_m = 0.0;
    refuse(legs, 2, &piece, "stiffness of 0 N/m");
    legs[1].stiffness_n_m = 100.0;
    refuse(legs, 2, &piece, "10.000 m");
    legs[1] = good[1];
    refuse(good, 2, &(ap_space_piece){0.0, 5.0, 0.0, 10.0}, "weight of 0 N");
    refuse(good, 2, &(ap_space_piece){1000.0, NAN, 0.0, 10.0}, "centre of gravity");
    refuse(good, 2, &(ap_space_piece){1000.0, 11.0, 0.0, 10.0}, "11.000 m");
    refuse(good, 2, &(ap_space_piece){1000.0, 5.0, 0.0, -1.0}, "-1.000 m");
    const ap_space_leg balanced = {5.0, 0.0, 0.0, 3.0, 1e6};
    refuse(&balanced, 1, &piece, "any inclination");
    /* Each pair can meet, the three cannot. */
    const ap_space_leg apart[3] = {{0.0, 0.0, 0.0, 3.1, 1e6}, {6.0, 0.0, 0.0, 3.1, 1e6}, {3.0, 0.0, 5.0, 3.1, 1e6}};
    refuse(apart, 3, &piece, "cannot meet in one hook");
    /* Slung from below the centre of gravity on both sides: the hook could only lie under the piece. */
    const ap_space_leg under[2] = {{2.0, -0.5, 0.0, 5.0, 1e6}, {8.0, -0.5, 0.0, 5.0, 1e6}};
    refuse(under, 2, &piece, "below the axis");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_equal_legs),
        cmocka_unit_test(three_unequal_legs),
        cmocka_unit_test(parallel_springs_with_slack),
        cmocka_unit_test(a_side_offset_rolls_the_piece),
        cmocka_unit_test(two_rests_are_both_reported),
        cmocka_unit_test(the_lower_leg_is_twice_the_upper),
        cmocka_unit_test(a_long_leg_lets_its_end_down),
        cmocka_unit_test(refusals_give_the_numbers),
    };
    return cmocka_run_group_tests(tests, make_solver, free_solver);
}
