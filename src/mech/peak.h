/* The peak on the slings when a piece parts, as a bracket: let down gently at one end, the worst of three causes at
 * the other.
 *
 * Units   newtons, metres, degrees; forces on the slings, block and slings not counted. NaN means "not known".
 * Method  release  the line pulls P when the last fibre parts: max(P, W) to max(P, 2W - P). P not known: W to 2W (P =
 *         0). swing    the piece turns about the hook, or about the only attach point, to where it hangs: its weight
 *         times 1 + 2 d2 (1 - cos a)/(k2 + d2). drop     a leg that ends with the tension T and whose attach point
 *         has fallen h when it bites peaks at T (1 + sqrt(1 + 2h k/T)); the hook then holds what the leg carries
 *         beyond T, times the sine of its angle, on top of W. Taken for each such leg; several biting together are
 *         added. The low end is the release's: nothing less can be had. The causes are not added: each is already the
 *         worst of its kind, without damping and with a crane that does not give.
 * Source  statics; sudden load factor of 2; Gere & Goodno, Mechanics of Materials, problem 9.10-1; energy balance.
 *         Check values F and G of the project's reference table.
 * Errors  AP_E_DOMAIN with the number at fault; *out is untouched. */
#ifndef AP_MECH_PEAK_H
#define AP_MECH_PEAK_H

#include "base/status.h"

enum { AP_PEAK_LEGS_MAX = 4 };

typedef enum ap_peak_kind { AP_PEAK_BY_RELEASE = 0, AP_PEAK_BY_SWING, AP_PEAK_BY_DROP, AP_PEAK_KINDS } ap_peak_kind;
const char *ap_peak_kind_name(ap_peak_kind kind); /* "release", "swing", "drop" */

typedef struct ap_peak_leg {
    double tension_n;     /* at rest */
    double drop_m;        /* fall of its attach point before it bites; 0 or NaN: it does not drop */
    double stiffness_n_m; /* NaN: not known, its drop has no number */
    double angle_deg;     /* above the horizontal, at rest */
} ap_peak_leg;

typedef struct ap_peak_in {
    double weight_n;
    double preload_n; /* pull on the piece before it parts, net of block and slings; NaN: not known */
    double swing_deg; /* turn to where it hangs, either way; NaN: not known */
    double arm_m;     /* centre of gravity to what it turns about */
    double gyration2_m2;
    ap_peak_leg legs[AP_PEAK_LEGS_MAX];
    int leg_count;
} ap_peak_in;

typedef struct ap_peak {
    double low_n, high_n;
    ap_peak_kind kind;                   /* of the high end */
    double by_n[AP_PEAK_KINDS];          /* each cause's own upper figure; NaN when not known or not there */
    double leg_peak_n[AP_PEAK_LEGS_MAX]; /* of a leg that drops; NaN */
} ap_peak;

AP_MUST_USE ap_status ap_peak_bracket(ap_peak *out, const ap_peak_in *in, ap_error *err);

#endif
