/* Control schemes over a sequence of values in time order: EWMA, CUSUM (plain, clipped, self-starting), individuals
 * and u limits. Values may have any unit; the target and the sd have the same.
 *
 * A limit is passed when the value is beyond it by more than 1e-9 of it: logs are round, and unit conversion must not
 * decide a tie. */
#ifndef AP_STATS_CONTROL_H
#define AP_STATS_CONTROL_H

#include "stats/stats.h"

enum { AP_NO_SIGNAL = -1 };

typedef struct ap_ewma_rule {
    double target;
    double sd;         /* of one value, > 0 */
    double lambda;     /* 0 < lambda <= 1 */
    double width;      /* L: limits at target +- L * sd * sqrt(lambda / (2 - lambda)) in the long run, > 0 */
    bool fixed_limits; /* the long-run limits from the first value on; else those that grow with i */
} ap_ewma_rule;

typedef struct ap_ewma_point {
    double value;
    double low;
    double high;
    int side; /* -1 below, 0 within, 1 above */
} ap_ewma_point;

/* Exponentially weighted moving average z_i = lambda x_i + (1 - lambda) z_{i-1}, z_0 = target. out has n places.
 *
 * Source  Roberts 1959, Technometrics 1:239-250; Montgomery, Introduction to Statistical Quality Control, section 9.2;
 *         NIST/SEMATECH e-Handbook 6.3.2.4.
 * Errors  AP_E_DOMAIN for n = 0, values that are not finite, or a rule out of range. */
AP_MUST_USE ap_status ap_ewma_run(ap_ewma_point *out, const double *x, size_t n, const ap_ewma_rule *rule,
                                  ap_error *err);

typedef struct ap_cusum_rule {
    double target;
    double sd;   /* values are z = (x - target) / sd; give 1 where k and h are in the values' own unit */
    double k;    /* allowance, in sd, >= 0 */
    double h;    /* decision limit, in sd, > 0 */
    double clip; /* z is held within +-clip before it is added; 0 means not clipped */
} ap_cusum_rule;

typedef struct ap_cusum_point {
    double plus;         /* S+ = max(0, S+ + z - k) */
    double minus;        /* S- = max(0, S- - z - k), as a positive number */
    uint32_t plus_since; /* values since S+ was last 0: the change is estimated to start that many values back */
    uint32_t minus_since;
    int side; /* 1: S+ beyond h; -1: S- beyond h (S+ wins when both are); 0 none */
} ap_cusum_point;

/* One step of the tabular CUSUM: *point goes from the state before to the state after `x`. Start with {0}. The sums are
 * not set back by a signal. Errors: AP_E_DOMAIN when x is not finite or the rule is out of range.
 *
 * Method  Page's scheme on standardised values; clipping bounds what one wild value can do.
 * Source  Page 1954, Biometrika 41:100-115; Montgomery section 9.1; clipping (winsorising) as in Lucas & Crosier 1982,
 *         Communications in Statistics 11:2669-2687. */
AP_MUST_USE ap_status ap_cusum_step(ap_cusum_point *point, double x, const ap_cusum_rule *rule, ap_error *err);

/* The whole sequence; out has n places. *first_plus and *first_minus receive the index of the first value with S+ (S-)
 * beyond h, or AP_NO_SIGNAL. */
AP_MUST_USE ap_status ap_cusum_run(ap_cusum_point *out, ptrdiff_t *first_plus, ptrdiff_t *first_minus, const double *x,
                                   size_t n, const ap_cusum_rule *rule, ap_error *err);

/* Standardises each value against those before it: t_i = (x_i - mean_{i-1}) / sd_{i-1} * sqrt((i - 1) / i), then the
 * normal score of its t probability with i - 2 degrees of freedom. The first two scores are 0: nothing to compare with.
 *
 * Shape   out has n places; u is standard normal while nothing changes. A value equal to all before it (sd 0) scores 0;
 *         another one there scores +-8.
 * Source  Hawkins 1987, The Statistician 36:299-315; Quesenberry 1991, Journal of Quality Technology 23:213-224.
 * Errors  AP_E_DOMAIN for n = 0 or values that are not finite. */
AP_MUST_USE ap_status ap_cusum_self_start(double *out, const double *x, size_t n, ap_error *err);

typedef struct ap_limits {
    double center;
    double low;
    double high;
    double spread; /* mean moving range (individuals), 0 for u */
} ap_limits;

/* Individuals figure: mean +- 3 * (mean moving range) / 1.128.
 *
 * Source  NIST/SEMATECH e-Handbook 6.3.2.2; d2 = 1.128 for two values (ASTM/ISO 7870-2 tables round it so).
 * Errors  AP_E_DOMAIN when n < 2 or all values are equal (limits of no width say nothing). */
AP_MUST_USE ap_status ap_individuals_limits(ap_limits *out, const double *x, size_t n, ap_error *err);

/* Nelson's transform of a time between rare events, t^(1/3.6), which makes an exponential time nearly normal: feed the
 * results to ap_individuals_limits(). Source: Nelson 1994, Journal of Quality Technology 26:239-243. t >= 0. */
AP_MUST_USE ap_status ap_between_events_score(double *out, double time, ap_error *err);

/* Nelson's rules against a shift, as a set of bits: which of them a value completes, and on which side. */
enum {
    AP_NELSON_BEYOND = 1,    /* rule 1: beyond 3 sd */
    AP_NELSON_RUN = 2,       /* rule 2: `run` in a row on one side (nine, Nelson's own) */
    AP_NELSON_TWO_OF_3 = 4,  /* rule 5: the value and one of the two before it beyond 2 sd, on one side */
    AP_NELSON_FOUR_OF_5 = 8, /* rule 6: the value and three of the four before it beyond 1 sd, on one side */
    AP_NELSON_NINE = 9,
};
typedef struct ap_nelson_mark {
    uint8_t rules;
    int8_t side; /* -1 low, 1 high; 0 with no rule */
} ap_nelson_mark;

/* Marks of z[0..n), standardised by centre and sd; out has n places. A value on a limit is not beyond it, one on the centre ends a run.
 *
 * Shape   rules 3 and 4 (trend, alternation) have no power against a shift, 7 and 8 speak of strata: they are not there.
 * Source  Nelson 1984, Journal of Quality Technology 16:237-239. Errors: AP_E_DOMAIN for values that are not finite or run 0. */
AP_MUST_USE ap_status ap_nelson_marks(ap_nelson_mark *out, const double *z, size_t n, unsigned run, ap_error *err);

/* u figure: rate limits for a group with `exposure` units when `events` were seen in `total_exposure` units in all.
 *
 * Method  u +- 3 sqrt(u / exposure), the lower limit not below 0.
 * Source  Montgomery section 7.3; NIST/SEMATECH e-Handbook 6.3.3.1.
 * Errors  AP_E_DOMAIN when u * exposure < 5: fewer than 5 expected, where the normal limits mislead. */
AP_MUST_USE ap_status ap_u_limits(ap_limits *out, double events, double total_exposure, double exposure, ap_error *err);

#endif
