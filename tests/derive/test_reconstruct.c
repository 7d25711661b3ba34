/* One pick through the whole chain: the struct as logged -> hang, tensions, movement, peak; and every refusal. */
#include "support/check.h"

#include "derive/reconstruct.h"

static const double G = AP_STANDARD_GRAVITY;
static const char *const TABLE = "tests/mech/check_values.csv";

typedef struct bench {
    ap_pick pick;
    ap_settings settings;
    ap_derived derived;
    ap_recon recon;
} bench;

static void work_out(bench *b) {
    ap_pick_count_legs(&b->pick);
    ap_company company = {.settings = &b->settings};
    ap_derive(&b->derived, &b->pick, &company);
    ap_recon_given given = AP_RECON_GIVEN(&b->derived, &company);
    ap_reconstruct(&b->recon, &b->pick, &given);
}

/* Two legs on the axis, balance point logged: what the check values describe. */
static void two_legs(bench *b, double first_m, double second_m, double spacing_m, double cg_m, double weight_n) {
    ap_pick_clear(&b->pick);
    ap_settings_defaults(&b->settings);
    ap_pick *p = &b->pick;
    p->length_m = spacing_m + 2.0;
    p->balance_point_m = cg_m + 1.0;
    p->lean_deg = 20.0;
    p->measured_weight_kg = weight_n / G;
    p->measured_as = AP_WEIGHED_AS_NET;
    p->rigging_weight_kg = 0.0;
    for (int i = 0; i < 2; i++) {
        p->legs[i].kind = AP_LEG_KIND_ADJUSTABLE;
        p->legs[i].state = AP_LEG_STATE_TIGHT;
    }
    p->legs[0].at_m = 1.0;
    p->legs[0].length_m = first_m;
    p->legs[1].at_m = 1.0 + spacing_m;
    p->legs[1].length_m = second_m;
}

static double result(const bench *b, const char *topic) {
    const ap_recon *r = &b->recon;
    if (strcmp(topic, "two_t1") == 0)
        return r->legs[0].tension_n;
    if (strcmp(topic, "two_t2") == 0)
        return r->legs[1].tension_n;
    if (strcmp(topic, "two_incl") == 0)
        return r->inclination_deg;
    return NAN;
}

static void the_reference_rows_pass_through_the_whole_chain(void **state) {
    (void)state;
    check_table table;
    size_t seen = 0;
    check_table_load(&table, TABLE);
    for (size_t i = 0; i < table.rows; i++) {
        char topic[32];
        ap_str name = check_table_get(&table, i, "topic");
        snprintf(topic, sizeof topic, "%.*s", AP_STR_ARG(name));
        if (strncmp(topic, "two_", 4) != 0 || strcmp(topic, "two_apex") == 0)
            continue;
        bench b;
        two_legs(&b, check_table_number(&table, i, "a"), check_table_number(&table, i, "b"),
                 check_table_number(&table, i, "c"), check_table_number(&table, i, "d"),
                 check_table_number(&table, i, "e"));
        work_out(&b);
        char source[160];
        snprintf(source, sizeof source, "%.*s: %.*s", AP_STR_ARG(check_table_get(&table, i, "id")),
                 AP_STR_ARG(check_table_get(&table, i, "source")));
        assert_int_equal(b.recon.no_hang.no, AP_RECON_SAID);
        check_close(result(&b, topic), check_table_number(&table, i, "expected"),
                    check_table_number(&table, i, "tolerance"), source);
        check_close(b.recon.residual_n / b.recon.weight_n.value, 0.0, 1e-9, source);
        seen++;
    }
    check_table_release(&table);
    assert_true(seen >= 9);
}

/* B01 of the reference table is refused as a level bridle; its two lengths as free legs hang steep. */
static void the_impossible_level_bridle_hangs_steep_as_two_free_legs(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 4.0, 14.0, 12.0, 2.0, 4000.0);
    work_out(&b);
    check_close(b.recon.inclination_deg, -43.35, 0.005, "methods.md section 1, B01 as two free legs");
    check_close(b.recon.legs[0].tension_n, 2614.9, 0.05, "the same");
    check_close(b.recon.legs[1].tension_n, 1830.4, 0.05, "the same");
}

