/* One-way analysis of variance: how much lies between groups, how much within; the pooled standard deviation. */
#ifndef AP_STATS_ONEWAY_H
#define AP_STATS_ONEWAY_H

#include "stats/stats.h"

typedef struct ap_oneway {
    size_t n;
    size_t groups;
    double mean; /* of all values */
    double between_ss;
    double within_ss;
    double between_df; /* groups - 1 */
    double within_df;  /* n - groups */
    double pooled_sd;  /* sqrt(within_ss / within_df) */
    double f;          /* 0 when !has_f: no spread within the groups */
    bool has_f;
    double p; /* upper tail of F; 0 when !has_f */
    double r_squared;
    double between_variance; /* moment estimate of the variance of the groups' true means, at least 0 */
} ap_oneway;

/* x[i] belongs to group[i], numbers in any order.
 *
 * Method   sums of squares from compensated moments, group by group; between-group variance (MSB - MSW) / n0,
 *          n0 = (n - sum n_i^2 / n) / (groups - 1).
 * Source   Searle, Casella & McCulloch 1992, Variance Components, section 3.6; NIST StRD one-way sets.
 * Accuracy limited by the rounding of the data: SmLs01 12 digits, SmLs04 9, SmLs07 3 (its values have 13 leading digits).
 * Errors   AP_E_DOMAIN with fewer than 2 groups, no group of 2, or values that are all equal. */
AP_MUST_USE ap_status ap_oneway_fit(ap_oneway *out, const double *x, const uint32_t *group, size_t n, ap_error *err);

#endif
