#include "stats/trend.h"

#include <gsl/gsl_cdf.h>

#include "stats/concordance.h"
#include "stats/sample.h"
#include "stats/select.h"

enum { MOST_TREND = 20000, MOST_SLOPE = 3000, MOST_EXACT = 10, MOST_PAIRS = MOST_EXACT * (MOST_EXACT - 1) / 2 };

/* Sums over groups of equal values, for the variance of S: t(t-1)(2t+5), t(t-1)(t-2), t(t-1). */
typedef struct tie_sums {
    double for_variance;
    double triples;
    double pairs;
    size_t groups;
    size_t largest;
    size_t size[MOST_EXACT]; /* of the first groups: all there are when n <= MOST_EXACT */
} tie_sums;

static ap_status sum_ties(tie_sums *out, const double *x, size_t n, ap_error *err) {
    double *sorted = NULL;
    ap_status status = ap_sample_sort(&sorted, x, n, err);
    if (status != AP_OK) {
        return status;
    }
    *out = (tie_sums){0};
    for (size_t at = 0; at < n;) {
        size_t end = at + 1;
        while (end < n && sorted[end] == sorted[at]) {
            end++;
        }
        double t = (double)(end - at);
        out->for_variance += t * (t - 1.0) * (2.0 * t + 5.0);
        out->triples += t * (t - 1.0) * (t - 2.0);
        out->pairs += t * (t - 1.0);
        out->largest = end - at > out->largest ? end - at : out->largest;
        if (out->groups < MOST_EXACT) {
            out->size[out->groups] = end - at;
        }
        out->groups++;
        at = end;
    }
    free(sorted);
    return AP_OK;
}

static double variance_of_s(const tie_sums *values, const tie_sums *times, size_t n) {
    double m = (double)n;
    double variance = (m * (m - 1.0) * (2.0 * m + 5.0) - values->for_variance - times->for_variance) / 18.0;
    if (n > 2) {
        variance += values->triples * times->triples / (9.0 * m * (m - 1.0) * (m - 2.0));
    }
    return variance + values->pairs * times->pairs / (2.0 * m * (m - 1.0));
}

/* Multiplies the polynomial (coefficients in `poly`, degree *degree) by 1 + q + ... + q^(terms-1). */
static void multiply_row(double *poly, size_t *degree, size_t terms) {
    double out[MOST_PAIRS + 1] = {0};
    size_t top = *degree + terms - 1;
    for (size_t i = 0; i <= *degree; i++) {
        for (size_t j = 0; j < terms; j++) {
            out[i + j] += poly[i];
        }
    }
    memcpy(poly, out, (top + 1) * sizeof *poly);
    *degree = top;
}

/* Exact division by the same; the coefficients are whole numbers below 2^53. */
static void divide_row(double *poly, size_t *degree, size_t terms) {
    size_t top = *degree - (terms - 1);
    for (size_t i = 0; i <= top; i++) {
        for (size_t j = 1; j < terms; j++) {
            poly[i + j] -= poly[i];
        }
    }
    *degree = top;
}

/* The number of orders with i falling pairs is the coefficient of q^i in [n]!_q / product of [t]!_q over groups of
 * equal values; S = pairs - 2 i. */
static void exact_shares(ap_mann_kendall *out, const tie_sums *values, size_t n) {
    double poly[MOST_PAIRS + 1] = {1.0};
    size_t degree = 0;
    for (size_t i = 2; i <= n; i++) {
        multiply_row(poly, &degree, i);
    }
    for (size_t g = 0; g < values->groups; g++) {
        for (size_t i = 2; i <= values->size[g]; i++) {
            divide_row(poly, &degree, i);
        }
    }
    double all = 0.0, up = 0.0, down = 0.0;
    for (size_t i = 0; i <= degree; i++) {
        int64_t s = (int64_t)degree - 2 * (int64_t)i;
        all += poly[i];
        up += s >= out->s ? poly[i] : 0.0;
        down += s <= out->s ? poly[i] : 0.0;
    }
    out->p_up = up / all;
    out->p_down = down / all;
    out->p_two_sided = fmin(1.0, 2.0 * fmin(out->p_up, out->p_down)); /* the distribution is symmetric */
    out->kind = AP_TREND_EXACT;
}

static double time_at(const double *t, size_t i) {
    return t ? t[i] : (double)(i + 1);
}

static ap_status check_series(const double *t, const double *x, size_t n, size_t most, const char *what,
                              ap_error *err) {
    ap_status status = ap_sample_check(x, n, 2, what, err);
    if (status == AP_OK && t) {
        status = ap_sample_check(t, n, 2, what, err);
    }
    if (status == AP_OK && n > most) {
        status = ap_error_set(err, AP_E_LIMIT, "%s takes at most %zu values, not %zu", what, most, n);
    }
    return status;
}