/* Lower leg 2.041 times the upper at 50 degrees with the hook one spacing above the centre of gravity, midway between the
 * attach points: job.md, by statics (common practice, no source). Such legs keep the piece where it is. */
static void legs_made_for_the_lean_leave_the_piece_still(void **state) {
    (void)state;
    bench b;
    double lean = 50.0 * 3.14159265358979323846 / 180.0;
    double s = 4.0;
    double upper = hypot(s / 2.0 * cos(lean), s - s / 2.0 * sin(lean));
    double lower = hypot(s / 2.0 * cos(lean), s + s / 2.0 * sin(lean));
    check_close(lower / upper, 2.041, 0.0005, "job.md, facts of the trade (by statics)");
    two_legs(&b, lower, upper, s, s / 2.0, 9000.0);
    b.pick.lean_deg = 50.0;
    work_out(&b);
    assert_int_equal(b.recon.no_movement.no, AP_RECON_SAID);
    check_close(b.recon.turn_deg, 0.0, 1e-9, "legs that both reach the plumb line of the centre of gravity");
    check_close(b.recon.butt_move_m, 0.0, 1e-9, "the same");
}

/* Slack at the upper end when it parts: the butt comes up and the tip dives (job.md; common practice, no source). */
static void a_slack_upper_leg_brings_the_butt_up(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 5.0, 6.5, 4.0, 2.0, 9000.0);
    b.pick.lean_deg = 30.0;
    b.pick.legs[1].state = AP_LEG_STATE_SLACK;
    work_out(&b);
    assert_int_equal(b.recon.no_movement.no, AP_RECON_SAID);
    assert_true(b.recon.turn_deg < 0 && b.recon.butt_up_m > 0 && b.recon.tip_up_m < 0);
    assert_true(b.recon.legs[1].start_slack_m > 0 && b.recon.legs[1].drop_m > 0);
    assert_true(isnan(b.recon.legs[0].drop_m));
}

/* [R4] against a blind search: turn the piece about the plumb tight leg in small steps until the other is straight. */
static void the_drop_before_the_slack_leg_bites(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 5.0, 6.5, 4.0, 2.0, 9000.0);
    b.pick.lean_deg = 30.0;
    b.pick.legs[1].state = AP_LEG_STATE_SLACK;
    work_out(&b);
    double low = -90.0;
    double high = 30.0;
    for (int i = 0; i < 200; i++) {
        double middle = (low + high) / 2.0;
        double turn = middle * 3.14159265358979323846 / 180.0;
        double far = hypot(4.0 * cos(turn), 4.0 * sin(turn) - 5.0); /* second attach point to the hook over the first */
        *(far > 6.5 ? &low : &high) = middle;
    }
    double drop = 4.0 * (sin(30.0 * 3.14159265358979323846 / 180.0) - sin(low * 3.14159265358979323846 / 180.0));
    check_close(b.recon.legs[1].drop_m, drop, 1e-9, "bisection on the triangle");
}

static void the_surface_comes_from_the_taper(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 5.0, 6.0, 4.0, 2.0, 9000.0);
    work_out(&b);
    assert_true(b.recon.on_axis);
    b.pick.butt_diameter_m = 0.6;
    b.pick.tip_diameter_m = 0.3;
    work_out(&b);
    assert_false(b.recon.on_axis);
    check_close(b.recon.legs[0].off_m, (0.6 - 0.3 / 6.0) / 2.0, 1e-12, "a straight taper, by hand");
    b.pick.mid_diameter_m = 0.5;
    work_out(&b);
    check_close(b.recon.legs[0].off_m, (0.6 - 0.1 / 3.0) / 2.0, 1e-12, "straight to the mid diameter, by hand");
}

