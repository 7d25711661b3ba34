/* Noncentral t distribution: T = (Z + delta) / sqrt(chi-square(nu) / nu). The GNU Scientific Library has none. */
#ifndef AP_STATS_NONCENTRAL_T_H
#define AP_STATS_NONCENTRAL_T_H

#include "stats/stats.h"

/* Probability that T is at most t (*lower) and that it is more (*upper); either pointer may be NULL.
 *
 * Shape    nu >= 0.1, may be fractional; |delta| <= 20000; t finite.
 * Method   integral over s = sqrt(chi-square / nu) of Phi(t s - delta) by the trapezoid rule in ln s, which converges
 *          geometrically because the integrand is analytic and dies off at both ends.
 * Source   the definition (Johnson, Kotz & Balakrishnan 1995, Continuous Univariate Distributions 2, chapter 31);
 *          Trefethen & Weideman 2014, SIAM Review 56:385-458 (the trapezoid rule).
 * Accuracy 1e-12 absolute, and about 1e-10 relative in either tail.
 * Errors   AP_E_DOMAIN outside that shape. */
AP_MUST_USE ap_status ap_noncentral_t_share(double *lower, double *upper, double t, double nu, double delta,
                                            ap_error *err);

/* The t with P(T <= t) = p, 0 < p < 1. Method: bracketing root of the above. Accuracy 1e-10 relative. */
AP_MUST_USE ap_status ap_noncentral_t_quantile(double *out, double p, double nu, double delta, ap_error *err);

#endif
