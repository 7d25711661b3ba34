#include "report/hang_work.h"

#include "mech/hang.h"
#include "mech/impact.h"
#include "mech/sling.h"
#include "mech/stiffness.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;
static const double ASSUMED_STRETCH =
    0.01; /* of the length under the whole weight: no source, it only settles who carries */

typedef struct v3 {
    double x, y, z;
} v3;

/* Where the hook stands in the piece, and which way is up there. */
typedef struct stance {
    v3 hook;
    v3 up;
    bool known;
} stance;

static double above(v3 point, const stance *at) {
    return (point.x - at->hook.x) * at->up.x + (point.y - at->hook.y) * at->up.y + (point.z - at->hook.z) * at->up.z;
}

static v3 attach(const ap_hang_ask_leg *leg) {
    return (v3){leg->at_m, leg->off_m, leg->side_m};
}

static bool in_plane(const ap_hang_ask *ask) {
    bool flat = ask->cg_side_m == 0.0 && ask->leg_count <= 2;
    for (int i = 0; i < ask->leg_count; i++) {
        flat = flat && ask->legs[i].side_m == 0.0;
    }
    return flat;
}

static bool wants_springs(const ap_hang_ask *ask) {
    bool given = false;
    for (int i = 0; i < ask->leg_count; i++) {
        given = given || !isnan(ask->legs[i].stiffness_n_m);
    }
    return given || !in_plane(ask);
}

static bool off_piece(double at_m, double piece_m) {
    return at_m < 0.0 || at_m > piece_m * (1.0 + 1e-9); /* false for a piece of no known length but for the butt */
}

static ap_status check_places(const ap_hang_ask *ask, ap_error *err) {
    if (ask->leg_count < 1 || ask->leg_count > AP_SPACE_LEGS_MAX) {
        return ap_error_set(err, AP_E_DOMAIN, "%d legs are outside 1 to %d", ask->leg_count, AP_SPACE_LEGS_MAX);
    }
    if (!isnan(ask->piece_m) && !(ask->piece_m > 0.0)) {
        return ap_error_set(err, AP_E_DOMAIN, "a piece of %.3f m does not hang", ask->piece_m);
    }
    for (int i = 0; i < ask->leg_count; i++) {
        if (off_piece(ask->legs[i].at_m, ask->piece_m)) {
            if (isnan(ask->piece_m)) {
                return ap_error_set(err, AP_E_DOMAIN, "leg %d is attached %.3f m from the butt: not on the piece",
                                    i + 1, ask->legs[i].at_m);
            }
            return ap_error_set(err, AP_E_DOMAIN, "leg %d is attached %.3f m from the butt: not on a piece of %.3f m",
                                i + 1, ask->legs[i].at_m, ask->piece_m);
        }
    }
    if (off_piece(ask->cg_m, ask->piece_m)) {
        if (isnan(ask->piece_m)) {
            return ap_error_set(err, AP_E_DOMAIN, "the centre of gravity at %.3f m from the butt is not on the piece",
                                ask->cg_m);
        }
        return ap_error_set(err, AP_E_DOMAIN,
                            "the centre of gravity at %.3f m from the butt is not on a piece of %.3f m", ask->cg_m,
                            ask->piece_m);
    }
    return AP_OK;
}

/* legs[k] of the closed form, which wants them in order from the butt, is leg order[k] as given. */
static void order_legs(ap_hang_leg legs[2], int order[2], const ap_hang_ask *ask) {
    order[0] = ask->leg_count == 2 && ask->legs[1].at_m < ask->legs[0].at_m ? 1 : 0;
    order[1] = 1 - order[0];
    for (int k = 0; k < 2; k++) {
        const ap_hang_ask_leg *leg = &ask->legs[k < ask->leg_count ? order[k] : 0];
        legs[k] = (ap_hang_leg){leg->at_m, leg->length_m, leg->off_m};
    }
}