/* Frustum and brush point by hand: methods.md section 1, centre of gravity. */
static void the_balance_point_from_diameters_and_brush(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 5.0, 6.0, 4.0, 2.0, 9000.0);
    b.pick.balance_point_m = NAN;
    b.pick.butt_diameter_m = 0.6;
    b.pick.tip_diameter_m = 0.3;
    b.pick.piece = AP_PIECE_TRUNK;
    double stem = 6.0 * (4.0 + 2.0 * 2.0 + 3.0) / (4.0 * (4.0 + 2.0 + 1.0)); /* radii as 2 to 1 */
    work_out(&b);
    check_close(b.recon.cg_m.value, stem, 1e-12, "frustum of a cone");
    b.pick.piece = AP_PIECE_TOP;
    b.pick.brush_share = 0.2;
    work_out(&b);
    check_close(b.recon.cg_m.value, 0.8 * stem + 0.2 * 0.75 * 6.0, 1e-12, "(1 - s) stem + s 0.75 L");
    assert_int_equal(b.recon.brush.from, AP_ORIGIN_LOG);
    b.pick.brush_share = NAN;
    b.pick.foliage = AP_FOLIAGE_LEAF_OFF;
    work_out(&b);
    check_close(b.recon.cg_m.value, (stem + 0.1 * 0.75 * 6.0) / 1.1, 1e-12, "allowance 0.10 of a bare top, by hand");
    assert_int_equal(b.recon.brush.from, AP_ORIGIN_SETTING);
}

static void the_plan_stands_in_and_is_marked(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 6.0, 8.0, 10.0, 5.0, 1000.0);
    b.pick.planned_weight_kg = b.pick.measured_weight_kg;
    b.pick.planned_as = AP_WEIGHED_AS_NET;
    b.pick.measured_weight_kg = NAN;
    work_out(&b);
    assert_true(b.recon.weight_planned);
    check_close(b.recon.legs[0].tension_n, 600.0, 0.01, "C01 of the reference table");
    b.pick.planned_weight_kg = NAN;
    work_out(&b);
    assert_int_equal(b.recon.no_hang.no, AP_RECON_SAID);
    check_close(b.recon.inclination_deg, -16.260, 0.001, "C01: the hang does not depend on the weight");
    assert_true(isnan(b.recon.legs[0].tension_n) && isnan(b.recon.residual_n));
    assert_int_equal(b.recon.no_peak.no, AP_RECON_NO_WEIGHT);
}

static void what_a_leg_uses(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 6.0, 8.0, 10.0, 5.0, 1000.0);
    b.pick.legs[0].wll_kg = 600.0 / G;
    b.pick.legs[1].wll_kg = 600.0 / G;
    b.pick.legs[1].hitch = AP_HITCH_CHOKER;
    work_out(&b);
    check_close(b.recon.legs[0].use, 1.0, 1e-4, "C01: 600 N on a limit of 600 N, no hitch");
    assert_true(b.recon.legs[0].hitch_assumed);
    check_close(b.recon.legs[1].use, 800.0 / (600.0 * 0.75), 1e-4, "C01: 800 N; H06: a choker carries 0.75");
    check_close(b.recon.worst_use, b.recon.legs[1].use, 0, "the larger");
    b.pick.legs[1].wll_kg = NAN;
    b.pick.legs[0].wll_kg = NAN;
    work_out(&b);
    assert_true(isnan(b.recon.worst_use));
}

static void a_drop_onto_a_slack_leg_peaks(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 5.0, 6.5, 4.0, 2.0, 9000.0);
    b.pick.lean_deg = 30.0;
    b.pick.legs[1].state = AP_LEG_STATE_SLACK;
    work_out(&b);
    assert_true(isnan(b.recon.legs[1].peak_n)); /* kind alone does not say how stiff */
    b.pick.legs[1].kind = AP_LEG_KIND_WIRE;
    b.pick.legs[1].wll_kg = 3000.0;
    work_out(&b);
    const ap_recon_leg *leg = &b.recon.legs[1];
    double stretch = leg->tension_n / leg->stiffness_n_m;
    check_close(leg->peak_n, leg->tension_n * (1.0 + sqrt(1.0 + 2.0 * leg->drop_m / stretch)), 1e-6,
                "Gere & Goodno, problem 9.10-1");
    assert_int_equal(b.recon.peak_cause, AP_PEAK_DROP);
    assert_true(b.recon.peak_high_n > b.recon.peak_by_n[AP_PEAK_RELEASE]);
}

