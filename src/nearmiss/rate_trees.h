/* The picks of a comparison of rates, tree by tree: those of one tree are alike, and count as one that is dealt out whole (shuffle.h).
 *
 *   T1 A cluster is what one tree has in one group, in the period or before it: two set-ups on one tree are two, so that what they have
 *      in common goes to neither. Taken as independent they make a difference look less certain than it is, never more.
 *   T2 Where the book names no tree, job and species stand for it, as everywhere.
 *   T3 Picks of one tree alone, or events of one tree alone, are not compared: they say what that tree did. */
#ifndef AP_NEARMISS_RATE_TREES_H
#define AP_NEARMISS_RATE_TREES_H

#include "nearmiss/rate_cells.h"
#include "stats/shuffle.h"

/* The picks that are compared, tree by tree, in pick order within each. */
typedef struct ap_rate_order {
    uint32_t *pick;  /* heap: twice the roster's index, and one more for an event */
    uint32_t *start; /* heap: of tree t at start[t] .. start[t + 1], by label */
    size_t trees, count;
} ap_rate_order;

/* Release it also after an error. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_rate_order_make(ap_rate_order *out, const ap_rate_cells *cells, const ap_detect_input *in,
                                         ap_error *err);
void ap_rate_order_release(ap_rate_order *order);

typedef struct ap_rate_trees {
    ap_cluster *items; /* heap */
    ap_clusters dealt;
} ap_rate_trees;

/* The clusters of one grouping, and in every cell of it `trees` and `trees_hit`; none without cells. Release also after an error.
 * Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_rate_trees_make(ap_rate_trees *out, ap_rate_cells *cells, size_t grouping,
                                         const ap_rate_order *order, const ap_detect_input *in, ap_error *err);
void ap_rate_trees_release(ap_rate_trees *trees);

#endif
