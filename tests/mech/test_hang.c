/* Two legs: balance of force and moment, symmetry, slack legs against a blind search, the state before the cut. */
#include "support/check.h"

#include "mech/hang.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;

/* splitmix64: fixed seed, so that every run looks at the same set-ups. */
static uint64_t random_state;

static double uniform(double low, double high) {
    random_state += 0x9E3779B97F4A7C15u;
    uint64_t z = random_state;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    z ^= z >> 31;
    return low + (high - low) * ((double)(z >> 11) / 9007199254740992.0);
}

typedef struct setup {
    ap_hang_leg legs[2];
    double cg, weight, length, lean;
} setup;

static setup random_setup(bool on_axis) {
    setup s = {.length = uniform(3.0, 15.0), .weight = uniform(500.0, 60000.0), .lean = uniform(-60.0, 75.0)};
    double a = uniform(0.0, s.length);
    double b = uniform(0.0, s.length);
    s.legs[0].at_m = fmin(a, b);
    s.legs[1].at_m = fmax(a, b) + 0.05;
    s.legs[0].length_m = uniform(0.3, 12.0);
    s.legs[1].length_m = uniform(0.3, 12.0);
    s.legs[0].off_m = on_axis ? 0.0 : uniform(0.0, 0.6);
    s.legs[1].off_m = on_axis ? 0.0 : uniform(0.0, s.legs[0].off_m);
    s.cg = uniform(0.0, s.length);
    return s;
}

/* Sum of forces and of moments about the butt in the world's axes, relative to W and W L. */
static void check_balance(const setup *s, const ap_hang *h) {
    double c = cos(h->inclination_deg * DEGREE);
    double n = sin(h->inclination_deg * DEGREE);
    double hook_x = h->hook_x_m * c - h->hook_y_m * n;
    double hook_y = h->hook_x_m * n + h->hook_y_m * c;
    double cg_x = s->cg * c;
    double fx = 0.0;
    double fy = -s->weight;
    double moment = -s->weight * cg_x;
    for (int i = 0; i < 2; i++) {
        double px = s->legs[i].at_m * c - s->legs[i].off_m * n;
        double py = s->legs[i].at_m * n + s->legs[i].off_m * c;
        double distance = hypot(hook_x - px, hook_y - py);
        assert_true(distance <= s->legs[i].length_m + 1e-9);
        assert_true(h->tension_n[i] >= 0.0);
        if (h->tight[i])
            check_close(distance, s->legs[i].length_m, 1e-9, "a tight leg is straight");
        else
            assert_true(h->tension_n[i] == 0.0);
        if (h->tension_n[i] > 0.0) {
            double tx = h->tension_n[i] * (hook_x - px) / distance;
            double ty = h->tension_n[i] * (hook_y - py) / distance;
            fx += tx;
            fy += ty;
            moment += px * ty - py * tx;
        }
    }
    /* The tensions of nearly straight legs pass W by far: balance is judged against the largest force at work. */
    double force = fmax(s->weight, fmax(h->tension_n[0], h->tension_n[1]));
    check_close(fx / force, 0.0, 1e-9, "sum of level forces");
    check_close(fy / force, 0.0, 1e-9, "sum of upright forces");
    check_close(moment / (force * s->length), 0.0, 1e-9, "sum of moments");
    check_close(hook_x, cg_x, 1e-9 * s->length, "hook above the centre of gravity");
    assert_true(hook_y > s->cg * n);
}

static void forces_and_moments_balance(void **state) {
    (void)state;
    random_state = 20261001;
    int solved = 0;
    int slack = 0;
    for (int i = 0; solved < 10000; i++) {
        assert_true(i < 60000);
        setup s = random_setup(i % 2 == 0);
        ap_hang h;
        ap_error err = {0};
        if (ap_hang_two_legs(&h, s.legs, s.cg, s.weight, &err) != AP_OK)
            continue;
        check_balance(&s, &h);
        solved++;
        slack += !h.tight[0] || !h.tight[1];
    }
    assert_true(slack > 500 && slack < 9500);
}

/* Potential energy, blind: no other hook place that both legs reach lies further from the centre of gravity. */
static void no_reachable_hook_lies_deeper(void **state) {
    (void)state;
    random_state = 77;
    int solved = 0;
    for (int i = 0; solved < 1000; i++) {
        assert_true(i < 10000);
        setup s = random_setup(i % 2 == 0);
        ap_hang h;
        ap_error err = {0};
        if (ap_hang_two_legs(&h, s.legs, s.cg, s.weight, &err) != AP_OK)
            continue;
        solved++;
        double depth = hypot(h.hook_x_m - s.cg, h.hook_y_m);
        for (int leg = 0; leg < 2; leg++)
            for (int step = 0; step < 720; step++) {
                const ap_hang_leg *on = &s.legs[leg];
                const ap_hang_leg *other = &s.legs[1 - leg];
                double x = on->at_m + on->length_m * cos(0.5 * step * DEGREE);
                double y = on->off_m + on->length_m * sin(0.5 * step * DEGREE);
                if (y < 0.0 || hypot(x - other->at_m, y - other->off_m) > other->length_m)
                    continue;
                assert_true(hypot(x - s.cg, y) <= depth * (1.0 + 1e-12));
            }
    }
}

