/* The share of picks heavier than planned by more than the setting, with an interval that knows that picks of one tree are alike. */
#ifndef AP_ANALYSIS_SHARE_HEAVIER_H
#define AP_ANALYSIS_SHARE_HEAVIER_H

#include "analysis/roster.h"
#include "stats/rates.h"

/* Of the compared picks among facts[first..end), at AP_WEIGHTS_CONFIDENCE; trees are the clusters (ap_share_interval_clustered()). NaN
 * with fewer than two trees. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_share_heavier_interval(ap_interval *out, const ap_roster *roster, size_t first, size_t end,
                                                ap_error *err);

#endif
