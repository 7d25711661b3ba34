/* How far weights scatter about plan within one kind of piece, for the detectors: the middle and a robust spread of each kind, and
 * the fitted tree and rest variances that chance is simulated with. */
#ifndef AP_NEARMISS_SPREAD_H
#define AP_NEARMISS_SPREAD_H

#include "analysis/roster.h"

typedef struct ap_spread {
    double robust_sd;   /* MAD as sd of ln(ratio) about the middle of species and cut; NaN when it cannot be fitted */
    double surprise_sd; /* the same with a floor, and an assumed one where none can be fitted: never NaN */
    double tree_sd, rest_sd; /* analysis of variance about those middles; 0 and NaN when they cannot be fitted */
    double sd;               /* of both together, else robust_sd, else the assumed one: never NaN */
    bool assumed;            /* nothing could be fitted */
    bool trees_told_apart;
    size_t picks, trees;
    size_t kinds, species; /* species and cut with a middle of their own; species among them */
    double
        *middle; /* heap: per pick of the roster up to `end`, the median ln(ratio) of its kind; NaN if not compared */
} ap_spread;

/* Uses all picks facts[0..end); those beyond suspect_z spreads from the middle of their kind have no part in the variances.
 *
 * Source  Searle, Casella & McCulloch 1992, Variance Components, section 3.6. Release also after an error. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_spread_fit(ap_spread *out, const ap_roster *roster, size_t end, double suspect_z,
                                    ap_error *err);
/* Whether a compared pick is further than suspect_z spreads from the middle of its kind, or heavier than sound wood can be: a weight
 * to be questioned first. */
bool ap_spread_suspects(const ap_spread *spread, const ap_fact *fact, size_t pick, double suspect_z);
void ap_spread_release(ap_spread *spread);

#endif
