/* One to four elastic legs in space: balance of force and moment in the world, least energy over all six unknowns,
 * the closed form at the stretched lengths, exact cases, slack legs, several rests, symmetry. */
#include "support/check.h"

#include "mech/hang.h"
#include "mech/hang_space.h"
#include "space_kit.h"

/* The piece in the world: rows of r take the piece's frame to the world, y up; o is the world place of the butt's
 * axis point, the hook being the world's origin. */
typedef struct pose {
    double r[3][3];
    double o[3];
} pose;

static void place(double out[3], const pose *w, double x, double y, double z) {
    for (int i = 0; i < 3; i++)
        out[i] = w->o[i] + w->r[i][0] * x + w->r[i][1] * y + w->r[i][2] * z;
}

/* Any turn about the plumb line will do; this one has the second row up. */
static pose pose_of(const setup *s, const ap_space_rest *rest) {
    pose w = {0};
    double up[3];
    ap_hang_space_up(up, rest, &s->piece);
    int least = fabs(up[0]) < fabs(up[1]) ? (fabs(up[0]) < fabs(up[2]) ? 0 : 2) : (fabs(up[1]) < fabs(up[2]) ? 1 : 2);
    double a[3] = {0.0, 0.0, 0.0};
    a[least] = 1.0;
    double c[3] = {up[1] * a[2] - up[2] * a[1], up[2] * a[0] - up[0] * a[2], up[0] * a[1] - up[1] * a[0]};
    double n = sqrt(c[0] * c[0] + c[1] * c[1] + c[2] * c[2]);
    for (int k = 0; k < 3; k++) {
        w.r[1][k] = up[k];
        w.r[2][k] = c[k] / n;
    }
    for (int k = 0; k < 3; k++) {
        int i = (k + 1) % 3;
        int j = (k + 2) % 3;
        w.r[0][k] = w.r[1][i] * w.r[2][j] - w.r[1][j] * w.r[2][i];
    }
    double hook[3];
    place(hook, &w, rest->hook_x_m, rest->hook_y_m, rest->hook_side_m);
    for (int k = 0; k < 3; k++)
        w.o[k] = -hook[k];
    return w;
}

static double norm3(const double v[3]) {
    return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
}

/* Energy of a pose: six unknowns, the hook at the origin. */
static double energy_of(const setup *s, const pose *w) {
    double cg[3];
    place(cg, w, s->piece.cg_m, 0.0, s->piece.cg_side_m);
    double u = s->piece.weight_n * cg[1];
    for (int i = 0; i < s->count; i++) {
        double p[3];
        place(p, w, s->legs[i].at_m, s->legs[i].off_m, s->legs[i].side_m);
        double stretch = fmax(0.0, norm3(p) - s->legs[i].length_m);
        u += 0.5 * s->legs[i].stiffness_n_m * stretch * stretch;
    }
    return u;
}

static void check_balance(const setup *s, const ap_space_rest *rest) {
    pose w = pose_of(s, rest);
    double cg[3];
    place(cg, &w, s->piece.cg_m, 0.0, s->piece.cg_side_m);
    double scale = s->piece.length_m;
    double force[3] = {0.0, -s->piece.weight_n, 0.0};
    double moment[3] = {0.0, 0.0, 0.0}; /* about the centre of gravity */
    check_close(hypot(cg[0], cg[2]) / scale, 0.0, 1e-12, "the centre of gravity plumb below the hook");
    check_close(w.r[1][0], sin(rest->inclination_deg * DEGREE), 1e-12, "the inclination is that of the axis");
    for (int i = 0; i < s->count; i++) {
        const ap_space_leg *leg = &s->legs[i];
        double p[3];
        place(p, &w, leg->at_m, leg->off_m, leg->side_m);
        double distance = norm3(p);
        assert_true(rest->tension_n[i] >= 0.0);
        assert_true(rest->tight[i] == (rest->tension_n[i] > 0.0));
        if (rest->tight[i]) {
            check_close(distance, rest->loaded_length_m[i], 1e-9 * scale, "a tight leg is straight");
            check_close(leg->stiffness_n_m * (rest->loaded_length_m[i] - leg->length_m) / s->piece.weight_n,
                        rest->tension_n[i] / s->piece.weight_n, 1e-7, "Hooke's law");
            assert_true(rest->slack_m[i] == 0.0);
        } else {
            assert_true(distance <= leg->length_m * (1.0 + 1e-9));
            check_close(rest->slack_m[i], fmax(0.0, leg->length_m - distance), 1e-9 * scale,
                        "slack = length - distance");
        }
        double arm[3] = {p[0] - cg[0], p[1] - cg[1], p[2] - cg[2]};
        double pull[3];
        for (int k = 0; k < 3; k++) {
            pull[k] = -rest->tension_n[i] * p[k] / distance;
            force[k] += pull[k];
        }
        for (int k = 0; k < 3; k++)
            moment[k] += arm[(k + 1) % 3] * pull[(k + 2) % 3] - arm[(k + 2) % 3] * pull[(k + 1) % 3];
        check_close(sin(rest->leg_angle_deg[i] * DEGREE), -p[1] / distance, 1e-9, "angle above the horizontal");
    }
    double weight = s->piece.weight_n;
    check_close(norm3(force) / weight, 0.0, 1e-9, "issue: forces balanced to 1e-9 of the weight");
    check_close(norm3(moment) / (weight * scale), 0.0, 1e-9, "issue: moments balanced to 1e-9 of the weight");
    assert_true(rest->residual_n <= 1e-9 * weight);
    check_close(rest->energy_j / (weight * scale), energy_of(s, &w) / (weight * scale), 1e-9, "energy of the pose");
}

