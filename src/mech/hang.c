#include "mech/hang.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;
/* Legs this close to a straight line have no finite tension worth printing. */
static const double FLAT_TOLERANCE = 1e-6;

typedef struct vec {
    double x, y;
} vec;

static vec sub(vec a, vec b) {
    return (vec){a.x - b.x, a.y - b.y};
}

static double cross(vec a, vec b) {
    return a.x * b.y - a.y * b.x;
}

static double distance(vec a, vec b) {
    return hypot(a.x - b.x, a.y - b.y);
}

/* A vector of the piece's frame as seen in the world. */
static vec to_world(vec v, double inclination_deg) {
    double c = cos(inclination_deg * DEGREE);
    double s = sin(inclination_deg * DEGREE);
    return (vec){v.x * c - v.y * s, v.x * s + v.y * c};
}

static vec attach_point(const ap_hang_leg *leg) {
    return (vec){leg->at_m, leg->off_m};
}

static ap_status check_leg(const ap_hang_leg *leg, ap_error *err) {
    if (!isfinite(leg->at_m) || !isfinite(leg->length_m))
        return ap_error_set(err, AP_E_DOMAIN, "a leg needs its attach point and its length");
    if (!(leg->length_m > 0.0))
        return ap_error_set(err, AP_E_DOMAIN, "a leg of %.3f m carries nothing", leg->length_m);
    if (!(leg->off_m >= 0.0) || !isfinite(leg->off_m))
        return ap_error_set(err, AP_E_DOMAIN, "an attach point %.3f m off the axis is on the wrong side of it",
                            leg->off_m);
    return AP_OK;
}

static ap_status check_load(double cg_m, double weight_n, ap_error *err) {
    if (!isfinite(cg_m))
        return ap_error_set(err, AP_E_DOMAIN, "the centre of gravity is not known");
    if (!(weight_n > 0.0) || !isfinite(weight_n))
        return ap_error_set(err, AP_E_DOMAIN, "a weight of %.6g N does not hang", weight_n);
    return AP_OK;
}

static ap_status check_pair(const ap_hang_leg legs[2], ap_error *err) {
    ap_status status = check_leg(&legs[0], err);
    if (status == AP_OK)
        status = check_leg(&legs[1], err);
    if (status != AP_OK)
        return status;
    if (!(legs[1].at_m > legs[0].at_m * (1.0 + FLAT_TOLERANCE) + 1e-9))
        return ap_error_set(
            err, AP_E_DOMAIN,
            "the legs are attached at %.3f m and %.3f m from the butt: the second must lie nearer the tip",
            legs[0].at_m, legs[1].at_m);
    double spacing = distance(attach_point(&legs[0]), attach_point(&legs[1]));
    double reach = legs[0].length_m + legs[1].length_m;
    if (reach <= spacing * (1.0 + FLAT_TOLERANCE))
        return ap_error_set(err, AP_E_DOMAIN,
                            "legs of %.3f m and %.3f m cannot meet over attach points %.3f m apart: %.3f m are missing",
                            legs[0].length_m, legs[1].length_m, spacing, spacing - reach);
    return AP_OK;
}

/* [H1] The hook with both legs straight, on the side away from the piece. False when the longer leg can never be
 * straight while the shorter one is: *loose gets its index. */
static bool corner(vec *hook, int *loose, const ap_hang_leg legs[2]) {
    vec p = attach_point(&legs[0]);
    vec q = attach_point(&legs[1]);
    double s = distance(p, q);
    double l1 = legs[0].length_m;
    double l2 = legs[1].length_m;
    *loose = -1;
    if (fabs(l1 - l2) >= s) {
        *loose = l1 > l2 ? 0 : 1;
        return false;
    }
    double along = ((l1 - l2) * (l1 + l2) + s * s) / (2.0 * s);
    double up = sqrt(fmax(0.0, (l1 - along) * (l1 + along)));
    vec e = {(q.x - p.x) / s, (q.y - p.y) / s};
    *hook = (vec){p.x + along * e.x - up * e.y, p.y + along * e.y + up * e.x};
    return true;
}

static void set_leg_angles(ap_hang *out, const ap_hang_leg *legs, int count) {
    vec hook = {out->hook_x_m, out->hook_y_m};
    for (int i = 0; i < count; i++) {
        vec d = to_world(sub(hook, attach_point(&legs[i])), out->inclination_deg);
        out->leg_angle_deg[i] = atan2(d.y, fabs(d.x)) / DEGREE;
    }
}

