/* Pooling group means that each have a known variance: between-group variance, pooled mean, shrunken group means. Used
 * where only a list of cell means is at hand; with the picks themselves the mixed model does it. */
#ifndef AP_STATS_META_H
#define AP_STATS_META_H

#include "stats/stats.h"

typedef enum ap_meta_method {
    AP_META_FIXED = 0, /* no variance between groups */
    AP_META_DERSIMONIAN_LAIRD,
    AP_META_PAULE_MANDEL,
    AP_META_REML
} ap_meta_method;

typedef struct ap_meta {
    size_t k;           /* groups */
    double tau2;        /* variance between groups, squared unit of y; 0 is a legal answer */
    double mean;        /* pooled */
    double se;          /* of the pooled mean */
    double q;           /* Cochran's Q at tau2 = 0 */
    double i2;          /* share of the variance that lies between groups, 0..1 */
    ap_interval spread; /* of tau2 by the Q profile */
    ap_interval next;   /* where a new group's true mean lies: mean +- z sqrt(tau2 + se^2) */
} ap_meta;

/* y[i] the mean of group i, v[i] > 0 its variance; k >= 2 groups.
 *
 * Method   weights 1 / (v + tau2). Paule-Mandel: tau2 with Q(tau2) = k - 1. REML: Fisher scoring with halved steps.
 *          Q profile: the tau2 at which Q(tau2) passes the chi-square quantiles with k - 1 degrees of freedom; both ends are
 *          0 when the groups are closer together than chance would have them.
 * Source   Paule & Mandel 1982, Journal of Research NBS 87:377-385; DerSimonian & Laird 1986, Controlled Clinical
 *          Trials 7:177-188; Viechtbauer 2005, Journal of Educational and Behavioral Statistics 30:261-293 (REML) and 2007,
 *          Statistics in Medicine 26:37-52 (Q profile).
 * Accuracy 1e-9 of tau2's scale; REML 1e-8.
 * Errors   AP_E_DOMAIN with fewer than 2 groups or a variance that is not above 0. */
AP_MUST_USE ap_status ap_meta_pool(ap_meta *out, const double *y, const double *v, size_t k, ap_meta_method method,
                                   double level, ap_error *err);

/* Shrunken mean of each group and its standard error (BLUP, the pooled mean's uncertainty included); each array has k
 * places. Source: Raudenbush & Bryk 1985, Journal of Educational Statistics 10:75-98. */
AP_MUST_USE ap_status ap_meta_shrink(double *mean, double *se, const ap_meta *pooled, const double *y, const double *v,
                                     size_t k, ap_error *err);

#endif
