/* Peak load when a piece parts, drops onto its slings, or swings.
 *
 * Units   newtons, metres, newtons per metre, degrees. A factor multiplies the static load.
 * Errors  AP_E_DOMAIN with the number at fault; *out is untouched. */
#ifndef AP_MECH_IMPACT_H
#define AP_MECH_IMPACT_H

#include "base/status.h"

typedef struct ap_bracket {
    double low;
    double high;
} ap_bracket;

/* The line pulls `preload_n` (net of block and slings) on a piece of `weight_n` at the instant it parts: the peak lies
 * between max(P, W) (it is let down) and max(P, 2W - P) (suddenly applied remainder). Source: statics and the sudden
 * load factor of 2; computed for this project. */
AP_MUST_USE ap_status ap_impact_preload(ap_bracket *out_n, double preload_n, double weight_n, ap_error *err);

/* 1 + sqrt(1 + 2 h/d): a load dropped by h onto a spring that it stretches by d at rest. Gere & Goodno, Mechanics of
 * Materials, problem 9.10-1; energy balance, no damping, mass of the sling left out: an upper figure. */
AP_MUST_USE ap_status ap_impact_drop_factor(double *out, double drop_m, double static_stretch_m, ap_error *err);
/* The same in forces: static tension, fall of the attach point, stiffness of the leg. */
AP_MUST_USE ap_status ap_impact_drop(double *out_n, double static_tension_n, double drop_m, double stiffness_n_m,
                                     ap_error *err);
/* Stiffness of a leg that stretches by `stretch_share` of its length at `load_n`. */
AP_MUST_USE ap_status ap_impact_stiffness(double *out_n_m, double load_n, double stretch_share, double length_m,
                                          ap_error *err);

/* Tension over weight at the bottom of a swing from rest, `angle_deg` away from the vertical (0..180).
 * A point mass on a line: 3 - 2 cos a. A body with gyration^2 k2 about its centre, hung at `arm_m` from it:
 * 1 + 2 d^2 (1 - cos a)/(k2 + d^2); a uniform slender rod has k2 = L^2/12. Energy balance, no damping. */
AP_MUST_USE ap_status ap_impact_swing_point(double *out, double angle_deg, ap_error *err);
AP_MUST_USE ap_status ap_impact_swing_body(double *out, double gyration2_m2, double arm_m, double angle_deg,
                                           ap_error *err);
AP_MUST_USE ap_status ap_impact_swing_rod(double *out, double length_m, double arm_m, double angle_deg, ap_error *err);
/* The straight-line way of a point `distance_m` from the centre of a turn: 2 r sin(a/2). */
double ap_impact_chord(double distance_m, double turn_deg);

#endif