static void the_peak_bracket(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 6.0, 8.0, 10.0, 5.0, 1000.0);
    work_out(&b);
    check_close(b.recon.peak_low_n, 1000.0, 1e-9, "max(P, W), P not logged");
    assert_true(b.recon.peak_high_n >= 2000.0);
    assert_int_equal(b.recon.preload_n.from, AP_ORIGIN_NONE);
    b.pick.lean_deg = -16.26; /* does not turn: release alone */
    b.pick.preload_kg = 700.0 / G;
    work_out(&b);
    check_close(b.recon.peak_high_n, 1300.0, 1e-6, "2 W - P = 2000 - 700, statics");
    assert_int_equal(b.recon.peak_cause, AP_PEAK_RELEASE);
    b.pick.preload_kg = 1500.0 / G;
    work_out(&b);
    check_close(b.recon.peak_high_n, 1500.0, 1e-6, "max(P, 2 W - P)");
    b.pick.measured_as = AP_WEIGHED_AS_GROSS;
    b.pick.rigging_weight_kg = 200.0;
    b.pick.measured_weight_kg += 200.0;
    work_out(&b);
    assert_int_equal(b.recon.no_peak.no, AP_RECON_PRELOAD_BELOW);
}

static void expect_no_hang(bench *b, ap_recon_no no, int leg, const char *says) {
    ap_buf text;
    ap_buf_init(&text, 1024);
    work_out(b);
    assert_int_equal(b->recon.no_hang.no, no);
    assert_int_equal(b->recon.no_hang.leg, leg);
    assert_int_equal(b->recon.no_movement.no, no);
    assert_true(isnan(b->recon.inclination_deg) && isnan(b->recon.turn_deg));
    ap_recon_say_reason(&text, &b->recon.no_hang);
    if (!strstr(text.ptr, says))
        fail_msg("'%s' does not say '%s'", text.ptr, says);
    ap_buf_release(&text);
}

static void set_ups_outside_the_model_get_no_number(void **state) {
    (void)state;
    bench b;
    bench good;
    two_legs(&good, 6.0, 8.0, 10.0, 5.0, 1000.0);

    b = good;
    memset(b.pick.legs, 0, sizeof b.pick.legs);
    for (int i = 0; i < AP_LEG_MAX; i++)
        b.pick.legs[i].at_m = b.pick.legs[i].length_m = b.pick.legs[i].side_m = b.pick.legs[i].wll_kg = NAN;
    expect_no_hang(&b, AP_RECON_NO_LEGS, 0, "no leg");
    b = good;
    b.pick.legs[1].length_m = NAN;
    expect_no_hang(&b, AP_RECON_LEG_BLANK, 2, "leg 2");
    b = good;
    b.pick.legs[1].at_m = 12.5;
    expect_no_hang(&b, AP_RECON_LEG_OFF_PIECE, 2, "beyond the end");
    b = good;
    b.pick.legs[0].side_m = 0.4;
    expect_no_hang(&b, AP_RECON_NO_STIFFNESS, 1, "stiffness");
    b = good;
    b.pick.legs[2] = b.pick.legs[1];
    expect_no_hang(&b, AP_RECON_NO_STIFFNESS, 1, "stiffness");
    b = good;
    b.pick.balance_point_m = NAN;
    expect_no_hang(&b, AP_RECON_NO_BALANCE, 0, "balance point");
    b.pick.butt_diameter_m = 0.5;
    b.pick.tip_diameter_m = 0.2;
    b.pick.piece = AP_PIECE_TOP;
    expect_no_hang(&b, AP_RECON_NO_BRUSH, 0, "brush");
    b = good;
    b.pick.legs[0].length_m = 1.0;
    expect_no_hang(&b, AP_RECON_CLASH, 0, "cannot meet");
}