/* Hangs from legs[i] alone: hook, attach point and centre of gravity in one plumb line. */
static ap_status hang_from(ap_hang *out, const ap_hang_leg *legs, int count, int i, double cg_m, double weight_n,
                           ap_error *err) {
    vec p = attach_point(&legs[i]);
    vec cg = {cg_m, 0.0};
    double arm = distance(p, cg);
    if (arm < 1e-9)
        return ap_error_set(
            err, AP_E_DOMAIN,
            "the only leg is attached at the centre of gravity (%.3f m): it carries the whole weight, and the "
            "piece hangs at any inclination",
            cg_m);
    vec up = {(p.x - cg.x) / arm, (p.y - cg.y) / arm};
    vec hook = {p.x + legs[i].length_m * up.x, p.y + legs[i].length_m * up.y};
    ap_hang hang = {.inclination_deg = atan2(up.x, up.y) / DEGREE, .hook_x_m = hook.x, .hook_y_m = hook.y};
    for (int k = 0; k < count; k++) {
        hang.slack_m[k] = k == i ? 0.0 : legs[k].length_m - distance(hook, attach_point(&legs[k]));
        if (hang.slack_m[k] < -1e-9 * legs[k].length_m)
            return ap_error_set(err, AP_E_DOMAIN,
                                "with the centre of gravity at %.3f m neither leg nor both can hold it upright: the "
                                "piece would roll over",
                                cg_m);
    }
    hang.tension_n[i] = weight_n;
    hang.tight[i] = true;
    hang.cg_outside = count == 2 && (cg_m < legs[0].at_m || cg_m > legs[1].at_m);
    set_leg_angles(&hang, legs, count);
    *out = hang;
    return AP_OK;
}

ap_status ap_hang_one_leg(ap_hang *out, const ap_hang_leg *leg, double cg_m, double weight_n, ap_error *err) {
    ap_status status = check_leg(leg, err);
    if (status == AP_OK)
        status = check_load(cg_m, weight_n, err);
    return status == AP_OK ? hang_from(out, leg, 1, 0, cg_m, weight_n, err) : status;
}

ap_status ap_hang_two_legs(ap_hang *out, const ap_hang_leg legs[2], double cg_m, double weight_n, ap_error *err) {
    ap_status status = check_pair(legs, err);
    if (status == AP_OK)
        status = check_load(cg_m, weight_n, err);
    if (status != AP_OK)
        return status;

    vec hook;
    int loose;
    if (!corner(&hook, &loose, legs))
        return hang_from(out, legs, 2, 1 - loose, cg_m, weight_n, err);
    vec cg = {cg_m, 0.0};
    double arm = distance(hook, cg);
    if (!(hook.y > FLAT_TOLERANCE * arm))
        return ap_error_set(err, AP_E_DOMAIN, "the hook would lie %.3f m below the axis of the piece", -hook.y);

    /* [H2] Cramer's rule for T1 d1 + T2 d2 = W v, all in the piece's frame. */
    vec v = {(hook.x - cg.x) / arm, (hook.y - cg.y) / arm};
    vec p1 = attach_point(&legs[0]);
    vec p2 = attach_point(&legs[1]);
    vec d1 = {(hook.x - p1.x) / legs[0].length_m, (hook.y - p1.y) / legs[0].length_m};
    vec d2 = {(hook.x - p2.x) / legs[1].length_m, (hook.y - p2.y) / legs[1].length_m};
    double det = cross(d1, d2);
    double t1 = weight_n * cross(v, d2) / det;
    double t2 = weight_n * cross(d1, v) / det;
    if (t1 < -1e-12 * weight_n)
        return hang_from(out, legs, 2, 1, cg_m, weight_n, err);
    if (t2 < -1e-12 * weight_n)
        return hang_from(out, legs, 2, 0, cg_m, weight_n, err);

    ap_hang hang = {
        .inclination_deg = atan2(v.x, v.y) / DEGREE,
        .hook_x_m = hook.x,
        .hook_y_m = hook.y,
        .tension_n = {fmax(t1, 0.0), fmax(t2, 0.0)},
        .tight = {true, true},
        .cg_outside = cg_m < legs[0].at_m || cg_m > legs[1].at_m,
    };
    set_leg_angles(&hang, legs, 2);
    *out = hang;
    return AP_OK;
}

