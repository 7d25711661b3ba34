/* The density model's picks tree by tree: it adds up sums of one tree at a time, so that a million picks need no more room than
 * their order takes. */
#ifndef AP_ANALYSIS_DENSITY_TREES_H
#define AP_ANALYSIS_DENSITY_TREES_H

#include "analysis/density.h"

typedef struct ap_density_trees {
    uint32_t *order; /* heap: numbers of the picks, those of a tree in their own order */
    uint32_t *start; /* heap: by tree label, its first place in `order`; one more at the end */
    size_t labels;
    size_t largest; /* picks of a tree at the most */
    bool as_logged; /* the picks of a tree stand together already */
} ap_density_trees;

/* Of picks->items[0..count). Release also after an error. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_density_trees_make(ap_density_trees *out, const ap_density_picks *picks, size_t count,
                                            ap_error *err);
void ap_density_trees_release(ap_density_trees *trees);

/* D6 and the mixed model: what a tree and what a single pick is off by, into *out. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_density_variances(ap_density *out, const ap_density_picks *picks,
                                           const ap_density_trees *trees, const ap_density_priors *priors,
                                           ap_error *err);

#endif