static void expect_no_movement(bench *b, ap_recon_no no, int leg, const char *says) {
    ap_buf text;
    ap_buf_init(&text, 1024);
    work_out(b);
    assert_int_equal(b->recon.no_hang.no, AP_RECON_SAID);
    assert_int_equal(b->recon.no_movement.no, no);
    assert_int_equal(b->recon.no_movement.leg, leg);
    assert_true(isnan(b->recon.turn_deg) && isnan(b->recon.butt_up_m) && !isnan(b->recon.inclination_deg));
    ap_recon_say_reason(&text, &b->recon.no_movement);
    if (!strstr(text.ptr, says))
        fail_msg("'%s' does not say '%s'", text.ptr, says);
    ap_buf_release(&text);
}

static void without_the_state_before_the_cut_there_is_no_movement(void **state) {
    (void)state;
    bench b;
    bench good;
    two_legs(&good, 6.0, 8.0, 10.0, 5.0, 1000.0);

    b = good;
    b.pick.lean_deg = NAN;
    expect_no_movement(&b, AP_RECON_NO_LEAN, 0, "lean");
    b = good;
    b.pick.length_m = NAN;
    expect_no_movement(&b, AP_RECON_NO_LENGTH, 0, "length");
    b = good;
    b.pick.legs[0].state = 0;
    expect_no_movement(&b, AP_RECON_NO_STATE, 1, "leg 1");
    b = good;
    b.pick.legs[0].state = b.pick.legs[1].state = AP_LEG_STATE_SLACK;
    expect_no_movement(&b, AP_RECON_NONE_TIGHT, 0, "no leg was tight");
    b = good;
    b.pick.lean_deg = 80.0;
    b.pick.legs[0].state = AP_LEG_STATE_SLACK;
    expect_no_movement(&b, AP_RECON_CLASH, 0, "does not reach");
}

/* Three equal legs at 60 degrees from a ring of attach points, stiff enough for the printed digits. */
static void three_legs_hang_in_space(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 4.0, 4.0, 2.0, 1.0, 3000.0);
    ap_pick *p = &b.pick;
    p->length_m = 8.0;
    p->balance_point_m = 4.0;
    for (int i = 0; i < 3; i++) {
        double turn = i * 2.0 * 3.14159265358979323846 / 3.0;
        p->legs[i] = p->legs[0];
        p->legs[i].kind = AP_LEG_KIND_CHAIN;
        p->legs[i].at_m = 4.0 + 2.0 * cos(turn);
        p->legs[i].side_m = 2.0 * sin(turn);
        p->legs[i].length_m = 4.0;
        p->legs[i].wll_kg = 1e6;
    }
    work_out(&b);
    assert_int_equal(b.recon.no_hang.no, AP_RECON_SAID);
    assert_true(b.recon.elastic);
    for (int i = 0; i < 3; i++)
        check_close(b.recon.legs[i].tension_n, 1154.70, 0.01, "D01 of the reference table: W / (3 sin a)");
    check_close(b.recon.residual_n / 3000.0, 0.0, 1e-9, "balance");
    assert_int_equal(b.recon.no_movement.no, AP_RECON_OUT_OF_PLANE);
    p->side_offset_m = 0.3;
    work_out(&b);
    assert_int_equal(b.recon.no_hang.no, AP_RECON_SAID);
    assert_true(fabs(b.recon.roll_deg) > 1.0);
}