static ap_status check_lean(double lean_deg, ap_error *err) {
    if (lean_deg >= -90.0 && lean_deg <= 90.0)
        return AP_OK;
    return ap_error_set(err, AP_E_DOMAIN, "a lean of %.4g degrees is not known or outside -90 to 90", lean_deg);
}

static ap_status start_at(ap_hang_start *out, vec hook, const ap_hang_leg *legs, int count, double lean_deg,
                          ap_error *err) {
    vec world = to_world(hook, lean_deg);
    ap_hang_start start = {lean_deg, hook.x, hook.y, world.y, world.x, {0.0, 0.0}};
    for (int i = 0; i < count; i++) {
        double above = world.y - to_world(attach_point(&legs[i]), lean_deg).y;
        if (!(above > 0.0))
            return ap_error_set(err, AP_E_DOMAIN,
                                "at a lean of %.1f degrees the hook would lie %.3f m below the attach point at %.3f m",
                                lean_deg, -above, legs[i].at_m);
        start.slack_m[i] = legs[i].length_m - distance(hook, attach_point(&legs[i]));
    }
    *out = start;
    return AP_OK;
}

/* Plumb over the attach point, one leg length up, expressed in the piece's frame. */
static vec plumb_hook(const ap_hang_leg *leg, double lean_deg) {
    vec p = attach_point(leg);
    vec up = to_world((vec){0.0, leg->length_m}, -lean_deg);
    return (vec){p.x + up.x, p.y + up.y};
}

static bool holds(int state) {
    return state == AP_LEG_STATE_TIGHT || state == AP_LEG_STATE_SNUG;
}

ap_status ap_hang_before_cut(ap_hang_start *out, const ap_hang_leg legs[2], const int states[2], double lean_deg,
                             ap_error *err) {
    ap_status status = check_pair(legs, err);
    if (status == AP_OK)
        status = check_lean(lean_deg, err);
    if (status != AP_OK)
        return status;
    for (int i = 0; i < 2; i++)
        if (!holds(states[i]) && states[i] != AP_LEG_STATE_SLACK)
            return ap_error_set(err, AP_E_DOMAIN, "the state of leg %d before the cut is not recorded", i + 1);
    if (states[0] != AP_LEG_STATE_TIGHT && states[1] != AP_LEG_STATE_TIGHT)
        return ap_error_set(err, AP_E_DOMAIN, "no leg was tight before the cut: the hook's place is not known");

    vec hook;
    if (holds(states[0]) && holds(states[1])) { /* [H3] */
        int loose;
        if (!corner(&hook, &loose, legs))
            return ap_error_set(
                err, AP_E_DOMAIN,
                "legs of %.3f m and %.3f m over attach points %.3f m apart cannot both be without slack",
                legs[0].length_m, legs[1].length_m, distance(attach_point(&legs[0]), attach_point(&legs[1])));
        status = start_at(out, hook, legs, 2, lean_deg, err);
        if (status == AP_OK) /* the rounding of the triangle is not slack */
            out->slack_m[0] = out->slack_m[1] = 0.0;
        return status;
    }
    int tight = states[0] == AP_LEG_STATE_TIGHT ? 0 : 1;
    const ap_hang_leg *other = &legs[1 - tight];
    hook = plumb_hook(&legs[tight], lean_deg);
    double slack = other->length_m - distance(hook, attach_point(other));
    if (slack < 0.0)
        return ap_error_set(err, AP_E_DOMAIN,
                            "leg %d (%.3f m) is logged slack but its attach point is %.3f m from the hook: it does not "
                            "reach",
                            2 - tight, other->length_m, other->length_m - slack);
    status = start_at(out, hook, legs, 2, lean_deg, err);
    if (status == AP_OK)
        out->slack_m[tight] = 0.0;
    return status;
}

ap_status ap_hang_before_cut_one(ap_hang_start *out, const ap_hang_leg *leg, int state, double lean_deg,
                                 ap_error *err) {
    ap_status status = check_leg(leg, err);
    if (status == AP_OK)
        status = check_lean(lean_deg, err);
    if (status != AP_OK)
        return status;
    if (!holds(state))
        return ap_error_set(err, AP_E_DOMAIN, "the only leg was %s before the cut: the hook's place is not known",
                            state == AP_LEG_STATE_SLACK ? "slack" : "in no recorded state");
    status = start_at(out, plumb_hook(leg, lean_deg), leg, 1, lean_deg, err);
    if (status == AP_OK)
        out->slack_m[0] = 0.0;
    return status;
}