static void mirror_and_scale_change_nothing(void **state) {
    (void)state;
    random_state = 4;
    for (int solved = 0, i = 0; solved < 2000; i++) {
        assert_true(i < 20000);
        setup s = random_setup(i % 2 == 0);
        ap_hang h, m, k;
        ap_error err = {0};
        if (ap_hang_two_legs(&h, s.legs, s.cg, s.weight, &err) != AP_OK)
            continue;
        solved++;
        ap_hang_leg mirrored[2] = {s.legs[1], s.legs[0]};
        ap_hang_leg scaled[2] = {s.legs[0], s.legs[1]};
        for (int leg = 0; leg < 2; leg++) {
            mirrored[leg].at_m = 20.0 - mirrored[leg].at_m;
            scaled[leg].at_m *= 3.0;
            scaled[leg].off_m *= 3.0;
            scaled[leg].length_m *= 3.0;
        }
        check_ok(ap_hang_two_legs(&m, mirrored, 20.0 - s.cg, s.weight, &err), &err);
        check_ok(ap_hang_two_legs(&k, scaled, 3.0 * s.cg, 2.0 * s.weight, &err), &err);
        double most = fmax(h.tension_n[0], h.tension_n[1]);
        check_close(m.inclination_deg, -h.inclination_deg, 1e-6, "mirror");
        check_close(k.inclination_deg, h.inclination_deg, 1e-6, "scale");
        for (int leg = 0; leg < 2; leg++) {
            check_close(m.tension_n[1 - leg] / most, h.tension_n[leg] / most, 1e-8, "mirror");
            check_close(k.tension_n[leg] / (2.0 * most), h.tension_n[leg] / most, 1e-8, "scale");
        }
    }
}

/* Methods note: T1 = W L1 (x2 - c)/(s D), T2 = W L2 (c - x1)/(s D), D = hypot(xh - c, y), on the axis. */
static void the_closed_form_of_the_note_is_met(void **state) {
    (void)state;
    random_state = 9;
    for (int solved = 0, i = 0; solved < 1000; i++) {
        assert_true(i < 20000);
        setup s = random_setup(true);
        ap_hang h;
        ap_error err = {0};
        if (ap_hang_two_legs(&h, s.legs, s.cg, s.weight, &err) != AP_OK || !h.tight[0] || !h.tight[1])
            continue;
        solved++;
        double x1 = s.legs[0].at_m;
        double x2 = s.legs[1].at_m;
        double l1 = s.legs[0].length_m;
        double l2 = s.legs[1].length_m;
        double span = x2 - x1;
        double xh = x1 + (l1 * l1 - l2 * l2 + span * span) / (2.0 * span);
        double y2 = l1 * l1 - (xh - x1) * (xh - x1);
        if (y2 < 1e-3 * l1 * l1)
            continue; /* here the note's own form cancels */
        double d = sqrt((xh - s.cg) * (xh - s.cg) + y2);
        check_close(h.tension_n[0] / (s.weight * l1 * (x2 - s.cg) / (span * d)), 1.0, 1e-9, "methods note section 1");
        check_close(h.tension_n[1] / (s.weight * l2 * (s.cg - x1) / (span * d)), 1.0, 1e-9, "methods note section 1");
        check_close(h.inclination_deg, atan2(xh - s.cg, sqrt(y2)) / DEGREE, 1e-7, "methods note section 1");
        assert_false(h.cg_outside);
    }
}