/* In the plane of the lean a third leg that stays slack changes nothing. */
static void a_third_leg_that_stays_slack_changes_nothing(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 6.0, 8.0, 10.0, 5.0, 1000.0);
    work_out(&b);
    ap_recon two = b.recon;
    for (int i = 0; i < 3; i++) {
        b.pick.legs[i].kind = AP_LEG_KIND_CHAIN;
        b.pick.legs[i].wll_kg = 1e7;
    }
    b.pick.legs[2].at_m = 6.0;
    b.pick.legs[2].length_m = 9.0;
    b.pick.legs[2].state = AP_LEG_STATE_SLACK;
    work_out(&b);
    assert_int_equal(b.recon.no_movement.no, AP_RECON_SAID);
    check_close(b.recon.inclination_deg, two.inclination_deg, 1e-3, "C01 by the closed form");
    check_close(b.recon.turn_deg, two.turn_deg, 1e-3, "the same");
    check_close(b.recon.legs[0].tension_n, 600.0, 0.05, "C01 of the reference table");
    assert_false(b.recon.legs[1].tight);
    assert_true(b.recon.legs[1].start_slack_m > 0);
}

static void a_balancer_is_left_out_and_counted(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 6.0, 8.0, 10.0, 5.0, 1000.0);
    b.pick.legs[2].kind = AP_LEG_KIND_BALANCER;
    b.pick.legs[2].at_m = 6.0;
    work_out(&b);
    assert_int_equal(b.recon.no_hang.no, AP_RECON_SAID);
    assert_int_equal(b.recon.leg_count, 2);
    assert_int_equal(b.recon.balancers, 1);
    check_close(b.recon.legs[0].tension_n, 600.0, 0.01, "C01 of the reference table");
}

/* The order in which a crew writes its legs down changes nothing but their numbers. */
static void the_order_of_the_legs_is_free(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 6.0, 8.0, 10.0, 5.0, 1000.0);
    ap_leg first = b.pick.legs[0];
    b.pick.legs[0] = b.pick.legs[1];
    b.pick.legs[1] = first;
    work_out(&b);
    assert_int_equal(b.recon.legs[0].number, 2);
    check_close(b.recon.legs[0].tension_n, 600.0, 0.01, "C01 of the reference table");
    check_close(b.recon.inclination_deg, -16.260, 0.001, "C01 of the reference table");
}

static void the_hook_load_and_the_chart(void **state) {
    (void)state;
    bench b;
    two_legs(&b, 6.0, 8.0, 10.0, 5.0, 1000.0 * G);
    b.pick.rigging_weight_kg = 200.0;
    b.pick.cut_capacity_kg = 2400.0;
    b.pick.set_down_capacity_kg = 1500.0;
    work_out(&b);
    check_close(b.recon.hook_load_kg, 1200.0, 1e-9, "piece + rigging");
    check_close(b.recon.capacity_share, 0.8, 1e-12, "1200 / 1500, the worst radius");
    assert_false(b.recon.hook_planned);
    check_close(b.recon.peak_share, (b.recon.peak_high_n / G + 200.0) / 2400.0, 1e-12, "on the hook, at the cut");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_reference_rows_pass_through_the_whole_chain),
        cmocka_unit_test(the_impossible_level_bridle_hangs_steep_as_two_free_legs),
        cmocka_unit_test(legs_made_for_the_lean_leave_the_piece_still),
        cmocka_unit_test(a_slack_upper_leg_brings_the_butt_up),
        cmocka_unit_test(the_drop_before_the_slack_leg_bites),
        cmocka_unit_test(the_surface_comes_from_the_taper),
        cmocka_unit_test(the_balance_point_from_diameters_and_brush),
        cmocka_unit_test(the_plan_stands_in_and_is_marked),
        cmocka_unit_test(what_a_leg_uses),
        cmocka_unit_test(a_drop_onto_a_slack_leg_peaks),
        cmocka_unit_test(the_peak_bracket),
        cmocka_unit_test(set_ups_outside_the_model_get_no_number),
        cmocka_unit_test(without_the_state_before_the_cut_there_is_no_movement),
        cmocka_unit_test(three_legs_hang_in_space),
        cmocka_unit_test(a_third_leg_that_stays_slack_changes_nothing),
        cmocka_unit_test(a_balancer_is_left_out_and_counted),
        cmocka_unit_test(the_order_of_the_legs_is_free),
        cmocka_unit_test(the_hook_load_and_the_chart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
