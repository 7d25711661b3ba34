/* Two shares compared by the exact test: how many cases it takes to see a difference. */
#ifndef AP_STATS_SHARES_H
#define AP_STATS_SHARES_H

#include "stats/stats.h"

/* Power of Fisher's two-sided exact test at `alpha` when the true shares are p1 and p2.
 *
 * Method  every table whose p is at most alpha, weighed with both binomials; cells further than 7 sd out are left off.
 * Source  definition; Fisher 1935. Accuracy 1e-9 up to 2,000 cases a group.
 * Errors  AP_E_DOMAIN outside 1..5000 cases, shares or alpha outside 0..1; AP_E_MEMORY. */
AP_MUST_USE ap_status ap_fisher_power(double *out, uint64_t n1, uint64_t n2, double p1, double p2, double alpha,
                                      ap_error *err);

/* Cases of group 1 for that power while group 2 keeps its n2. The power of an exact test rises in small steps with some going down; found
 * by halving, so "about". 0 when `most` are not enough. Errors: those of ap_fisher_power(). */
AP_MUST_USE ap_status ap_fisher_cases(uint64_t *out, uint64_t n2, double p1, double p2, double alpha, double power,
                                      uint64_t most, ap_error *err);

#endif
