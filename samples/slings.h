/* How a crew slings a piece, and what the piece does when it parts, by mech/hang. Part of make_samples.c. */
#ifndef AP_SAMPLES_SLINGS_H
#define AP_SAMPLES_SLINGS_H

#include "company.h"

#include "mech/hang.h"

static const double GRAVITY = AP_STANDARD_GRAVITY;

typedef struct truth {
    const species *wood;
    double density_kg_m3; /* of this tree */
    double weight_kg;
    double cg_m;
    bool butt_piece;
    bool still_planned; /* a plant decides what moves */
} truth;

static double stem_radius(const ap_pick *p, double at_m) {
    return (p->butt_diameter_m + (p->tip_diameter_m - p->butt_diameter_m) * at_m / p->length_m) / 2.0;
}

static void set_leg(ap_pick *p, int i, const job *j, double at_m, double length_m, int kind, int hitch) {
    static const double limit_lb[] = {0, 7000, 6000, 9000, 12000, 8400, 4000};
    ap_leg *leg = &p->legs[i];
    leg->at_m = fmin(length_written(j, at_m), length_written(j, p->length_m - 0.2));
    leg->length_m = length_written(j, length_m);
    leg->kind = kind;
    leg->hitch = hitch;
    leg->state = AP_LEG_STATE_TIGHT;
    leg->locks = kind == AP_LEG_KIND_ADJUSTABLE ? between(1, 3) : AP_COUNT_NONE;
    leg->wll_kg = j->metric ? rounded(ap_unit_to_si(AP_UNIT_LB, limit_lb[kind]), AP_UNIT_KG, 100)
                            : ap_unit_to_si(AP_UNIT_LB, limit_lb[kind]);
}

static void hang_legs(ap_hang_leg out[2], const ap_pick *p) {
    for (int i = 0; i < 2; i++)
        out[i] = (ap_hang_leg){p->legs[i].at_m, p->legs[i].length_m, stem_radius(p, p->legs[i].at_m)};
}

static double eye_length(const job *j, double needed_m) {
    static const double feet[] = {6, 8, 10, 12, 16, 20};
    static const double metres[] = {2, 2.5, 3, 4, 5, 6};
    double best = 0.0;
    for (int i = 0; i < 6; i++) {
        double have = j->metric ? metres[i] : ap_unit_to_si(AP_UNIT_FT, feet[i]);
        if (fabs(have - needed_m) < fabs(best - needed_m))
            best = have;
    }
    return best;
}

/* Which leg of a fixed pair comes tight: the reading that leaves the least slack; with under a hand's breadth, both. */
static void set_states(ap_pick *p) {
    ap_hang_leg legs[2];
    hang_legs(legs, p);
    double least = INFINITY;
    int tight = -1;
    for (int i = 0; i < 2; i++) {
        int states[2] = {AP_LEG_STATE_SLACK, AP_LEG_STATE_SLACK};
        ap_hang_start start;
        states[i] = AP_LEG_STATE_TIGHT;
        if (ap_hang_before_cut(&start, legs, states, p->lean_deg, NULL) == AP_OK && start.slack_m[1 - i] < least) {
            least = start.slack_m[1 - i];
            tight = i;
        }
    }
    if (tight >= 0 && least > 0.12)
        p->legs[1 - tight].state = AP_LEG_STATE_SLACK;
    else if (chance(0.2))
        p->legs[between(0, 1)].state = AP_LEG_STATE_SNUG;
}

static bool part(ap_separation *out, double *swing_m, const ap_pick *p, const truth *t) {
    ap_hang_leg legs[2];
    ap_hang_start start;
    ap_hang hang;
    if (p->legs[1].kind) {
        int states[2] = {p->legs[0].state, p->legs[1].state};
        hang_legs(legs, p);
        if (ap_hang_before_cut(&start, legs, states, p->lean_deg, NULL) != AP_OK ||
            ap_hang_two_legs(&hang, legs, t->cg_m, t->weight_kg * GRAVITY, NULL) != AP_OK)
            return false;
        ap_hang_separate(out, &start, &hang, legs, 2, t->cg_m, p->length_m);
    } else {
        legs[0] = (ap_hang_leg){p->legs[0].at_m, p->legs[0].length_m, stem_radius(p, p->legs[0].at_m)};
        if (ap_hang_before_cut_one(&start, legs, AP_LEG_STATE_TIGHT, p->lean_deg, NULL) != AP_OK ||
            ap_hang_one_leg(&hang, legs, t->cg_m, t->weight_kg * GRAVITY, NULL) != AP_OK)
            return false;
        ap_hang_separate(out, &start, &hang, legs, 1, t->cg_m, p->length_m);
    }
    *swing_m = fabs(start.hook_beyond_butt_m - t->cg_m * cos(p->lean_deg * 3.14159265358979323846 / 180.0));
    return true;
}

