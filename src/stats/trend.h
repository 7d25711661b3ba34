/* Is there a trend, how steep, and when did it change. x in time order or with its own times; any unit. */
#ifndef AP_STATS_TREND_H
#define AP_STATS_TREND_H

#include "stats/stats.h"

typedef enum ap_trend_kind {
    AP_TREND_EXACT = 0, /* the permutation distribution itself */
    AP_TREND_NORMAL,    /* large-sample approximation */
} ap_trend_kind;

typedef struct ap_mann_kendall {
    int64_t s;       /* pairs that rise minus pairs that fall */
    double variance; /* of s, with ties in value and time */
    double z;        /* with continuity correction; 0 when s is 0 */
    double p_two_sided;
    double p_up; /* one-sided: rising */
    double p_down;
    ap_trend_kind kind;
} ap_mann_kendall;

/* Mann-Kendall test.
 *
 * Shape    t[i] in any order, or NULL for 1, 2, 3, ...; 2 <= n <= 20000.
 * Method   exact up to n = 10 when no two times are equal, ties in value included (the count of inversions of a
 *          multiset, by its q-multinomial generating function); else the normal approximation with the variance for ties
 *          in both and a continuity correction of 1.
 * Source   Mann 1945, Econometrica 13:245-259; Kendall 1975, Rank Correlation Methods; Gilbert 1987, section 16.4.
 * Accuracy exact p 1e-12; z 1e-12.
 * Errors   AP_E_DOMAIN when all values or all times are equal: nothing can rise. */
AP_MUST_USE ap_status ap_trend_mann_kendall(ap_mann_kendall *out, const double *t, const double *x, size_t n,
                                            ap_error *err);

typedef struct ap_theil_sen {
    double slope;                /* units of x per unit of t */
    double intercept;            /* median of x - slope t */
    double intercept_of_medians; /* median x - slope * median t (Conover) */
    bool has_interval;           /* false: too few pairs for the level */
    ap_interval interval;        /* of the slope */
    size_t pairs;
} ap_theil_sen;

/* Median of pairwise slopes with Gilbert's interval.
 *
 * Shape    2 <= n <= 3000; pairs of equal times are left out; t NULL for 1, 2, 3, ...
 * Method   interval between the slopes ranked (N - C)/2 and (N + C)/2 + 1, C = z sqrt(var S), linear between ranks.
 * Source   Sen 1968, JASA 63:1379-1389; Gilbert 1987, Statistical Methods for Environmental Pollution Monitoring,
 *          section 16.5; intercept of medians Conover 1999, section 5.4. Accuracy 1e-10.
 * Errors   AP_E_DOMAIN when no two times differ; AP_E_LIMIT above 3000. */
AP_MUST_USE ap_status ap_trend_theil_sen(ap_theil_sen *out, const double *t, const double *x, size_t n, double level,
                                         ap_error *err);

typedef struct ap_pettitt {
    int64_t k;   /* max |U_i| */
    size_t last; /* 1-based: the last value before the change */
    bool rises;  /* later values are higher */
    double p;
    ap_trend_kind kind; /* AP_TREND_NORMAL: 2 exp(-6 k^2 / (n^3 + n^2)), good near and below .5 only */
} ap_pettitt;

/* Pettitt's test for one change of level.
 *
 * Shape    2 <= n <= 1000000, in time order.
 * Method   U_i = 2 (sum of the first i midranks) - i (n + 1); exact up to n = 20: the share of the n! orders whose max |U|
 *          reaches k, by dynamic programming over subsets (ties kept as they are); above, Pettitt's approximation.
 * Source   Pettitt 1979, Applied Statistics 28:126-135. Accuracy exact p 1e-10.
 * Errors   AP_E_DOMAIN when n < 2 or all values are equal. */
AP_MUST_USE ap_status ap_trend_pettitt(ap_pettitt *out, const double *x, size_t n, ap_error *err);

#endif
