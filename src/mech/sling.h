/* Sling factors and the use of a leg.
 *
 * Units   degrees above the horizontal for a leg's angle unless said; newtons for tensions, kg for working load
 *         limits.
 * Errors  AP_E_DOMAIN with the number at fault; *out is untouched.
 *
 * The angle factor turns a share of the weight into a tension. A tension that was solved from the geometry already
 * holds the angle: never apply the factor to it. */
#ifndef AP_MECH_SLING_H
#define AP_MECH_SLING_H

#include "base/pick.h"

#define AP_SLING_FLAT_DEG 30.0 /* a leg flatter than this is flagged */

/* 1 / sin(angle), 0 < angle <= 90. Source: sling angle tables printed by several sling makers. */
AP_MUST_USE ap_status ap_sling_angle_factor(double *out, double angle_deg, ap_error *err);
/* The same from a leg's length and the height of the hook over the attach points: L / H. */
AP_MUST_USE ap_status ap_sling_length_factor(double *out, double length_m, double height_m, ap_error *err);
bool ap_sling_is_flat(double angle_deg);

/* Factor on a choker's rated capacity by the angle of choke: above 120 degrees 1; 90 to 120 0.87; 60 to below 90
 * 0.74; 30 to below 60 0.62; below 30 0.49. Source: sling instruction sheet IS-17880, page 4. */
AP_MUST_USE ap_status ap_sling_choke_factor(double *out, double choke_angle_deg, ap_error *err);

/* Factor of a hitch (AP_HITCH_*, 0 = not logged) on a sling's straight-pull limit, by the kind of sling
 * (AP_LEG_KIND_*, 0 = not known). Choker 0.75, a round sling 0.80; basket with both parts upright 2; none or not
 * logged 1. Source: rigging handouts (choker, wire rope); EN 1492 as read at second hand (0.80, laced textile); web
 * sling user manual (basket 2). Cow 0.75 and timber 0.65: common practice, no source; published single figures
 * disagree by 15 points, so a company enters its own. */
double ap_sling_hitch_factor(int hitch, int kind);
const char *ap_sling_hitch_source(int hitch);

/* Tension of each of `legs` equal legs at `angle_deg`: W / (n sin a). Legs that all carry (1 to 4). */
AP_MUST_USE ap_status ap_sling_equal_tension(double *out_n, double weight_n, int legs, double angle_deg, ap_error *err);
/* How many of the legs of a rigid load to count as carrying: of four, two (NAVEDTRA 14081, item 18); three equal legs
 * are statically determinate. */
int ap_sling_legs_carrying(int legs);
/* Factor on the single-leg limit for 1 to 4 legs, angle from the VERTICAL up to 45 or 60 degrees: 1; 1.4/1; 2.1/1.5.
 * Source: EN 13414-1:2003, Table 4. */
AP_MUST_USE ap_status ap_sling_en13414_factor(double *out, int legs, double from_vertical_deg, ap_error *err);

/* What a tension uses of a leg: T / (WLL g × hitch × choke × company), factors above zero, each 1 when it does not
 * apply. Above 1 the leg was past its factored limit. */
AP_MUST_USE ap_status ap_sling_use(double *out_share, double tension_n, double wll_kg, double hitch_factor,
                                   double choke_factor, double company_factor, ap_error *err);

#endif
