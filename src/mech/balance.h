/* Where a piece balances, and the brush on it.
 *
 * Units   metres along the axis from the butt; shares and allowances as fractions of 1.
 * Method  frustum of a cone, or the quadratic area through three diameters; brush as a share of the whole weight acting
 *         at its own point.
 * Source  geometry of the frustum (standard integral); brush at 0.75 of the length: common practice, no source.
 * Errors  as ap_volume_stem(), and AP_E_DOMAIN for a share outside 0 <= s < 1. *out is untouched. */
#ifndef AP_MECH_BALANCE_H
#define AP_MECH_BALANCE_H

#include "mech/volume.h"

#define AP_BRUSH_AT_SHARE 0.75 /* of the length from the butt; common practice, no source; a company setting */

/* L (R^2 + 2 R r + 3 r^2) / (4 (R^2 + R r + r^2)), from the thick end. Diameters do as well as radii. */
double ap_balance_frustum(double butt_diameter_m, double tip_diameter_m, double length_m);
/* The stem's centre of gravity from the butt: with a mid diameter by the quadratic area, else the frustum. */
AP_MUST_USE ap_status ap_balance_stem(double *out_m, const ap_stem *stem, ap_error *err);
/* (1 - s) stem + s brush: `brush_share` of the total weight acts at `brush_at_m`. */
AP_MUST_USE ap_status ap_balance_with_brush(double *out_m, double stem_cg_m, double brush_share, double brush_at_m,
                                            ap_error *err);
/* Share s of the whole <-> allowance b on the stem: b = s/(1 - s), s = b/(1 + b). */
AP_MUST_USE ap_status ap_balance_allowance(double *out, double brush_share, ap_error *err);
AP_MUST_USE ap_status ap_balance_share(double *out, double brush_allowance, ap_error *err);
/* Square of the radius of gyration of the frustum about a cross axis through its centre of gravity, m2: along the axis
 * plus the disc term (R^2/4 of each slice). */
double ap_balance_gyration2(double butt_diameter_m, double tip_diameter_m, double length_m);
/* A load hung level on two points at `arm_1_m` and `arm_2_m` from its centre of gravity: the share of point 1. */
AP_MUST_USE ap_status ap_balance_split(double *out_share_1, double arm_1_m, double arm_2_m, ap_error *err);

#endif