static void refusals_give_the_numbers(void **state) {
    (void)state;
    ap_hang h = {.inclination_deg = -7.0};
    ap_error err = {0};
    const ap_hang_leg short_legs[2] = {{1.0, 2.0, 0.0}, {7.0, 3.0, 0.0}};
    check_refused(ap_hang_two_legs(&h, short_legs, 4.0, 1000.0, &err), AP_E_DOMAIN, &err, "1.000 m are missing");
    const ap_hang_leg flat[2] = {{1.0, 3.0, 0.0}, {7.0, 3.0, 0.0}};
    check_refused(ap_hang_two_legs(&h, flat, 4.0, 1000.0, &err), AP_E_DOMAIN, &err, "cannot meet");
    const ap_hang_leg equal[2] = {{4.0, 3.0, 0.0}, {4.0, 3.0, 0.0}};
    check_refused(ap_hang_two_legs(&h, equal, 4.0, 1000.0, &err), AP_E_DOMAIN, &err, "4.000 m and 4.000 m");
    const ap_hang_leg swapped[2] = {{7.0, 5.0, 0.0}, {1.0, 5.0, 0.0}};
    check_refused(ap_hang_two_legs(&h, swapped, 4.0, 1000.0, &err), AP_E_DOMAIN, &err, "nearer the tip");
    const ap_hang_leg zero[2] = {{1.0, 0.0, 0.0}, {7.0, 8.0, 0.0}};
    check_refused(ap_hang_two_legs(&h, zero, 4.0, 1000.0, &err), AP_E_DOMAIN, &err, "0.000 m carries nothing");
    const ap_hang_leg under[2] = {{1.0, 5.0, -0.2}, {7.0, 5.0, 0.2}};
    check_refused(ap_hang_two_legs(&h, under, 4.0, 1000.0, &err), AP_E_DOMAIN, &err, "wrong side");
    const ap_hang_leg good[2] = {{1.0, 5.0, 0.0}, {7.0, 5.0, 0.0}};
    check_refused(ap_hang_two_legs(&h, good, 4.0, 0.0, &err), AP_E_DOMAIN, &err, "does not hang");
    check_refused(ap_hang_two_legs(&h, good, NAN, 1000.0, &err), AP_E_DOMAIN, &err, "centre of gravity");
    const ap_hang_leg unknown[2] = {{NAN, 5.0, 0.0}, {7.0, 5.0, 0.0}};
    check_refused(ap_hang_two_legs(&h, unknown, 4.0, 1000.0, &err), AP_E_DOMAIN, &err, "attach point");
    const ap_hang_leg balanced = {4.0, 2.0, 0.0};
    check_refused(ap_hang_one_leg(&h, &balanced, 4.0, 1000.0, &err), AP_E_DOMAIN, &err, "carries the whole weight");
    assert_true(h.inclination_deg == -7.0);
}

static void before_the_cut_refuses_what_it_cannot_know(void **state) {
    (void)state;
    ap_hang_start start = {.lean_deg = -7.0};
    ap_error err = {0};
    const ap_hang_leg legs[2] = {{2.0, 6.0, 0.0}, {6.0, 4.0, 0.0}};
    const int slack[2] = {AP_LEG_STATE_SLACK, AP_LEG_STATE_SLACK};
    const int snug[2] = {AP_LEG_STATE_SNUG, AP_LEG_STATE_SNUG};
    const int blank[2] = {AP_LEG_STATE_TIGHT, 0};
    const int lower[2] = {AP_LEG_STATE_TIGHT, AP_LEG_STATE_SLACK};
    const int both[2] = {AP_LEG_STATE_TIGHT, AP_LEG_STATE_TIGHT};
    check_refused(ap_hang_before_cut(&start, legs, slack, 40.0, &err), AP_E_DOMAIN, &err, "no leg was tight");
    check_refused(ap_hang_before_cut(&start, legs, snug, 40.0, &err), AP_E_DOMAIN, &err, "no leg was tight");
    check_refused(ap_hang_before_cut(&start, legs, blank, 40.0, &err), AP_E_DOMAIN, &err, "leg 2");
    check_refused(ap_hang_before_cut(&start, legs, both, NAN, &err), AP_E_DOMAIN, &err, "lean");
    /* The hook plumb over the lower attach point: 4.5 m to the upper one, whose leg is 4.0 m. */
    check_refused(ap_hang_before_cut(&start, legs, lower, 40.0, &err), AP_E_DOMAIN, &err, "does not reach");
    const ap_hang_leg loose[2] = {{2.0, 9.0, 0.0}, {6.0, 4.0, 0.0}};
    check_refused(ap_hang_before_cut(&start, loose, both, 0.0, &err), AP_E_DOMAIN, &err, "cannot both");
    const ap_hang_leg even[2] = {{2.0, 2.1, 0.0}, {6.0, 2.1, 0.0}};
    check_refused(ap_hang_before_cut(&start, even, both, 60.0, &err), AP_E_DOMAIN, &err, "below the attach point");
    const ap_hang_leg one = {3.0, 2.0, 0.0};
    check_refused(ap_hang_before_cut_one(&start, &one, AP_LEG_STATE_SLACK, 30.0, &err), AP_E_DOMAIN, &err, "slack");
    assert_true(start.lean_deg == -7.0);
}