static ap_status rest_closed(ap_hang_worked *out, stance *after, const ap_hang_ask *ask, ap_error *err) {
    ap_hang_leg legs[2];
    int order[2];
    ap_hang hang;
    order_legs(legs, order, ask);
    ap_status status = ask->leg_count == 2 ? ap_hang_two_legs(&hang, legs, ask->cg_m, ask->weight_n, err)
                                           : ap_hang_one_leg(&hang, legs, ask->cg_m, ask->weight_n, err);
    if (status != AP_OK) {
        return status;
    }
    double tilt = hang.inclination_deg * DEGREE;
    *after = (stance){{hang.hook_x_m, hang.hook_y_m, 0.0}, {sin(tilt), cos(tilt), 0.0}, true};
    out->said.inclination_deg = hang.inclination_deg;
    out->said.roll_deg = 0.0;
    out->cg_outside = hang.cg_outside;
    double along = 0.0;
    double across = -ask->weight_n;
    for (int k = 0; k < ask->leg_count; k++) {
        ap_hang_said_leg *leg = &out->said.legs[order[k]];
        leg->tension_n = hang.tension_n[k];
        leg->slack = !hang.tight[k];
        leg->slack_m = hang.slack_m[k];
        leg->angle_deg = hang.leg_angle_deg[k];
        out->stiffness_n_m[order[k]] = NAN;
        double distance = hypot(hang.hook_x_m - legs[k].at_m, hang.hook_y_m - legs[k].off_m);
        if (leg->slack || !(distance > 0.0)) {
            continue;
        }
        double pull = leg->tension_n / distance;
        double x = pull * (hang.hook_x_m - legs[k].at_m);
        double y = pull * (hang.hook_y_m - legs[k].off_m);
        along += x * cos(tilt) - y * sin(tilt);
        across += x * sin(tilt) + y * cos(tilt);
    }
    out->said.residual_n = hypot(along, across);
    return AP_OK;
}

static ap_status choose_stiffness(ap_hang_worked *out, const ap_hang_ask *ask, int i, ap_error *err) {
    const ap_hang_ask_leg *leg = &ask->legs[i];
    ap_stiffness by_kind;
    out->stiffness_n_m[i] = leg->stiffness_n_m;
    if (!isnan(leg->stiffness_n_m)) {
        return AP_OK;
    }
    if (leg->kind && !isnan(leg->wll_kg)) {
        ap_status status = ap_stiffness_of_leg(&by_kind, leg->kind, leg->wll_kg, leg->length_m, err);
        out->stiffness_n_m[i] = status == AP_OK ? by_kind.n_m : NAN;
        return status;
    }
    if (!(leg->length_m > 0.0)) {
        return ap_error_set(err, AP_E_DOMAIN, "leg %d: a leg of %.3f m carries nothing", i + 1, leg->length_m);
    }
    out->stiffness_n_m[i] = ask->weight_n / (ASSUMED_STRETCH * leg->length_m);
    out->stiffness_assumed = true;
    return AP_OK;
}

static ap_status rest_springs(ap_hang_worked *out, stance *after, const ap_hang_ask *ask, ap_error *err) {
    ap_space_leg legs[AP_SPACE_LEGS_MAX];
    ap_space_solver *solver = NULL;
    ap_space_hang hang;
    const ap_space_piece piece = {ask->weight_n, ask->cg_m, ask->cg_side_m, ask->piece_m};
    for (int i = 0; i < ask->leg_count; i++) {
        const ap_hang_ask_leg *leg = &ask->legs[i];
        ap_status status = choose_stiffness(out, ask, i, err);
        if (status != AP_OK) {
            return status;
        }
        legs[i] = (ap_space_leg){leg->at_m, leg->off_m, leg->side_m, leg->length_m, out->stiffness_n_m[i]};
    }
    ap_status status = ap_space_solver_new(&solver, err);
    if (status == AP_OK) {
        status = ap_hang_space(&hang, solver, legs, ask->leg_count, &piece, err);
    }
    ap_space_solver_free(solver);
    if (status != AP_OK) {
        return status;
    }
    const ap_space_rest *rest = &hang.rest[0];
    double up[3];
    ap_hang_space_up(up, rest, &piece);
    *after = (stance){{rest->hook_x_m, rest->hook_y_m, rest->hook_side_m}, {up[0], up[1], up[2]}, true};
    out->said.inclination_deg = rest->inclination_deg;
    out->said.roll_deg = rest->roll_deg;
    out->said.residual_n = rest->residual_n;
    out->rolls_freely = rest->rolls_freely;
    for (int i = 0; i < ask->leg_count; i++) {
        ap_hang_said_leg *leg = &out->said.legs[i];
        leg->tension_n = rest->tension_n[i];
        leg->slack = !rest->tight[i];
        leg->slack_m = rest->slack_m[i];
        leg->angle_deg = rest->leg_angle_deg[i];
    }
    for (size_t i = 1; i < hang.count; i++) {
        out->others[out->other_count++] = hang.rest[i];
    }
    return AP_OK;
}

static void in_own_words(char remark[AP_HANG_REMARK_MAX], const char *text) {
    snprintf(remark, AP_HANG_REMARK_MAX, "%.*s", AP_HANG_REMARK_MAX - 1, text);
}

