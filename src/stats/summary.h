/* Robust summaries of one sample and intervals for its middle. Values may have any unit; results have the same. */
#ifndef AP_STATS_SUMMARY_H
#define AP_STATS_SUMMARY_H

#include "stats/moments.h"

/* Median: the middle value, or the mean of the two middle ones. Errors: AP_E_DOMAIN when n = 0. */
AP_MUST_USE ap_status ap_stats_median(double *out, const double *x, size_t n, ap_error *err);
/* The two values that a median lies between, the same twice when n is odd: for a median on another scale than x's. */
AP_MUST_USE ap_status ap_stats_middle(double *low, double *high, const double *x, size_t n, ap_error *err);

/* Quantile of a sample, 0 <= p <= 1.
 *
 * Method  h = (n - 1)p + 1, linear between the order statistics around h: definition 7 of Hyndman & Fan.
 * Source  Hyndman & Fan 1996, The American Statistician 50:361-365.
 * Errors  AP_E_DOMAIN when n = 0 or p is outside 0..1. The sorted form trusts that x is ascending and finite. */
AP_MUST_USE ap_status ap_stats_quantile(double *out, const double *x, size_t n, double p, ap_error *err);
AP_MUST_USE ap_status ap_stats_quantile_sorted(double *out, const double *sorted, size_t n, double p, ap_error *err);

/* 1 / Phi^-1(3/4) as tables and general-purpose packages round it (Hampel 1974, JASA 69:383-393). */
#define AP_MAD_TO_SD 1.4826

/* Median absolute deviation from the median, times AP_MAD_TO_SD: a standard deviation where the values are normal.
 * All equal, or more than half equal, gives 0. Errors: AP_E_DOMAIN when n = 0. */
AP_MUST_USE ap_status ap_stats_mad(double *out, const double *x, size_t n, ap_error *err);

typedef enum ap_location_kind {
    AP_LOCATION_HUBER = 0,
    AP_LOCATION_MEDIAN_TOO_FEW, /* n < 4: the median stands in */
    AP_LOCATION_MEDIAN_NO_MAD   /* the scale is 0: the median stands in */
} ap_location_kind;

typedef struct ap_location {
    double value;
    double mad; /* the fixed scale */
    ap_location_kind kind;
    int steps;
} ap_location;

/* Huber M-estimate of location, bend at 1.5 scales, the MAD as fixed scale.
 *
 * Shape    n >= 1; below 4 values, or with a MAD of 0, the median, marked in `kind`.
 * Method   winsorised means from the median on, until a step is below 1e-12 of the scale.
 * Source   Huber 1981, Robust Statistics; Venables & Ripley 2002, Modern Applied Statistics with S, section 5.5.
 * Accuracy 1e-9 of the scale. Errors: AP_E_DOMAIN when n = 0. */
AP_MUST_USE ap_status ap_stats_huber(ap_location *out, const double *x, size_t n, ap_error *err);

/* Interval of the median by order statistics: (x_(r), x_(n+1-r)) with the largest r whose level is at least `level`.
 *
 * Method  level attained = 1 - 2 P(Bin(n, 1/2) < r), returned in out->level. No shape is assumed, only that the values
 *         are independent and of one population; with ties the level is at least the one returned.
 * Source  Conover 1999, Practical Nonparametric Statistics 3rd ed., section 3.2; Hahn & Meeker 1991, section 5.2.
 * Errors  AP_E_DOMAIN when even the smallest and largest value do not reach `level` (n < 6 at 0.95, n < 5 at 0.90). */
AP_MUST_USE ap_status ap_stats_median_interval(ap_interval *out, const double *x, size_t n, double level,
                                               ap_error *err);

/* estimate +- t(level; df) * se. Units of the estimate; df > 0 may be fractional; se >= 0.
 * Source  Student 1908, Biometrika 6:1-25; quantile by the GNU Scientific Library. Accuracy 1e-10 relative.
 * Errors  AP_E_DOMAIN when df <= 0, se < 0 or the level is outside 0..1. */
AP_MUST_USE ap_status ap_stats_t_interval(ap_interval *out, double estimate, double se, double df, double level,
                                          ap_error *err);

/* t interval of the mean of independent values, n >= 2. All equal gives an interval of length 0. */
AP_MUST_USE ap_status ap_stats_mean_interval(ap_interval *out, const double *x, size_t n, double level, ap_error *err);

typedef struct ap_cluster_mean {
    double mean; /* mean of the clusters' means, each cluster counting once */
    double sd;   /* between the clusters' means */
    size_t clusters;
    ap_interval interval; /* t with clusters - 1 degrees of freedom */
} ap_cluster_mean;

/* Mean of values that come in clusters (picks of one tree): each cluster counts once, the interval is that of the
 * clusters' means.
 *
 * Shape   x[i] belongs to cluster[i]; numbers in any order, any values.
 * Source  Snedecor & Cochran 1989, Statistical Methods 8th ed., chapter 21 (the primary unit is the unit of analysis).
 * Errors  AP_E_DOMAIN with fewer than two clusters. */
AP_MUST_USE ap_status ap_stats_cluster_mean(ap_cluster_mean *out, const double *x, const uint32_t *cluster, size_t n,
                                            double level, ap_error *err);

#endif