/* A small shift and turn of the piece, any direction. */
static pose disturbed(const pose *w, const double pivot[3], double size) {
    double axis[3] = {uniform(-1, 1), uniform(-1, 1), uniform(-1, 1)};
    double n = norm3(axis);
    double a = uniform(-1, 1) * size;
    double c = cos(a);
    double s = sin(a);
    double q[3][3];
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++)
            q[i][k] = (1 - c) * axis[i] * axis[k] / (n * n) + (i == k ? c : 0.0);
    for (int i = 0; i < 3; i++) {
        int j = (i + 1) % 3;
        int k = (i + 2) % 3;
        q[j][k] -= s * axis[i] / n;
        q[k][j] += s * axis[i] / n;
    }
    pose out = {0};
    for (int i = 0; i < 3; i++) {
        out.o[i] = pivot[i] + uniform(-1, 1) * size;
        for (int k = 0; k < 3; k++) {
            out.o[i] += q[i][k] * (w->o[k] - pivot[k]);
            for (int m = 0; m < 3; m++)
                out.r[i][k] += q[i][m] * w->r[m][k];
        }
    }
    return out;
}

static void check_least(const setup *s, const ap_space_rest *rest, int tries) {
    pose w = pose_of(s, rest);
    double cg[3];
    place(cg, &w, s->piece.cg_m, 0.0, s->piece.cg_side_m);
    double scale = s->piece.weight_n * s->piece.length_m;
    double here = energy_of(s, &w) / scale;
    for (int i = 0; i < tries; i++) {
        pose other = disturbed(&w, cg, pow(10.0, uniform(-5.0, -1.0)));
        assert_true(energy_of(s, &other) / scale >= here - 1e-12);
    }
}

static void forces_moments_and_energy(void **state) {
    (void)state;
    random_state = 20261101;
    int solved = 0;
    int slack = 0;
    int refused = 0;
    for (int i = 0; solved < 10000; i++) {
        assert_true(i < 20000);
        setup s = random_setup(1 + i % 4, i % 3 == 0);
        ap_space_hang h;
        ap_error err = {0};
        if (ap_hang_space(&h, solver, s.legs, s.count, &s.piece, &err) != AP_OK) {
            assert_null(strstr(err.text, "no place at rest"));
            refused++;
            continue;
        }
        solved++;
        for (size_t r = 0; r < h.count; r++) {
            check_balance(&s, &h.rest[r]);
            check_least(&s, &h.rest[r], 20);
            assert_true(r == 0 || h.rest[r].energy_j >= h.rest[r - 1].energy_j);
        }
        for (int leg = 0; leg < s.count; leg++)
            slack += !h.rest[0].tight[leg];
    }
    assert_true(slack > 3000 && refused < 3000);
}

/* Blind search over hooks on the hook's side of the axis: none lies deeper than the first rest. */
static void no_other_hook_lies_deeper(void **state) {
    (void)state;
    random_state = 78;
    for (int solved = 0, i = 0; solved < 500; i++) {
        assert_true(i < 2000);
        setup s = random_setup(1 + i % 4, i % 3 == 0);
        ap_space_hang h;
        if (ap_hang_space(&h, solver, s.legs, s.count, &s.piece, NULL) != AP_OK)
            continue;
        solved++;
        double scale = s.piece.weight_n * s.piece.length_m;
        for (int k = 0; k < 2000; k++) {
            double d[3] = {uniform(-1, 1), uniform(0, 1), uniform(-1, 1)};
            double n = norm3(d);
            /* As deep as the legs reach in this direction, and a little more for their stretch. */
            double reach = uniform(0.0, 1.05) * (h.rest[0].depth_m);
            double hook[3] = {s.piece.cg_m + reach * d[0] / n, reach * d[1] / n, s.piece.cg_side_m + reach * d[2] / n};
            double u = -s.piece.weight_n * reach;
            for (int leg = 0; leg < s.count; leg++) {
                const double p[3] = {s.legs[leg].at_m - hook[0], s.legs[leg].off_m - hook[1],
                                     s.legs[leg].side_m - hook[2]};
                double stretch = fmax(0.0, norm3(p) - s.legs[leg].length_m);
                u += 0.5 * s.legs[leg].stiffness_n_m * stretch * stretch;
            }
            assert_true(u / scale >= h.rest[0].energy_j / scale - 1e-12);
        }
    }
}