/* The hook before the cut. [W2] */
static void find_start(stance *before, ap_hang_worked *out, const stance *after, const ap_hang_ask *ask) {
    bool all_tight = true;
    bool given = false;
    for (int i = 0; i < ask->leg_count; i++) {
        all_tight = all_tight && !out->said.legs[i].slack;
        given = given || ask->legs[i].state;
    }
    double lean = ask->lean_deg * DEGREE;
    stance same = {after->hook, {sin(lean), cos(lean), 0.0}, true};
    if (!in_plane(ask)) {
        if (!given && all_tight) {
            *before = same;
        } else {
            in_own_words(out->no_movement,
                         given ? "with more than two legs, or legs off to the side, the hook's place "
                                 "before the cut is not worked out from the legs' states"
                               : "a leg ends up slack: where the hook stood before the cut is not known");
        }
        return;
    }
    ap_hang_leg legs[2];
    int order[2];
    int states[2];
    ap_hang_start start;
    ap_error why = {0};
    order_legs(legs, order, ask);
    for (int k = 0; k < 2; k++) {
        int state = k < ask->leg_count ? ask->legs[order[k]].state : 0;
        states[k] = state ? state : AP_LEG_STATE_TIGHT;
    }
    ap_status status = ask->leg_count == 2 ? ap_hang_before_cut(&start, legs, states, ask->lean_deg, &why)
                                           : ap_hang_before_cut_one(&start, legs, states[0], ask->lean_deg, &why);
    if (status == AP_OK) {
        *before = (stance){{start.hook_x_m, start.hook_y_m, 0.0}, same.up, true};
        for (int k = 0; k < ask->leg_count; k++) {
            ap_hang_said_leg *leg = &out->said.legs[order[k]];
            leg->slack_before_m = start.slack_m[k];
            double from_hook = legs[k].length_m - start.slack_m[k];
            if (ask->leg_count == 2 && start.slack_m[k] > 0.0 && !leg->slack) { /* [W3] */
                leg->drop_before_bite_m =
                    start.slack_m[k] * (legs[k].length_m + from_hook) / (2.0 * legs[1 - k].length_m);
            }
        }
        return;
    }
    if (!given && all_tight) {
        *before = same;
        in_own_words(out->before_cut, why.text);
        return;
    }
    in_own_words(out->no_movement, why.text);
}

static double way_of(v3 q, const stance *before, const stance *after) {
    double rise = above(q, after) - above(q, before);
    double level_before = (q.x - before->hook.x) * before->up.y - (q.y - before->hook.y) * before->up.x;
    double level_after = (q.x - after->hook.x) * after->up.y - (q.y - after->hook.y) * after->up.x;
    return hypot(rise, level_after - level_before);
}

static ap_status move(ap_hang_worked *out, stance *before, const stance *after, const ap_hang_ask *ask, ap_error *err) {
    if (isnan(ask->lean_deg)) {
        return AP_OK;
    }
    if (!(fabs(ask->lean_deg) <= 90.0)) {
        return ap_error_set(err, AP_E_DOMAIN, "a lean of %.4g degrees is outside -90 to 90", ask->lean_deg);
    }
    double turn = out->said.inclination_deg - ask->lean_deg;
    out->said.turn_deg = turn > 180.0 ? turn - 360.0 : turn <= -180.0 ? turn + 360.0 : turn;
    find_start(before, out, after, ask);
    if (!before->known) {
        return AP_OK;
    }
    const v3 butt = {0.0, 0.0, 0.0};
    const v3 tip = {ask->piece_m, 0.0, 0.0}; /* NaN stays NaN */
    out->said.butt_rise_m = above(butt, after) - above(butt, before);
    out->said.tip_rise_m = above(tip, after) - above(tip, before);
    if (in_plane(ask)) {
        out->said.butt_way_m = way_of(butt, before, after);
        out->said.tip_way_m = way_of(tip, before, after);
    }
    return AP_OK;
}

/* [W4] The stiffest that a leg of its kind is; NaN when nothing is known of it. */
static double stiffest(const ap_hang_ask_leg *leg) {
    ap_stiffness by_kind;
    if (!isnan(leg->stiffness_n_m)) {
        return leg->stiffness_n_m;
    }
    if (leg->kind && !isnan(leg->wll_kg) &&
        ap_stiffness_of_leg(&by_kind, leg->kind, leg->wll_kg, leg->length_m, NULL) == AP_OK) {
        return by_kind.most_n_m;
    }
    return NAN;
}

