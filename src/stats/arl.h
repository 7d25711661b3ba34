/* Average run lengths of the CUSUM and the EWMA on independent normal values: how many values pass, on the average,
 * until the scheme signals. With several picks a tree values are not independent: simulate instead (see prng.h). */
#ifndef AP_STATS_ARL_H
#define AP_STATS_ARL_H

#include "stats/stats.h"

/* Average run length of the one-sided upper CUSUM from `start` (0 = at rest), values normal with mean `shift` and sd
 * `ratio`, both in the sd the rule assumes.
 *
 * Shape    k >= 0, h > 0, 0 <= start <= h, ratio > 0; clip 0 = none, else values are held within +-clip.
 * Method   the integral equation of the run length on Gauss-Legendre nodes (not clipped), or Brook & Evans' Markov chain
 *          over cells of the sum with the clipped mass as steps of their own (clipped).
 * Source   Brook & Evans 1972, Biometrika 59:539-549; Knoth 2005, Computational Statistics 20:341-352 (accuracy of both).
 * Accuracy not clipped 1e-6 relative; clipped 0.5 %: the run length is a step function there.
 * Errors   AP_E_DOMAIN when the rule cannot fire or the run length is beyond 1e12. */
AP_MUST_USE ap_status ap_cusum_arl(double *out, double k, double h, double clip, double start, double shift,
                                   double ratio, ap_error *err);

/* Average run length of the upper and the lower CUSUM together, both from `start`, not clipped, sd as assumed.
 *
 * Method  from the one-sided ones: L = (L+(s) L-(0) + L+(0) L-(s) - L+(0) L-(0)) / (L+(0) + L-(0)); 1/L = 1/L+ + 1/L- at rest.
 * Source  Lucas & Crosier 1982, Technometrics 24:199-205. Accuracy 1e-6 relative, start 0..h/2 with k >= 0.25. */
AP_MUST_USE ap_status ap_cusum_arl_two_sided(double *out, double k, double h, double start, double shift,
                                             ap_error *err);

/* The limit h that gives the one-sided (two_sided: both together) CUSUM an average run length of `arl0` when nothing is
 * wrong; 1 < arl0 <= 1e9. Method: bracketing on ln ARL. Accuracy 1e-8 of h. */
AP_MUST_USE ap_status ap_cusum_limit_for(double *out, double k, double arl0, bool two_sided, ap_error *err);

/* Average run length of the two-sided EWMA with fixed limits +-width, from rest; values normal with mean `shift`, sd 1.
 *
 * Method  integral equation on Gauss-Legendre nodes. Source: Crowder 1987, Technometrics 29:401-407;
 *         Lucas & Saccucci 1990, Technometrics 32:1-12. Accuracy 1e-6 relative for lambda >= 0.03. */
AP_MUST_USE ap_status ap_ewma_arl(double *out, double lambda, double width, double shift, ap_error *err);

/* The width L of the two-sided EWMA for a wanted average run length. Accuracy 1e-8. */
AP_MUST_USE ap_status ap_ewma_width_for(double *out, double lambda, double arl0, ap_error *err);

#endif