/* Legs cut to the hook over the centre of gravity: nothing moves. */
static void fitting_legs_part_still(void **state) {
    (void)state;
    random_state = 12;
    const int both[2] = {AP_LEG_STATE_TIGHT, AP_LEG_STATE_SNUG};
    for (int i = 0; i < 1000; i++) {
        ap_hang_leg legs[2] = {{uniform(0.5, 3.0), NAN, 0.2}, {uniform(6.0, 9.0), NAN, 0.1}};
        double cg = uniform(3.5, 5.5);
        double lean = uniform(-40.0, 40.0);
        ap_hang h;
        ap_hang_start start;
        ap_separation way;
        ap_error err = {0};
        check_ok(ap_hang_lengths_for(legs, cg, lean, uniform(5.0, 9.0), &err), &err);
        check_ok(ap_hang_two_legs(&h, legs, cg, 1000.0, &err), &err);
        check_ok(ap_hang_before_cut(&start, legs, both, lean, &err), &err);
        ap_hang_separate(&way, &start, &h, legs, 2, cg, 10.0);
        check_close(way.turn_deg, 0.0, 1e-7, "closed form: the hook stands over the centre of gravity");
        check_close(way.butt_move_m, 0.0, 1e-8, "closed form");
        check_close(way.tip_move_m, 0.0, 1e-8, "closed form");
    }
}

/* Common practice, no source: on a leader at 50 degrees, slung equally far from its centre of gravity with the hook one
 * spacing above it, the lower leg must be about twice as long as the upper (2.041 by statics). */
static void the_lower_leg_is_twice_the_upper(void **state) {
    (void)state;
    ap_hang_leg legs[2] = {{3.0, NAN, 0.0}, {5.0, NAN, 0.0}};
    ap_error err = {0};
    check_ok(ap_hang_lengths_for(legs, 4.0, 50.0, 2.0, &err), &err);
    check_close(legs[0].length_m / legs[1].length_m, 2.041, 0.0005, "common practice, no source; 2.041 by statics");
    /* Equal legs there hang level, not at 50 degrees: they cannot both be tight before the cut with the hook above. */
    ap_hang h;
    legs[0].length_m = legs[1].length_m;
    check_ok(ap_hang_two_legs(&h, legs, 4.0, 1000.0, &err), &err);
    check_close(h.inclination_deg, 0.0, 1e-9, "symmetry");
}

/* Common practice, no source: upper leg slack at the cut: the butt comes up and the tip dives; lower slack: the other
 * way round. The piece also drops by no more than it must: its centre of gravity never rises. */
static void a_slack_leg_turns_the_piece(void **state) {
    (void)state;
    random_state = 31;
    int turned[2] = {0, 0};
    for (int i = 0; i < 20000; i++) {
        ap_hang_leg legs[2] = {{uniform(0.5, 3.0), NAN, 0.0}, {uniform(6.0, 9.0), NAN, 0.0}};
        double cg = uniform(3.5, 5.5);
        double lean = uniform(-50.0, 60.0);
        int tight = i % 2;
        int states[2] = {AP_LEG_STATE_SLACK, AP_LEG_STATE_SLACK};
        ap_hang h;
        ap_hang_start start;
        ap_separation way;
        states[tight] = AP_LEG_STATE_TIGHT;
        legs[0].length_m = uniform(2.0, 10.0);
        legs[1].length_m = uniform(2.0, 10.0);
        if (ap_hang_before_cut(&start, legs, states, lean, NULL) != AP_OK ||
            ap_hang_two_legs(&h, legs, cg, 1000.0, NULL) != AP_OK)
            continue;
        ap_hang_separate(&way, &start, &h, legs, 2, cg, 10.0);
        assert_true(start.slack_m[1 - tight] >= 0.0);
        assert_true(way.cg_up_m <= 1e-9);
        if (fabs(way.turn_deg) > 90.0 || start.slack_m[1 - tight] < 0.05)
            continue;
        turned[tight]++;
        assert_true(tight == 0 ? way.turn_deg < 0.0 : way.turn_deg > 0.0);
        if (tight == 0)
            assert_true(way.butt_up_m > way.tip_up_m && way.fall_m[1] > 0.0);
        else
            assert_true(way.butt_up_m < way.tip_up_m && way.fall_m[0] > 0.0);
    }
    assert_true(turned[0] > 300 && turned[1] > 300);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forces_and_moments_balance),      cmocka_unit_test(no_reachable_hook_lies_deeper),
        cmocka_unit_test(mirror_and_scale_change_nothing), cmocka_unit_test(the_closed_form_of_the_note_is_met),
        cmocka_unit_test(refusals_give_the_numbers),       cmocka_unit_test(before_the_cut_refuses_what_it_cannot_know),
        cmocka_unit_test(fitting_legs_part_still),         cmocka_unit_test(the_lower_leg_is_twice_the_upper),
        cmocka_unit_test(a_slack_leg_turns_the_piece),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
