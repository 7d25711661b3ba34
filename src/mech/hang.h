/* How a piece hangs on one or two legs, and how far it turns and moves when it parts.
 *
 * Units   metres, newtons, degrees. In the piece's own frame x runs along the axis from the butt and y across it, toward
 *         the hook; in the world x runs level toward the tip's side and y up. Inclination and lean: the axis above the
 *         horizontal, positive when the tip is higher. turn: positive when the tip rises.
 * Shape   plane of the lean; legs of fixed length; the piece rigid and free to turn; centre of gravity on the axis.
 * Method  [H1] the hook is the corner of the triangle on the two attach points, on the side away from the piece; it
 *         hangs with the hook above the centre of gravity: inclination = atan2(xh - c, yh) with yh measured from the axis.
 *         [H2] tensions by resolving the weight along the legs. A leg that would have to push is slack: the piece hangs
 *         from the other. A leg longer than the other plus the spacing never bites: it is slack too.
 *         [H3] before the cut: both tight, or tight and snug: the hook is fixed by the legs. One tight: the line hangs
 *         plumb over that attach point, one leg length above; the other's slack is its length less its distance.
 *         [H4] movement: butt and tip keep their places in the piece; the hook does not move in the world.
 * Source  statics, closed form; check values C01 to C06 of the project's reference table (derived, recomputed numerically).
 * Accuracy 1e-12 relative until the legs are within 1e-6 of a straight line, which is refused.
 * Errors  AP_E_DOMAIN; the message gives the clashing numbers; *out is untouched.
 *
 * Why not springs: two fixed legs are determinate. Three and four legs, legs off to the side and legs that stretch are in
 * hang_space.h. */
#ifndef AP_MECH_HANG_H
#define AP_MECH_HANG_H

#include "base/pick.h"

typedef struct ap_hang_leg {
    double at_m;     /* attach point along the axis, from the butt */
    double length_m; /* attach point to hook */
    double off_m;    /* attach point off the axis toward the hook: the stem's radius there, 0 on the axis */
} ap_hang_leg;

typedef struct ap_hang {
    double inclination_deg;
    double hook_x_m, hook_y_m; /* in the piece's frame */
    double tension_n[2];       /* 0 for a slack leg */
    double slack_m[2];         /* length less distance; 0 for a tight leg */
    double leg_angle_deg[2];   /* above the horizontal, of the straight line from attach point to hook */
    bool tight[2];
    bool cg_outside; /* the centre of gravity lies outside the attach points, seen along the axis */
} ap_hang;

/* The hook before the cut, with the piece still held by its stem at `lean_deg`. */
typedef struct ap_hang_start {
    double lean_deg;
    double hook_x_m, hook_y_m; /* in the piece's frame */
    double hook_above_butt_m;  /* in the world */
    double hook_beyond_butt_m; /* level, toward the tip's side */
    double slack_m[2];
} ap_hang_start;

/* What the piece does between the last fibre and hanging at rest. */
typedef struct ap_separation {
    double turn_deg;                           /* positive: the tip rises */
    double butt_up_m, butt_out_m, butt_move_m; /* up; level toward the tip's side; straight-line way */
    double tip_up_m, tip_out_m, tip_move_m;
    double cg_up_m;   /* negative: the whole piece drops */
    double fall_m[2]; /* how far each attach point comes down; 0 when it does not */
} ap_separation;

/* Two legs, legs[0] nearer the butt.
 * Refuses  equal or swapped attach points, legs too short to meet, a leg or weight not above zero, a hook at or below
 *          the axis. */
AP_MUST_USE ap_status ap_hang_two_legs(ap_hang *out, const ap_hang_leg legs[2], double cg_m, double weight_n,
                                       ap_error *err);
/* One leg. The results stand at index 0; index 1 is zero. Refuses an attach point at the centre of gravity itself
 * (it hangs at any inclination). */
AP_MUST_USE ap_status ap_hang_one_leg(ap_hang *out, const ap_hang_leg *leg, double cg_m, double weight_n,
                                      ap_error *err);

/* The hook before the cut; `states` are AP_LEG_STATE_* (0 = not logged). Two legs.
 * Refuses  no leg tight, or a state not logged; a slack leg that does not reach (negative slack); legs that cannot meet;
 *          a hook at or below the upper attach point. */
AP_MUST_USE ap_status ap_hang_before_cut(ap_hang_start *out, const ap_hang_leg legs[2], const int states[2],
                                         double lean_deg, ap_error *err);
/* One leg: the line hangs plumb over the attach point, whatever was logged but slack. */
AP_MUST_USE ap_status ap_hang_before_cut_one(ap_hang_start *out, const ap_hang_leg *leg, int state, double lean_deg,
                                             ap_error *err);

/* From the start to the hang, for a piece of this length. `count` legs (1 or 2). */
void ap_hang_separate(ap_separation *out, const ap_hang_start *start, const ap_hang *hang, const ap_hang_leg *legs,
                      int count, double cg_m, double length_m);

/* The lengths that two legs need so that the piece keeps `lean_deg` with the hook `height_m` above the centre of
 * gravity. Writes length_m of both legs. */
AP_MUST_USE ap_status ap_hang_lengths_for(ap_hang_leg legs[2], double cg_m, double lean_deg, double height_m,
                                          ap_error *err);

/* A bridle that carries its load level: hook `height_m` above both attach points, which lie `arm_m[i]` to either side.
 * `length_m[i]` NaN: not logged, taken from the geometry. A length more than 0.5 % off sqrt(D^2 + H^2) is refused: a
 * published example prints such a set (its tensions follow from the formula, its lengths do not fit). */
typedef struct ap_level_bridle {
    double tension_n[2];
    double horizontal_n; /* the same in both legs */
    double length_m[2];
} ap_level_bridle;
AP_MUST_USE ap_status ap_hang_level_bridle(ap_level_bridle *out, double weight_n, double height_m,
                                           const double arm_m[2], const double length_m[2], ap_error *err);

#endif