/* Two legs over attach points as logged, nearer the butt first. */
static setup random_pair(bool on_axis) {
    setup s = random_setup(2, true);
    double a = uniform(0.0, 0.45) * s.piece.length_m;
    double b = uniform(0.55, 1.0) * s.piece.length_m;
    s.legs[0].at_m = a;
    s.legs[1].at_m = b;
    s.legs[0].off_m = on_axis ? 0.0 : uniform(0.0, 0.5);
    s.legs[1].off_m = on_axis ? 0.0 : uniform(0.0, s.legs[0].off_m);
    s.piece.cg_m = uniform(-0.1, 1.1) * (b - a) + a;
    s.piece.cg_m = fmin(fmax(s.piece.cg_m, 0.0), s.piece.length_m);
    return s;
}

/* Degrees between the two legs at the hook, or what is missing to a straight line. */
static double angle_between(const setup *s, const ap_space_rest *rest) {
    double x[2];
    double y[2];
    for (int i = 0; i < 2; i++) {
        x[i] = s->legs[i].at_m - rest->hook_x_m;
        y[i] = s->legs[i].off_m - rest->hook_y_m;
    }
    return fabs(asin((x[0] * y[1] - x[1] * y[0]) / (hypot(x[0], y[0]) * hypot(x[1], y[1])))) / DEGREE;
}

static void the_closed_form_at_the_stretched_lengths(void **state) {
    (void)state;
    random_state = 4711;
    int solved = 0;
    int slack = 0;
    int in_line = 0;
    for (int i = 0; solved < 10000; i++) {
        assert_true(i < 30000);
        setup s = random_pair(i % 2 == 0);
        ap_space_hang h;
        if (ap_hang_space(&h, solver, s.legs, 2, &s.piece, NULL) != AP_OK)
            continue;
        const ap_space_rest *rest = &h.rest[0];
        /* Both legs along one line (plumb, one above the other): the lengths alone do not say who carries what. */
        if (rest->tight[0] && rest->tight[1] && angle_between(&s, rest) < 0.1) {
            in_line++;
            continue;
        }
        ap_hang_leg legs[2];
        for (int leg = 0; leg < 2; leg++)
            legs[leg] = (ap_hang_leg){s.legs[leg].at_m, rest->loaded_length_m[leg], s.legs[leg].off_m};
        ap_hang closed;
        ap_error err = {0};
        if (ap_hang_two_legs(&closed, legs, s.piece.cg_m, s.piece.weight_n, &err) != AP_OK) {
            assert_non_null(strstr(err.text, "below")); /* a hair off the axis, judged by another tolerance */
            continue;
        }
        solved++;
        double most = fmax(s.piece.weight_n, fmax(rest->tension_n[0], rest->tension_n[1]));
        check_close(rest->hook_x_m / s.piece.length_m, closed.hook_x_m / s.piece.length_m, 1e-9, "hang.h");
        check_close(rest->hook_y_m / s.piece.length_m, closed.hook_y_m / s.piece.length_m, 1e-9, "hang.h");
        for (int leg = 0; leg < 2; leg++) {
            check_close(rest->tension_n[leg] / most, closed.tension_n[leg] / most, 1e-9, "hang.h");
            slack += !rest->tight[leg];
        }
    }
    assert_true(slack > 500 && in_line < 100);
}

