/* One-sided upper bounds: for a stated share of what is to come (tolerance), for the next one (prediction), and both
 * without a shape. Units: those of the values; factors are multiples of the standard deviation. */
#ifndef AP_STATS_TOLERANCE_H
#define AP_STATS_TOLERANCE_H

#include "stats/stats.h"

/* k such that mean + k * scale covers at least the share `content` of a normal population with confidence `confidence`,
 * when scale^2 has nu degrees of freedom and the mean's variance is scale^2 / m.
 *
 * Shape    m > 0 and nu >= 0.1, both may be fractional: m = n and nu = n - 1 for one simple sample; a pooled scale brings
 *          its own nu; picks in trees bring an effective m = scale^2 / Var(mean).
 * Method   k = t'(confidence; nu, z_content sqrt(m)) / sqrt(m), t' the noncentral t quantile.
 * Source   Owen 1968, Technometrics 10:445-478; Krishnamoorthy & Mathew 2009, Statistical Tolerance Regions, section 2.2
 *          and 4.3; ISO 16269-6:2014. Exact when nu and m are whole numbers of such a sample, else Satterthwaite's.
 * Accuracy 1e-9 relative against tolerance_k_onesided.csv and tolerance_k_pooled_sd.csv.
 * Errors   AP_E_DOMAIN when a share is not inside 0..1, or m or nu is out of range. */
AP_MUST_USE ap_status ap_tolerance_factor(double *out, double content, double confidence, double m, double nu,
                                          ap_error *err);

/* Degrees of freedom for ap_tolerance_factor() when m is estimated too, as it is with picks in trees.
 *
 * With nu of the scale alone and m = scale^2 / Var(mean) from the same fit, the bound holds its content less often than it
 * says: in 2000 simulated books each of 5 to 30 trees, intraclass correlation 0 to .8, at a nominal .90 it held in .86 to
 * .92 of them, least with few trees that differ much. Var(mean) has only mean_df (trees - 1) degrees of freedom behind it.
 *
 * Method   1 / nu is the mean of 1 / mean_df and 1 / scale_df, weighted by what the mean and the scale contribute to the
 *          variance of mean + z scale: Var(mean) and z^2 scale^2 / (2 scale_df).
 * Source   Satterthwaite 1946, Biometrics Bulletin 2:110-114, applied to the bound; ours, so judged by simulation: it held
 *          in .89 to .98 of the same books.
 * Errors   AP_E_DOMAIN when a variance or a degree of freedom is not above 0. */
AP_MUST_USE ap_status ap_tolerance_df(double *out, double content, double mean_variance, double mean_df, double scale2,
                                      double scale_df, ap_error *err);

/* k of one simple sample of n >= 2 values: m = n, nu = n - 1. */
AP_MUST_USE ap_status ap_tolerance_factor_sample(double *out, double content, double confidence, size_t n,
                                                 ap_error *err);

/* mean + k sd of a sample of n >= 2; all equal is refused (a scale of 0 bounds nothing). */
AP_MUST_USE ap_status ap_tolerance_upper(double *out, const double *x, size_t n, double content, double confidence,
                                         ap_error *err);

/* Factor of the one-sided prediction bound of one further value: t(level; nu) sqrt(1 + 1/m).
 * Source  Hahn & Meeker 1991, Statistical Intervals, section 4.8. Accuracy 1e-10 relative. */
AP_MUST_USE ap_status ap_prediction_factor(double *out, double level, double m, double nu, ap_error *err);

/* mean + factor * sd for one further value of a sample of n >= 2; all equal is refused. */
AP_MUST_USE ap_status ap_prediction_upper(double *out, const double *x, size_t n, double level, ap_error *err);

/* Smallest n at which the from_top-th largest value covers `content` with `confidence`: P(Bin(n, content) <= n - from_top)
 * >= confidence. Source: Wilks 1941, Annals of Mathematical Statistics 12:91-96; Conover 1999 section 3.3. Exact. */
AP_MUST_USE ap_status ap_nonparametric_count(size_t *out, double content, double confidence, size_t from_top,
                                             ap_error *err);

/* The content that the from_top-th largest of n values covers with `confidence`. 1 <= from_top <= n. */
AP_MUST_USE ap_status ap_nonparametric_content(double *out, size_t n, size_t from_top, double confidence,
                                               ap_error *err);

typedef struct ap_nonparametric {
    double value;
    size_t from_top;   /* which one it is, 1 = the largest */
    double confidence; /* attained */
} ap_nonparametric;

/* The smallest of the values that still covers `content` with `confidence`, whatever their distribution.
 * Errors  AP_E_DOMAIN when n is too small even for the largest: the sentence names the n it takes. */
AP_MUST_USE ap_status ap_nonparametric_upper(ap_nonparametric *out, const double *x, size_t n, double content,
                                             double confidence, ap_error *err);

#endif
