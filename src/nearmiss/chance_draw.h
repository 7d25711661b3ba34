/* Picks as chance alone logs them: plans right on average, normal errors of trees and of the picks in them, in the logged trees, groups
 * and order.
 *
 *   D1 Drawn given the fitted spread, not with it: in every drawn book the sums of squares that the fit takes within and between trees are
 *      those of the real one. The law of picks given these sums is free of the true variances, so that the uncertainty of the fit is in the
 *      draws, and a limit that was chosen by the fitted spread keeps the rate announced for it whatever the truth is.
 *   D2 The kinds' means are taken out of the drawn picks as the fit does (chance_fit.h): what a group has in common with its kind widens
 *      no spread.
 *   D3 Exact for trees of one size. For others the sizes weigh the tree means as the fitted variances say.
 *   D4 Picks before `begin` are not drawn: a chi-square of their degrees of freedom stands for their part of the sums; for a group's own
 *      past, which the self-starting scores need, its mean and spread are drawn.
 *
 * Source  Engen & Lillegard 1997, Biometrika 84:235-240; Lindqvist & Taraldsen 2005, Biometrika 92:451-464 (draws given sufficient
 *         statistics). D2 to D4 are ours. */
#ifndef AP_NEARMISS_CHANCE_DRAW_H
#define AP_NEARMISS_CHANCE_DRAW_H

#include "nearmiss/chance_fit.h"
#include "nearmiss/spans.h"
#include "stats/prng.h"

typedef struct ap_draw {
    const ap_looks *looks;
    const ap_spread *spread;
    size_t begin;
    uint64_t seed;
    double heavy_log;
    float *z; /* by look; those before `begin` are not used */
    uint8_t *heavy;
    ap_fit fit;
    ap_span_past *past[AP_RUN_GROUPS];    /* by slot; NULL when nothing lies before `begin` */
    double *past_clusters[AP_RUN_GROUPS]; /* squared sizes of the trees in it */
} ap_draw;

/* Release also after an error. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_draw_init(ap_draw *out, const ap_roster *roster, const ap_looks *looks,
                                   const ap_spread *spread, size_t begin, ap_error *err);
/* The same replication of the same picks is the same draw. */
void ap_draw_next(ap_draw *draw, uint32_t replication);
void ap_draw_release(ap_draw *draw);

#endif
