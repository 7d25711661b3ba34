/* A share compared with that of all the others where cases come in clusters (picks of a tree): whole clusters are dealt out anew.
 *
 *   H1 If nothing is wrong, which clusters lie inside is an accident: as many others could as well. p is the share of dealings whose
 *      inside stands out as much. Cases of a cluster stay together, so that what they have in common is not taken for evidence.
 *   H2 What stands out is measured in standard deviations of the hypergeometric law, (events N - of K) / sqrt(of (N - of)), for clusters
 *      are of many sizes. Clusters of one case each: Fisher's test.
 *   H3 Dealings end after 100 that stand out as much (p = 100 / dealings), or after as many as `steps` clusters allow
 *      (p = (seen + 1) / (dealings + 1), never 0). Both are valid whatever the number.
 *   H4 Where so many clusters are inside that few dealings can be paid for, the sum of their scores, events - of K / N, is taken as
 *      normal with the variance that drawing without replacement gives it, corrected for skewness where that makes p larger.
 *   H5 The same clusters always draw the same numbers.
 *
 * Exact where clusters are alike in law whatever their size; with sizes that differ much, near it. With few clusters p cannot be small:
 * one inside of 50 reaches 1 in 50, and that is as it should be.
 * Source  H1 Gail et al. 1996, Statistics in Medicine 15:1069-1092; H3 Besag & Clifford 1991, Biometrika 78:301-304, Phipson & Smyth
 * 2010, Statistical Applications in Genetics and Molecular Biology 9:39; H4 Robinson 1978, Annals of Statistics 6:1005-1011 (all from memory). */
#ifndef AP_STATS_SHUFFLE_H
#define AP_STATS_SHUFFLE_H

#include "stats/prng.h"
#include "stats/rates.h"

typedef struct ap_clusters {
    ap_cluster *items; /* the caller's; dealing changes their order */
    size_t count;
    uint64_t of, events; /* of all */
    size_t with_events;
    ap_prng prng;
} ap_clusters;

void ap_clusters_start(ap_clusters *out, ap_cluster *items, size_t count);

typedef struct ap_shuffled {
    double p;        /* one-sided: more inside than outside; 1 when nothing could be dealt */
    double error;    /* standard error of p by the dealings; 0: H4 */
    size_t dealings; /* 0: H4, or nothing could be dealt */
} ap_shuffled;

/* The p of `events` in `of` cases that make `inside` of the clusters; 0 < inside < count. `steps`: clusters drawn at the most. */
ap_shuffled ap_clusters_test(ap_clusters *clusters, size_t inside, uint64_t of, uint64_t events, size_t steps);

/* How often `inside` clusters are found by chance, dealt out anew: their p and that of Fisher's test at most `level`, with `least` events
 * or more in two clusters or more; -1 where `steps` are too few to say. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_clusters_reach(double *out, ap_clusters *clusters, size_t inside, double level, uint64_t least,
                                        size_t steps, ap_error *err);

#endif