static ap_status both_ties(tie_sums *values, tie_sums *times, const double *t, const double *x, size_t n,
                           ap_error *err) {
    ap_status status = sum_ties(values, x, n, err);
    *times = (tie_sums){.groups = n, .largest = 1};
    if (status == AP_OK && t) {
        status = sum_ties(times, t, n, err);
    }
    return status;
}

ap_status ap_trend_mann_kendall(ap_mann_kendall *out, const double *t, const double *x, size_t n, ap_error *err) {
    ap_stats_init();
    tie_sums values, times;
    ap_status status = check_series(t, x, n, MOST_TREND, "a Mann-Kendall test", err);
    if (status == AP_OK) {
        status = both_ties(&values, &times, t, x, n, err);
    }
    if (status == AP_OK && (values.largest == n || times.largest == n)) {
        status = ap_error_set(err, AP_E_DOMAIN, "a Mann-Kendall test needs values and times that differ");
    }
    if (status != AP_OK) {
        return status;
    }
    ap_mann_kendall found = {0};
    status = ap_concordance(&found.s, t, x, n, err);
    if (status != AP_OK) {
        return status;
    }
    found.variance = variance_of_s(&values, &times, n);
    double s = (double)found.s;
    found.z = found.s == 0 ? 0.0 : (s - (s > 0.0 ? 1.0 : -1.0)) / sqrt(found.variance);
    if (n <= MOST_EXACT && times.largest == 1) {
        exact_shares(&found, &values, n);
    } else {
        found.kind = AP_TREND_NORMAL;
        found.p_up = gsl_cdf_ugaussian_Q((s - 1.0) / sqrt(found.variance));
        found.p_down = gsl_cdf_ugaussian_P((s + 1.0) / sqrt(found.variance));
        found.p_two_sided = fmin(1.0, 2.0 * gsl_cdf_ugaussian_Q(fabs(found.z)));
    }
    *out = found;
    return AP_OK;
}

/* Value at a fractional rank counted from 1; false outside 1..n. */
static bool at_rank(double *out, double *x, size_t n, double rank) {
    bool within = rank >= 1.0 && rank <= (double)n;
    *out = within ? ap_select_rank(x, n, rank) : 0.0;
    return within;
}

static size_t fill_slopes(double *slopes, const double *t, const double *x, size_t n) {
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i + 1; j < n; j++) {
            double apart = time_at(t, j) - time_at(t, i);
            if (apart != 0.0) {
                slopes[count++] = (x[j] - x[i]) / apart;
            }
        }
    }
    return count;
}

/* Intercepts, with `work` of n places. */
static void add_intercepts(ap_theil_sen *found, double *work, const double *t, const double *x, size_t n) {
    for (size_t i = 0; i < n; i++) {
        work[i] = x[i] - found->slope * time_at(t, i);
    }
    found->intercept = ap_select_median(work, n);
    for (size_t i = 0; i < n; i++) {
        work[i] = time_at(t, i);
    }
    double middle_time = ap_select_median(work, n);
    memcpy(work, x, n * sizeof *work);
    found->intercept_of_medians = ap_select_median(work, n) - found->slope * middle_time;
}

ap_status ap_trend_theil_sen(ap_theil_sen *out, const double *t, const double *x, size_t n, double level,
                             ap_error *err) {
    ap_stats_init();
    tie_sums values, times;
    double *slopes = NULL;
    ap_status status = check_series(t, x, n, MOST_SLOPE, "a Theil-Sen slope", err);
    if (status == AP_OK) {
        status = ap_sample_check_level(level, "the level of an interval", err);
    }
    if (status == AP_OK) {
        status = both_ties(&values, &times, t, x, n, err);
    }
    if (status == AP_OK && times.largest == n) {
        status = ap_error_set(err, AP_E_DOMAIN, "a Theil-Sen slope needs times that differ");
    }
    if (status != AP_OK) {
        return status;
    }
    slopes = ap_sample_array(n * (n - 1) / 2 + n);
    if (!slopes) {
        return ap_sample_no_memory("a Theil-Sen slope", err);
    }
    ap_theil_sen found = {0};
    found.pairs = fill_slopes(slopes, t, x, n);
    status = ap_sample_check(slopes, found.pairs, 1, "a Theil-Sen slope", err); /* overflowed ones are refused */
    if (status == AP_OK) {
        found.slope = ap_select_median(slopes, found.pairs);
        double c = gsl_cdf_ugaussian_Qinv((1.0 - level) / 2.0) * sqrt(fmax(0.0, variance_of_s(&values, &times, n)));
        double pairs = (double)found.pairs;
        found.interval.level = level;
        found.has_interval = at_rank(&found.interval.low, slopes, found.pairs, (pairs - c) / 2.0) &&
                             at_rank(&found.interval.high, slopes, found.pairs, (pairs + c) / 2.0 + 1.0);
        if (!found.has_interval) {
            found.interval = (ap_interval){0.0, 0.0, level};
        }
        add_intercepts(&found, slopes, t, x, n);
        *out = found;
    }
    free(slopes);
    return status;
}