static void rig_two(ap_pick *p, const job *j, const truth *t) {
    double eye_share = j->crew == 0 && j->month >= 9 ? 0.06 : 0.34; /* PLANT crew A laid the eye slings aside */
    bool eye = chance(eye_share);
    double guess = t->cg_m + 0.03 * p->length_m * normal();
    double spacing = uniform(0.36, 0.48) * p->length_m;
    double low = fmax(guess - spacing * uniform(0.42, 0.58), 0.05 * p->length_m);
    double high = fmin(low + spacing, 0.93 * p->length_m);
    int kind = eye ? AP_LEG_KIND_EYE : chance(0.75) ? AP_LEG_KIND_ADJUSTABLE : AP_LEG_KIND_ROUND;
    ap_hang_leg legs[2] = {{low, NAN, stem_radius(p, low)}, {high, NAN, stem_radius(p, high)}};
    if (ap_hang_lengths_for(legs, guess, p->lean_deg, spacing * uniform(1.0, 1.4), NULL) != AP_OK)
        return;
    for (int i = 0; i < 2; i++) {
        double length = eye ? eye_length(j, legs[i].length_m) : legs[i].length_m;
        set_leg(p, i, j, legs[i].at_m, length, kind,
                kind == AP_LEG_KIND_ADJUSTABLE ? AP_HITCH_TIMBER : AP_HITCH_CHOKER);
    }
    p->re_rigs = 0;
    if (!eye) {
        if (chance(0.10)) { /* the upper leg tied too long */
            p->legs[1].length_m = length_written(j, p->legs[1].length_m + uniform(0.6, 1.6));
            set_states(p);
        } else if (chance(0.3)) {
            p->legs[between(0, 1)].state = AP_LEG_STATE_SNUG;
        }
        p->re_rigs = chance(0.03) ? 1 : 0;
        return;
    }
    set_states(p);
    ap_separation way;
    double swing;
    bool poor = !part(&way, &swing, p, t) || fabs(way.turn_deg) > 7.0 || swing > 0.6;
    if (poor && chance(0.7)) { /* PLANT eye slings on leaning pieces bring the hook back: the leg is wrapped shorter */
        p->re_rigs = chance(0.85) ? 1 : 2;
        for (int i = 0; i < 2; i++) {
            p->legs[i].length_m = length_written(j, legs[i].length_m);
            p->legs[i].state = AP_LEG_STATE_TIGHT;
        }
    }
}

static void rig(ap_pick *p, const job *j, const truth *t) {
    if (p->piece == AP_PIECE_LIMB || p->piece == AP_PIECE_LEADER) {
        rig_two(p, j, t);
        if (j->crew == 0 && chance(0.03) && p->legs[1].kind) {
            p->legs[2].kind = AP_LEG_KIND_BALANCER;
            p->legs[2].at_m = length_written(j, 0.5 * (p->legs[0].at_m + p->legs[1].at_m));
            p->legs[2].state = AP_LEG_STATE_SNUG;
        }
    } else {
        bool top = p->piece == AP_PIECE_TOP;
        double at = top ? t->cg_m + uniform(0.08, 0.16) * p->length_m : uniform(0.72, 0.85) * p->length_m;
        set_leg(p, 0, j, at, uniform(2.0, 4.0), top ? AP_LEG_KIND_ROUND : AP_LEG_KIND_WIRE, AP_HITCH_CHOKER);
        p->re_rigs = chance(0.02) ? 1 : 0;
    }
    if (j->crew == 0)
        p->tag_line = chance(0.35) ? AP_YESNO_YES : AP_YESNO_NO;
}

static void move(ap_pick *p, const job *j, const truth *t) {
    ap_separation way = {0};
    double swing = 0.0;
    p->movement = AP_MOVE_BIT(AP_MOVEMENT_STILL);
    double far = 0.0;
    if (part(&way, &swing, p, t)) {
        double turn = way.turn_deg + 1.5 * normal();
        far = fmax(way.butt_move_m, way.tip_move_m) * (1.0 + 0.1 * normal());
        if (turn < -9.0 && way.tip_up_m < -0.3)
            p->movement =
                AP_MOVE_BIT(AP_MOVEMENT_TIP_DIVE) | (way.butt_up_m > 0.15 ? AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) : 0);
        else if (turn > 9.0 && way.tip_up_m > 0.3)
            p->movement =
                AP_MOVE_BIT(AP_MOVEMENT_TIP_UP) | (way.butt_up_m < -0.15 ? AP_MOVE_BIT(AP_MOVEMENT_BUTT_DOWN) : 0);
        else if (fabs(turn) > 6.0)
            p->movement = AP_MOVE_BIT(AP_MOVEMENT_SETTLED);
        if (swing > 0.9)
            p->movement = (p->movement & ~3) | AP_MOVE_BIT(AP_MOVEMENT_SWING);
        /* A shelf under the butt holds it when the line is a little slack (common practice, no source). */
        if (p->cut == AP_CUT_STEP && way.butt_up_m < 0.0 && far < 0.8) {
            p->movement = AP_MOVE_BIT(AP_MOVEMENT_SETTLED);
            far *= 0.4;
        }
    }
    bool moved = p->movement & ~(AP_MOVE_BIT(AP_MOVEMENT_STILL) | AP_MOVE_BIT(AP_MOVEMENT_SETTLED));
    if (moved && chance(0.85)) {
        p->movement_distance_m = length_written(j, fmax(far, 0.2));
        p->toward = chance(0.04) ? AP_TOWARD_STRUCTURE : AP_TOWARD_CLEAR;
    }
    double u = uniform(0.0, 1.0);
    p->climber_at = u < 0.62 ? AP_CLIMBER_AT_STEM : u < 0.8 ? AP_CLIMBER_AT_BUCKET : AP_CLIMBER_AT_HOOK;
    p->climber_side = chance(0.7) ? AP_CLIMBER_SIDE_BUTT : AP_CLIMBER_SIDE_OFF;
    if (chance(0.7))
        p->climber_distance_m = length_written(j, fmax(way.butt_move_m + 0.9, uniform(1.5, 4.5)));
    double unsteady = p->legs[0].state == AP_LEG_STATE_SLACK || p->legs[1].state == AP_LEG_STATE_SLACK ? 0.18 : 0.025;
    u = uniform(0.0, 1.0);
    p->kerf = u < unsteady ? AP_KERF_CLOSING : u < unsteady + 0.02 ? AP_KERF_OPENING : AP_KERF_STEADY;
    p->fibre_left = chance(0.03) ? AP_YESNO_YES : AP_YESNO_NO;
}

#endif
