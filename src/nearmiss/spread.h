/* How far weights scatter about plan within one kind of piece, for the detectors: the middle and a robust spread of each kind, and
 * the fitted tree and rest variances that chance is simulated with. */
#ifndef AP_NEARMISS_SPREAD_H
#define AP_NEARMISS_SPREAD_H

#include "analysis/roster.h"

/* Fewer picks are no kind of their own: the species, then all picks, then the plan stand in. */
enum { AP_SPREAD_KIND_LEAST = 5 };

/* The picks that a middle was taken from. */
typedef struct ap_spread_kind {
    double picks;
    double squares; /* of the picks of each tree among them */
} ap_spread_kind;

typedef struct ap_spread {
    double robust_sd;   /* MAD as sd of ln(ratio) about the middle of species and cut; NaN when it cannot be fitted */
    double surprise_sd; /* the same with a floor, and an assumed one where none can be fitted: never NaN */
    double tree_sd,
        rest_sd; /* analysis of variance about the means of the kinds; 0 and NaN when they cannot be fitted */
    double sd;   /* of both together, else robust_sd, else the assumed one: never NaN */
    /* The sums of squares that the variances come from, and their degrees of freedom: what simulated picks have to agree with
     * (chance_draw.h). Of all picks together in `within`, with no degree between, when trees are not told apart. */
    double within, within_df;
    double between, between_df;
    double df;    /* of sd, Satterthwaite's; 0 when it is no estimate */
    bool assumed; /* nothing could be fitted */
    bool trees_told_apart;
    size_t picks, trees;
    size_t kinds, species; /* species and cut with a middle of their own; species among them */
    /* Heap, per pick of the roster up to `end`: the median ln(ratio) of its kind, NaN if not compared; and which of `kinds_known` gave it. */
    double *middle;
    uint32_t *kind;
    ap_spread_kind *kinds_known; /* heap; the first is the plan itself, from no picks */
    size_t kinds_count;
} ap_spread;

/* Uses all picks facts[0..end); those beyond suspect_z spreads from the middle of their kind have no part in the variances. With those
 * gone the variances are taken about means: sums of squares about medians are larger by pi / 2 - 1 of a degree of freedom a kind.
 *
 * Source  Searle, Casella & McCulloch 1992, Variance Components, section 3.6; Satterthwaite 1946, Biometrics Bulletin 2:110-114, for the
 * degrees of freedom. Release also after an error. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_spread_fit(ap_spread *out, const ap_roster *roster, size_t end, double suspect_z,
                                    ap_error *err);
/* Whether a compared pick is further than suspect_z spreads from the middle of its kind, or heavier than sound wood can be: a weight
 * to be questioned first. */
bool ap_spread_suspects(const ap_spread *spread, const ap_fact *fact, size_t pick, double suspect_z);
/* How far a compared pick lies above the middle of its kind, in standard deviations of the difference between a pick that had no part in
 * the fit and that middle: Student's t with `df` degrees of freedom when nothing is wrong.
 *
 * Method  the variance of a median is pi / 2 of the mean's, the picks of one tree alike; the spread is taken without the pick itself, of
 *         whose square it holds one in `picks`; without it the median lies half a rank further. Source: Cook & Weisberg 1982, Residuals and Influence in Regression, section 2.2 (the
 *         deleted residual); Kenney & Keeping 1962, section 8.8 (the median; from memory). Its use with trees is ours. */
double ap_spread_distance(const ap_spread *spread, const ap_fact *fact, size_t pick, double suspect_z);
/* P(a pick lies further than `distance` above its middle) when nothing is wrong. */
double ap_spread_chance_above(const ap_spread *spread, double distance);
void ap_spread_release(ap_spread *spread);

#endif