static ap_status find_peak(ap_hang_worked *out, const stance *before, const ap_hang_ask *ask, ap_error *err) {
    if (isnan(ask->lean_deg) && isnan(ask->preload_n)) {
        return AP_OK;
    }
    ap_peak_in in = {.weight_n = ask->weight_n, .preload_n = ask->preload_n, .swing_deg = NAN};
    if (before->known && !isnan(ask->piece_m)) {
        v3 p = attach(&ask->legs[0]);
        in.swing_deg = out->said.turn_deg;
        in.arm_m = ask->leg_count == 1 ? sqrt((p.x - ask->cg_m) * (p.x - ask->cg_m) + p.y * p.y +
                                              (p.z - ask->cg_side_m) * (p.z - ask->cg_side_m))
                                       : out->depth_m;
        in.gyration2_m2 = ask->piece_m * ask->piece_m / 12.0;
    }
    for (int i = 0; i < ask->leg_count; i++) {
        const ap_hang_said_leg *leg = &out->said.legs[i];
        in.legs[in.leg_count++] =
            (ap_peak_leg){leg->tension_n, leg->drop_before_bite_m, stiffest(&ask->legs[i]), leg->angle_deg};
    }
    ap_status status = ap_peak_bracket(&out->peak, &in, err);
    if (status != AP_OK) {
        return status;
    }
    out->peak_known = true;
    out->said.peak_low_n = out->peak.low_n;
    out->said.peak_high_n = out->peak.high_n;
    out->said.peak_cause = ap_peak_kind_name(out->peak.kind);
    out->said.preload_logged = !isnan(ask->preload_n);
    return AP_OK;
}

static ap_status find_use(ap_hang_worked *out, const ap_hang_ask *ask, ap_error *err) {
    for (int i = 0; i < ask->leg_count; i++) {
        const ap_hang_ask_leg *leg = &ask->legs[i];
        double choke = 1.0;
        double hitch = ap_sling_hitch_factor(leg->hitch, leg->kind);
        ap_status status = isnan(leg->choke_deg) ? AP_OK : ap_sling_choke_factor(&choke, leg->choke_deg, err);
        out->use_factor[i] = hitch * choke;
        if (status == AP_OK && !isnan(leg->wll_kg)) {
            status =
                ap_sling_use(&out->said.legs[i].use, out->said.legs[i].tension_n, leg->wll_kg, hitch, choke, 1.0, err);
        }
        if (status != AP_OK) {
            return status;
        }
    }
    return AP_OK;
}

static ap_status find_load(ap_hang_worked *out, const ap_hang_ask *ask, ap_error *err) {
    if (isnan(ask->rigging_kg)) {
        return AP_OK;
    }
    if (!(ask->rigging_kg >= 0.0)) {
        return ap_error_set(err, AP_E_DOMAIN, "block and slings of %.6g kg are below zero", ask->rigging_kg);
    }
    out->said.hook_load_kg = ask->weight_n / AP_STANDARD_GRAVITY + ask->rigging_kg;
    if (isnan(ask->capacity_kg)) {
        return AP_OK;
    }
    if (!(ask->capacity_kg > 0.0)) {
        return ap_error_set(err, AP_E_DOMAIN, "a rated capacity of %.6g kg is not one", ask->capacity_kg);
    }
    out->said.capacity_share = out->said.hook_load_kg / ask->capacity_kg;
    if (out->peak_known) {
        out->said.peak_capacity_share = (out->peak.high_n / AP_STANDARD_GRAVITY + ask->rigging_kg) / ask->capacity_kg;
    }
    return AP_OK;
}

ap_status ap_hang_work(ap_hang_worked *out, const ap_hang_ask *ask, ap_error *err) {
    ap_hang_worked worked = {.said = AP_HANG_SAID_NOTHING};
    stance after = {.known = false};
    stance before = {.known = false};
    ap_status status = check_places(ask, err);
    if (status != AP_OK) {
        return status;
    }
    worked.said.hang_known = true;
    worked.said.leg_count = ask->leg_count;
    worked.said.cg_m = ask->cg_m;
    worked.said.weight_n = ask->weight_n;
    for (int i = 0; i < ask->leg_count; i++) {
        worked.said.legs[i] =
            (ap_hang_said_leg){.number = i + 1, .use = NAN, .slack_before_m = NAN, .drop_before_bite_m = NAN};
    }
    worked.by_springs = wants_springs(ask);
    status = worked.by_springs ? rest_springs(&worked, &after, ask, err) : rest_closed(&worked, &after, ask, err);
    if (status != AP_OK) {
        return status;
    }
    worked.said.hook_x_m = after.hook.x;
    worked.said.hook_y_m = after.hook.y;
    worked.depth_m = above(after.hook, &after) - above((v3){ask->cg_m, 0.0, ask->cg_side_m}, &after);
    status = move(&worked, &before, &after, ask, err);
    if (status == AP_OK) {
        status = find_peak(&worked, &before, ask, err);
    }
    if (status == AP_OK) {
        status = find_use(&worked, ask, err);
    }
    if (status == AP_OK) {
        status = find_load(&worked, ask, err);
    }
    if (status == AP_OK) {
        *out = worked;
    }
    return status;
}
