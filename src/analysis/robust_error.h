/* What is typical of a group's error, whatever its tails do: for the working and for other programs, not for the page.
 *
 *   R1 Robust average: Huber's of ln ratio over the picks, the median absolute deviation as its scale. Below 4 picks, or where
 *      the deviation is 0, the median stands in, and `kind` says so.
 *   R2 Interval of the median by order statistics, of the trees' medians: picks of one tree are not independent, so that each
 *      tree counts once. At 90 % it takes five trees. No shape is assumed.
 *
 * Sources and accuracy: stats/summary.h. */
#ifndef AP_ANALYSIS_ROBUST_ERROR_H
#define AP_ANALYSIS_ROBUST_ERROR_H

#include "analysis/weights.h"
#include "stats/summary.h"

typedef struct ap_robust_error {
    double ratio; /* NaN without a compared pick */
    ap_location_kind kind;
    double median_low, median_high; /* as ratios; NaN below five trees */
} ap_robust_error;

/* *out gets one for each of table->groups, in their order, from the facts[first..end) that the table was made of; a group whose
 * figures were taken away (people.h) gets none either. In `arena`. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_robust_errors(ap_robust_error **out, ap_arena *arena, const ap_roster *roster, size_t first,
                                       size_t end, const ap_weight_table *table, ap_error *err);

const char *ap_robust_kind_name(ap_location_kind kind); /* "huber", "median_too_few", "median_no_spread" */

#endif
