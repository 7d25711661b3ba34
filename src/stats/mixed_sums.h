/* The sums that a mixed model is fitted to, added up tree by tree.
 *
 * A fit needs the picks only through sums of products (mixed.h); these can be added, taken off again and merged, so that
 * many fits to growing or overlapping sets of picks, and to fewer factors, cost one pass over the picks together.
 *
 * Shape    picks are given by kind: picks of one kind share their level of every factor. Levels of a factor are 1, 2 ...
 *          without gaps, 0 = not logged. One call adds all picks of one tree; a pick without a tree is a tree of its own.
 *          e should be near 0 on the whole (less its mean): squares are added up as they are.
 * Accuracy counts exact; sums of e and its squares 1e-15 of the largest sum there was. */
#ifndef AP_STATS_MIXED_SUMS_H
#define AP_STATS_MIXED_SUMS_H

#include "stats/mixed.h"

typedef struct ap_mixed_kind {
    uint32_t level[AP_MIXED_FACTORS_MAX];
} ap_mixed_kind;

typedef struct ap_mixed_sums ap_mixed_sums;

/* Errors: AP_E_LIMIT above AP_MIXED_LEVELS_MAX levels of all factors together, AP_E_MEMORY. Free with the next. */
AP_MUST_USE ap_status ap_mixed_sums_new(ap_mixed_sums **out, size_t factors, const ap_mixed_kind *kind, size_t kinds,
                                        ap_error *err);
void ap_mixed_sums_free(ap_mixed_sums *sums);

/* Adds (sign 1) or takes off (sign -1) the picks of one tree: kind[i] and e[i], i < count. */
AP_MUST_USE ap_status ap_mixed_sums_add(ap_mixed_sums *sums, const uint32_t *kind, const double *e, size_t count,
                                        int sign, ap_error *err);
/* Adds what `other` holds; both made from the same kinds. */
AP_MUST_USE ap_status ap_mixed_sums_merge(ap_mixed_sums *sums, const ap_mixed_sums *other, ap_error *err);

/* ap_mixed_fit() of what has been added, with the factors that have used[factor] set (NULL: all); the fit numbers these
 * from 0. `shift` is what was taken off e. The caller has seen that not all errors are equal. No tree effects. */
AP_MUST_USE ap_status ap_mixed_fit_sums(ap_mixed *out, const ap_mixed_sums *sums, const bool *used, double shift,
                                        ap_error *err);

#endif