/* [H4] Way of a point of the piece, the hook at rest in the world. */
static vec way_of(vec point, const ap_hang_start *start, const ap_hang *hang) {
    vec before = to_world(sub(point, (vec){start->hook_x_m, start->hook_y_m}), start->lean_deg);
    vec after = to_world(sub(point, (vec){hang->hook_x_m, hang->hook_y_m}), hang->inclination_deg);
    return sub(after, before);
}

void ap_hang_separate(ap_separation *out, const ap_hang_start *start, const ap_hang *hang, const ap_hang_leg *legs,
                      int count, double cg_m, double length_m) {
    double turn = hang->inclination_deg - start->lean_deg;
    if (turn > 180.0)
        turn -= 360.0;
    if (turn <= -180.0)
        turn += 360.0;
    vec butt = way_of((vec){0.0, 0.0}, start, hang);
    vec tip = way_of((vec){length_m, 0.0}, start, hang);
    *out = (ap_separation){
        .turn_deg = turn,
        .butt_up_m = butt.y,
        .butt_out_m = butt.x,
        .butt_move_m = hypot(butt.x, butt.y),
        .tip_up_m = tip.y,
        .tip_out_m = tip.x,
        .tip_move_m = hypot(tip.x, tip.y),
        .cg_up_m = way_of((vec){cg_m, 0.0}, start, hang).y,
    };
    for (int i = 0; i < count; i++)
        out->fall_m[i] = fmax(0.0, -way_of(attach_point(&legs[i]), start, hang).y);
}

ap_status ap_hang_lengths_for(ap_hang_leg legs[2], double cg_m, double lean_deg, double height_m, ap_error *err) {
    ap_status status = check_lean(lean_deg, err);
    if (status != AP_OK)
        return status;
    if (!(height_m > 0.0) || !isfinite(height_m) || !isfinite(cg_m))
        return ap_error_set(err, AP_E_DOMAIN, "a hook %.3f m above the centre of gravity holds nothing", height_m);
    vec up = to_world((vec){0.0, height_m}, -lean_deg);
    vec hook = {cg_m + up.x, up.y};
    for (int i = 0; i < 2; i++) {
        if (!isfinite(legs[i].at_m) || !isfinite(legs[i].off_m))
            return ap_error_set(err, AP_E_DOMAIN, "leg %d has no attach point", i + 1);
    }
    for (int i = 0; i < 2; i++)
        legs[i].length_m = distance(hook, attach_point(&legs[i]));
    return AP_OK;
}

ap_status ap_hang_level_bridle(ap_level_bridle *out, double weight_n, double height_m, const double arm_m[2],
                               const double length_m[2], ap_error *err) {
    static const double LENGTH_TOLERANCE = 0.005;
    if (!(weight_n > 0.0) || !isfinite(weight_n))
        return ap_error_set(err, AP_E_DOMAIN, "a weight of %.6g N does not hang", weight_n);
    if (!(height_m > 0.0) || !isfinite(height_m))
        return ap_error_set(err, AP_E_DOMAIN, "the hook is %.3f m above the load: it must be above it", height_m);
    if (!(arm_m[0] >= 0.0) || !(arm_m[1] >= 0.0) || !(arm_m[0] + arm_m[1] > 0.0) || !isfinite(arm_m[0] + arm_m[1]))
        return ap_error_set(err, AP_E_DOMAIN, "arms of %.3f m and %.3f m do not hold the load between them", arm_m[0],
                            arm_m[1]);
    ap_level_bridle bridle = {0};
    double span = arm_m[0] + arm_m[1];
    for (int i = 0; i < 2; i++) {
        double needed = hypot(arm_m[i], height_m);
        if (!isnan(length_m[i]) && !(fabs(length_m[i] - needed) <= LENGTH_TOLERANCE * needed))
            return ap_error_set(err, AP_E_DOMAIN,
                                "leg %d is given as %.3f m, but an arm of %.3f m under a hook %.3f m up needs %.3f m: "
                                "this bridle does not hang level",
                                i + 1, length_m[i], arm_m[i], height_m, needed);
        bridle.length_m[i] = needed;
        bridle.tension_n[i] = weight_n * arm_m[1 - i] * needed / (height_m * span);
    }
    bridle.horizontal_n = weight_n * arm_m[0] * arm_m[1] / (height_m * span);
    *out = bridle;
    return AP_OK;
}
