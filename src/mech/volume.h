/* Volume of a stem piece from its diameters and length.
 *
 * Units   metres in, cubic metres out. NaN means "not recorded".
 * Shape   a solid of revolution whose ends are cut square; diameters over bark give volume over bark.
 * Method  Newton when a mid diameter is logged, else the two-end conic (frustum of a cone).
 * Source  D. Briggs, Forest Products Measurements and Conversion Factors, 1994, Table 2-1 (K = pi/4); University of
 *         Missouri Extension, worked log example. The neiloid frustum is the standard solid of revolution.
 * Accuracy exact for the solid named; a flared butt without a mid diameter is overstated (marked, never corrected here). */
#ifndef AP_MECH_VOLUME_H
#define AP_MECH_VOLUME_H

#include "base/str.h"

typedef enum ap_volume_rule {
    AP_VOLUME_NONE = 0,
    AP_VOLUME_CONIC,
    AP_VOLUME_NEWTON,
    AP_VOLUME_SMALIAN,
    AP_VOLUME_HUBER,
    AP_VOLUME_NEILOID
} ap_volume_rule;

typedef struct ap_stem {
    double length_m;
    double butt_diameter_m;
    double mid_diameter_m; /* NaN when not logged */
    double tip_diameter_m;
} ap_stem;

typedef struct ap_volume {
    double volume_m3;
    ap_volume_rule rule;
    bool butt_flare_unmeasured; /* a butt piece without a mid diameter: the two-end formula overstates it */
    double reading_error;       /* relative bound, default steps (see ap_volume_reading_error) */
} ap_volume;

/* Steps to which a crew reads when the company says nothing else: common practice, no source. */
#define AP_DIAMETER_STEP_M 0.0254 /* an inch */
#define AP_LENGTH_STEP_M 0.1524   /* half a foot */

/* The plain formulas: no checks, finite positive numbers expected. */
double ap_volume_conic(double butt_diameter_m, double tip_diameter_m, double length_m);
double ap_volume_smalian(double butt_diameter_m, double tip_diameter_m, double length_m);
double ap_volume_huber(double mid_diameter_m, double length_m);
double ap_volume_newton(double butt_diameter_m, double mid_diameter_m, double tip_diameter_m, double length_m);
double ap_volume_neiloid(double butt_diameter_m, double tip_diameter_m, double length_m);
const char *ap_volume_rule_name(ap_volume_rule rule); /* "conic" ... */
ap_volume_rule ap_volume_rule_find(ap_str name);      /* case ignored; AP_VOLUME_NONE when unknown */

/* What keeps three diameters and a length from giving a volume. */
typedef enum ap_volume_fault {
    AP_VOLUME_FINE = 0,
    AP_VOLUME_NO_LENGTH,
    AP_VOLUME_NO_BUTT,
    AP_VOLUME_NO_TIP,
    AP_VOLUME_NO_MID, /* only where the rule needs one */
    AP_VOLUME_BAD_LENGTH,
    AP_VOLUME_BAD_BUTT,
    AP_VOLUME_BAD_MID,
    AP_VOLUME_BAD_TIP,
    AP_VOLUME_TIP_THICKER,
    AP_VOLUME_MID_THICKER, /* than the butt */
    AP_VOLUME_MID_THINNER  /* than the tip */
} ap_volume_fault;

/* The first fault for a rule: Huber needs length and middle, the two-end rules length and ends, Newton all. NONE stands
 * for the rule of choice. Whatever is recorded must make sense, needed or not. */
ap_volume_fault ap_volume_check(const ap_stem *stem, ap_volume_rule rule);
const char *ap_volume_fault_text(ap_volume_fault fault); /* without numbers, "" for none */

/* The piece's volume by the rule of choice. `butt_piece`: the cut that leaves the stump.
 *
 * Errors  AP_E_DOMAIN, *out untouched: no length or no end diameter; a length or butt that is not above zero; a tip
 *         thicker than the butt; a mid diameter thinner than the tip or thicker than the butt. The message gives the
 *         clashing numbers. A tip of zero (a whole top measured to its point) is legal. */
AP_MUST_USE ap_status ap_volume_stem(ap_volume *out, const ap_stem *stem, bool butt_piece, ap_error *err);

/* The same by a rule that is asked for (NONE: the rule of choice). Errors as above, by ap_volume_check(). */
AP_MUST_USE ap_status ap_volume_by(ap_volume *out, const ap_stem *stem, ap_volume_rule rule, bool butt_piece,
                                   ap_error *err);

/* Relative reading error of the volume by its rule of choice when each diameter is read to `diameter_step_m` and the
 * length to `length_step_m` (half a step each, all in the same direction: a bound, not a standard deviation). */
double ap_volume_reading_error(const ap_stem *stem, double diameter_step_m, double length_step_m);
/* Relative standard deviation of the same, the readings off independently and evenly within half a step (variance
 * step^2/12 each), to first order in the steps. Source: GUM (JCGM 100:2008) 4.3.7 and 5.1.2. */
double ap_volume_reading_sd(const ap_stem *stem, double diameter_step_m, double length_step_m);

#endif
