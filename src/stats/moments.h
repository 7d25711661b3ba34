/* Count, mean and spread in one pass, mergeable, without loss when the mean is large against the spread. */
#ifndef AP_STATS_MOMENTS_H
#define AP_STATS_MOMENTS_H

#include "stats/stats.h"

/* Start with ap_moments_clear(). The values are held as differences from the first one. */
typedef struct ap_moments {
    size_t n;
    double shift;    /* the first value */
    double mean;     /* of value - shift */
    double mean_low; /* what rounding took from it */
    double m2;       /* sum of squared deviations from the mean */
    double m2_low;
    double min;
    double max;
} ap_moments;

void ap_moments_clear(ap_moments *moments);

/* Adds one value. A value that is not finite is refused (AP_E_DOMAIN) and not counted.
 *
 * Method   Welford's update on value - first value, both sums compensated.
 * Source   Welford 1962, Technometrics 4:419-420; Neumaier 1974, ZAMM 54:39-51 (the compensation);
 *          Chan, Golub & LeVeque 1983, The American Statistician 37:242-247 (merging).
 * Accuracy NIST StRD univariate sets: mean to 15 digits, sd to 13 (NumAcc4: to 8, which the rounding of its input sets). */
AP_MUST_USE ap_status ap_moments_add(ap_moments *moments, double value, ap_error *err);
AP_MUST_USE ap_status ap_moments_add_all(ap_moments *moments, const double *x, size_t n, ap_error *err);
/* Adds what `other` has seen. */
void ap_moments_merge(ap_moments *moments, const ap_moments *other);

/* Mean of the values. Errors: AP_E_DOMAIN when there is none. */
AP_MUST_USE ap_status ap_moments_mean(double *out, const ap_moments *moments, ap_error *err);
/* Standard deviation with n - 1. Errors: AP_E_DOMAIN when n < 2. All equal gives 0. */
AP_MUST_USE ap_status ap_moments_sd(double *out, const ap_moments *moments, ap_error *err);

/* Lag-1 autocorrelation sum((x_i - mean)(x_{i+1} - mean)) / sum((x_i - mean)^2).
 *
 * Source  NIST StRD, univariate definitions. Accuracy 12 digits on its sets.
 * Errors  AP_E_DOMAIN when n < 2 or all values are equal. */
AP_MUST_USE ap_status ap_stats_autocorrelation(double *out, const double *x, size_t n, ap_error *err);

#endif