/* Stretch moves the result in proportion to 1/stiffness: ten times stiffer, a tenth of the gap to unstretched legs. */
static void the_gap_falls_with_stiffness(void **state) {
    (void)state;
    random_state = 99;
    for (int solved = 0, i = 0; solved < 300; i++) {
        assert_true(i < 3000);
        setup s = random_pair(i % 2 == 0);
        const ap_hang_leg legs[2] = {{s.legs[0].at_m, s.legs[0].length_m, s.legs[0].off_m},
                                     {s.legs[1].at_m, s.legs[1].length_m, s.legs[1].off_m}};
        ap_hang closed;
        if (ap_hang_two_legs(&closed, legs, s.piece.cg_m, s.piece.weight_n, NULL) != AP_OK || !closed.tight[0] ||
            !closed.tight[1] || fmin(closed.tension_n[0], closed.tension_n[1]) < 0.2 * s.piece.weight_n ||
            fmin(closed.leg_angle_deg[0], closed.leg_angle_deg[1]) < 20.0)
            continue;
        solved++;
        double gap[4];
        for (int step = 0; step < 4; step++) {
            ap_space_hang h;
            ap_error err = {0};
            for (int leg = 0; leg < 2; leg++)
                s.legs[leg].stiffness_n_m = s.piece.weight_n / s.legs[leg].length_m * pow(10.0, 5 + step);
            check_ok(ap_hang_space(&h, solver, s.legs, 2, &s.piece, &err), &err);
            gap[step] = hypot(h.rest[0].hook_x_m - closed.hook_x_m, h.rest[0].hook_y_m - closed.hook_y_m);
        }
        for (int step = 1; step < 4; step++)
            check_close(gap[step - 1] / gap[step], 10.0, 0.1, "first order in 1/stiffness");
    }
}

static void mirror_and_scale_change_nothing(void **state) {
    (void)state;
    random_state = 5150;
    for (int solved = 0, i = 0; solved < 1000; i++) {
        assert_true(i < 3000);
        setup s = random_setup(1 + i % 4, i % 3 == 0);
        ap_space_hang h;
        if (ap_hang_space(&h, solver, s.legs, s.count, &s.piece, NULL) != AP_OK)
            continue;
        solved++;
        setup across = s; /* to the other side */
        setup along = s;  /* butt for tip */
        setup large = s;
        across.piece.cg_side_m = -s.piece.cg_side_m;
        along.piece.cg_m = s.piece.length_m - s.piece.cg_m;
        large.piece = (ap_space_piece){3.0 * s.piece.weight_n, 2.0 * s.piece.cg_m, 2.0 * s.piece.cg_side_m,
                                       2.0 * s.piece.length_m};
        for (int leg = 0; leg < s.count; leg++) {
            const ap_space_leg *one = &s.legs[leg];
            across.legs[leg].side_m = -one->side_m;
            along.legs[leg].at_m = s.piece.length_m - one->at_m;
            large.legs[leg] = (ap_space_leg){2.0 * one->at_m, 2.0 * one->off_m, 2.0 * one->side_m, 2.0 * one->length_m,
                                             1.5 * one->stiffness_n_m};
        }
        ap_space_hang a;
        ap_space_hang b;
        ap_space_hang c;
        ap_error err = {0};
        check_ok(ap_hang_space(&a, solver, across.legs, s.count, &across.piece, &err), &err);
        check_ok(ap_hang_space(&b, solver, along.legs, s.count, &along.piece, &err), &err);
        check_ok(ap_hang_space(&c, solver, large.legs, s.count, &large.piece, &err), &err);
        const ap_space_rest *rest = &h.rest[0];
        check_close(a.rest[0].inclination_deg, rest->inclination_deg, 1e-5, "mirror");
        check_close(b.rest[0].inclination_deg, -rest->inclination_deg, 1e-5, "mirror");
        check_close(c.rest[0].inclination_deg, rest->inclination_deg, 1e-5, "scale");
        if (!isnan(rest->roll_deg) && !rest->rolls_freely && hypot(rest->hook_y_m, rest->hook_side_m) > 0.1)
            check_close(sin((a.rest[0].roll_deg + rest->roll_deg) * DEGREE), 0.0, 1e-6, "mirror");
        for (int leg = 0; leg < s.count; leg++) {
            check_close(a.rest[0].tension_n[leg] / s.piece.weight_n, rest->tension_n[leg] / s.piece.weight_n, 1e-7,
                        "mirror");
            check_close(b.rest[0].tension_n[leg] / s.piece.weight_n, rest->tension_n[leg] / s.piece.weight_n, 1e-7,
                        "mirror");
            check_close(c.rest[0].tension_n[leg] / s.piece.weight_n, 3.0 * rest->tension_n[leg] / s.piece.weight_n,
                        3e-7, "scale");
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forces_moments_and_energy),
        cmocka_unit_test(no_other_hook_lies_deeper),
        cmocka_unit_test(the_closed_form_at_the_stretched_lengths),
        cmocka_unit_test(the_gap_falls_with_stiffness),
        cmocka_unit_test(mirror_and_scale_change_nothing),
    };
    return cmocka_run_group_tests(tests, make_solver, free_solver);
}
