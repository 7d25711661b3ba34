/* How stiff a leg is, from its kind, working load limit and length.
 *
 * Units   newtons per metre, metres, kg for the limit; strain as a share of the length.
 * Method  a leg of its kind stretches by about the same share of its length at its working load limit: stiffness =
 *         limit x g / (strain x length). A hitch that settles and the give of boom and line come on top and are left
 *         out: the leg is taken stiffer than it is, and a peak worked out with it is the higher for it.
 * Source  ap_stiffness_kinds[]: each row names its own; most are from memory or common practice, and say so. A
 *         sling's own figure (its maker's, or a pull test) goes before any of them.
 * Errors  AP_E_DOMAIN with the number at fault; *out is untouched. */
#ifndef AP_MECH_STIFFNESS_H
#define AP_MECH_STIFFNESS_H

#include "base/pick.h"

typedef struct ap_stiffness_kind {
    int kind;            /* AP_LEG_KIND_* */
    double strain;       /* at the working load limit */
    double strain_least; /* the stiffest of its kind: for the upper end of a peak */
    double strain_most;
    const char *source;
} ap_stiffness_kind;

/* The row of a kind; NULL for a kind that is not known. */
const ap_stiffness_kind *ap_stiffness_find(int kind);

typedef struct ap_stiffness {
    double n_m;
    double least_n_m; /* by strain_most */
    double most_n_m;  /* by strain_least */
    const char *source;
} ap_stiffness;

AP_MUST_USE ap_status ap_stiffness_of_leg(ap_stiffness *out, int kind, double wll_kg, double length_m, ap_error *err);

#endif
