#include "stats/rates.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include "stats/sample.h"

enum { MOST_EXACT = 1000000 };
static const double most_count = 1e9;

/* Outcomes whose probability agrees to 1e-7 count as equally likely: they are, but for rounding. */
static const double tie = 1.0 + 1e-7;

/* Gamma quantile from the tail named: Wilson & Hilferty's start (1931, PNAS 17:684-688), then Newton steps. The
 * library's own inverse gives up on shapes of a million. */
static double gamma_quantile(double tail, double shape, bool upper) {
    double z = upper ? gsl_cdf_ugaussian_Qinv(tail) : gsl_cdf_ugaussian_Pinv(tail);
    double root = 1.0 - 1.0 / (9.0 * shape) + z / (3.0 * sqrt(shape));
    if (shape < 1000.0) {
        return upper ? gsl_cdf_gamma_Qinv(tail, shape, 1.0) : gsl_cdf_gamma_Pinv(tail, shape, 1.0);
    }
    double x = shape * root * root * root;
    for (int i = 0; i < 20; i++) {
        double excess = upper ? tail - gsl_cdf_gamma_Q(x, shape, 1.0) : gsl_cdf_gamma_P(x, shape, 1.0) - tail;
        double step = excess / gsl_ran_gamma_pdf(x, shape, 1.0);
        x -= step;
        if (fabs(step) <= 1e-13 * x) {
            break;
        }
    }
    return x;
}

ap_status ap_rate_interval(ap_interval *out, uint64_t count, double level, ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check_level(level, "the level of an interval", err);
    if (status == AP_OK && (double)count > most_count) {
        status = ap_error_set(err, AP_E_DOMAIN, "an exact interval of a count stops at 1e9");
    }
    if (status != AP_OK) {
        return status;
    }
    double tail = (1.0 - level) / 2.0;
    double low = count == 0 ? 0.0 : gamma_quantile(tail, (double)count, false);
    double high = gamma_quantile(tail, (double)count + 1.0, true);
    if (!isfinite(low) || !isfinite(high)) {
        return ap_error_set(err, AP_E_DOMAIN, "no interval at level %g", level);
    }
    *out = (ap_interval){low, high, level};
    return AP_OK;
}

/* GSL's inverse gives up on some thousands of cases; its distribution function does not. */
static double beta_quantile(double tail, double a, double b, bool upper) {
    double x = upper ? gsl_cdf_beta_Qinv(tail, a, b) : gsl_cdf_beta_Pinv(tail, a, b);
    if (isfinite(x)) {
        return x;
    }
    double low = 0;
    double high = 1;
    while (high - low > 1e-15 * high) {
        double middle = low + (high - low) / 2;
        if (!(middle > low && middle < high)) {
            break;
        }
        bool below = upper ? gsl_cdf_beta_Q(middle, a, b) > tail : gsl_cdf_beta_P(middle, a, b) < tail;
        *(below ? &low : &high) = middle;
    }
    return low + (high - low) / 2;
}

/* Clopper and Pearson's; counts need not be whole. */
static ap_status beta_interval(ap_interval *out, double hits, double others, double level, ap_error *err) {
    double tail = (1.0 - level) / 2.0;
    double low = hits > 0 ? beta_quantile(tail, hits, others + 1.0, false) : 0.0;
    double high = others > 0 ? beta_quantile(tail, hits + 1.0, others, true) : 1.0;
    if (!isfinite(low) || !isfinite(high)) {
        return ap_error_set(err, AP_E_DOMAIN, "no interval at level %g", level);
    }
    *out = (ap_interval){low, high, level};
    return AP_OK;
}

ap_status ap_share_interval(ap_interval *out, uint64_t k, uint64_t n, double level, ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check_level(level, "the level of an interval", err);
    if (status == AP_OK && (n == 0 || k > n || (double)n > most_count)) {
        status =
            ap_error_set(err, AP_E_DOMAIN, "a share needs 1 to 1e9 cases and no more hits than cases, not %llu of %llu",
                         (unsigned long long)k, (unsigned long long)n);
    }
    if (status != AP_OK) {
        return status;
    }
    return beta_interval(out, (double)k, (double)(n - k), level, err);
}

ap_status ap_share_interval_clustered(ap_interval *out, const ap_cluster *clusters, size_t count, double level,
                                      ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check_level(level, "the level of an interval", err);
    double n = 0;
    double hits = 0;
    double full = 0;
    bool fits = true;
    for (size_t i = 0; i < count; i++) {
        n += clusters[i].of;
        hits += clusters[i].events;
        full += clusters[i].of > 0;
        fits = fits && clusters[i].events <= clusters[i].of;
    }
    if (status != AP_OK || full < 2 || !fits) {
        return status != AP_OK ? status
                               : ap_error_set(err, AP_E_DOMAIN,
                                              "an interval over clusters needs two of them and no more hits than "
                                              "cases, not %g of %g in %g",
                                              hits, n, full);
    }
    double share = hits / n;
    double squares = 0;
    for (size_t i = 0; i < count; i++) {
        double off = clusters[i].events - share * clusters[i].of;
        squares += off * off;
    }
    double cases = full;
    if (hits > 0 && hits < n) {
        double effect = full / (full - 1) * squares / (n * share * (1 - share));
        double tail = (1 - level) / 2;
        double t = gsl_cdf_tdist_Qinv(tail, n - 1) / gsl_cdf_tdist_Qinv(tail, full - 1);
        cases = effect > 0 ? fmin(n, n / effect * t * t) : n;
    }
    return beta_interval(out, share * cases, (1 - share) * cases, level, err);
}

/* P(exactly k); 0 outside of what can be. */
static double hypergeometric(uint64_t k, uint64_t first, uint64_t all, uint64_t hits) {
    bool can = k <= first && k <= hits && hits - k <= all - first;
    return can ? gsl_ran_hypergeometric_pdf((unsigned)k, (unsigned)first, (unsigned)(all - first), (unsigned)hits) : 0;
}

/* P(k + 1) / P(k). */
static double next_ratio(uint64_t k, uint64_t first, uint64_t all, uint64_t hits) {
    return (double)(first - k) * (double)(hits - k) / ((double)(k + 1) * (double)(all - first + k + 1 - hits));
}

double ap_hypergeometric_more(uint64_t k, uint64_t first, uint64_t all, uint64_t hits) {
    if (first > all || hits > all || all > UINT32_MAX) {
        return 0;
    }
    uint64_t least = first + hits > all ? first + hits - all : 0;
    uint64_t most = first < hits ? first : hits;
    if (k <= least) {
        return 1;
    }
    /* From the side that k lies on, so that the terms fall. */
    bool above = (double)k * (double)all > (double)first * (double)hits;
    uint64_t at = above ? k : k - 1;
    double term = hypergeometric(at, first, all, hits);
    double sum = 0;
    while (at >= least && at <= most && term > 1e-18 * sum) {
        sum += term;
        if (above) {
            term *= next_ratio(at, first, all, hits);
            at++;
        } else if (at == 0) {
            break;
        } else {
            at--;
            term /= next_ratio(at, first, all, hits);
        }
    }
    return fmin(1, above ? sum : 1 - sum);
}

uint64_t ap_hypergeometric_least(double level, uint64_t first, uint64_t all, uint64_t hits) {
    if (first > all || hits > all || all == 0) {
        return 0;
    }
    uint64_t most = first < hits ? first : hits;
    uint64_t k = (uint64_t)((double)first * (double)hits / (double)all) + 1;
    double p = ap_hypergeometric_more(k, first, all, hits);
    double term = hypergeometric(k, first, all, hits);
    while (k <= most && p > level) {
        p -= term;
        term *= next_ratio(k, first, all, hits);
        k++;
    }
    return k;
}

ap_status ap_binomial_test(double *p_more, double *p_two_sided, uint64_t k, uint64_t n, double p, ap_error *err) {
    ap_stats_init();
    if (n == 0 || k > n || n > MOST_EXACT || !(p >= 0.0 && p <= 1.0)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "an exact test needs 1 to %d cases, no more hits than cases and a share in 0..1, not "
                            "%llu of %llu and %g",
                            MOST_EXACT, (unsigned long long)k, (unsigned long long)n, p);
    }
    unsigned hits = (unsigned)k, cases = (unsigned)n;
    double seen = gsl_ran_binomial_pdf(hits, p, cases);
    double both = 0.0;
    for (unsigned i = 0; i <= cases; i++) {
        double here = gsl_ran_binomial_pdf(i, p, cases);
        both += here <= seen * tie ? here : 0.0;
    }
    *p_more = hits == 0 ? 1.0 : gsl_cdf_binomial_Q(hits - 1, p, cases);
    *p_two_sided = fmin(1.0, both);
    return AP_OK;
}

ap_status ap_rate_compare(ap_rate_ratio *out, uint64_t events_1, double exposure_1, uint64_t events_2,
                          double exposure_2, double level, ap_error *err) {
    ap_stats_init();
    if (!(exposure_1 > 0.0) || !(exposure_2 > 0.0) || !isfinite(exposure_1) || !isfinite(exposure_2)) {
        return ap_error_set(err, AP_E_DOMAIN, "two rates need exposures above 0, not %g and %g", exposure_1,
                            exposure_2);
    }
    if (events_1 > MOST_EXACT || events_2 > MOST_EXACT || events_1 + events_2 == 0 ||
        events_1 + events_2 > MOST_EXACT) {
        return ap_error_set(err, AP_E_DOMAIN, "two rates need 1 to %d events in all, not %llu and %llu", MOST_EXACT,
                            (unsigned long long)events_1, (unsigned long long)events_2);
    }
    ap_rate_ratio found = {0};
    ap_interval share = {0};
    uint64_t total = events_1 + events_2;
    double expected = exposure_1 / (exposure_1 + exposure_2);
    ap_status status = ap_binomial_test(&found.p_more, &found.p_two_sided, events_1, total, expected, err);
    if (status == AP_OK) {
        status = ap_share_interval(&share, events_1, total, level, err);
    }
    if (status != AP_OK) {
        return status;
    }
    found.p_fewer = gsl_cdf_binomial_P((unsigned)events_1, expected, (unsigned)total);
    double scale = exposure_2 / exposure_1;
    found.has_ratio = events_2 > 0;
    found.has_high = share.high < 1.0;
    found.ratio = found.has_ratio ? (double)events_1 / (double)events_2 * scale : 0.0;
    found.low = share.low < 1.0 ? share.low / (1.0 - share.low) * scale : 0.0;
    found.high = found.has_high ? share.high / (1.0 - share.high) * scale : 0.0;
    if (!isfinite(found.ratio) || !isfinite(found.low) || !isfinite(found.high)) {
        return ap_error_set(err, AP_E_DOMAIN, "the exposures %g and %g are too far apart to compare", exposure_1,
                            exposure_2);
    }
    *out = found;
    return AP_OK;
}

ap_status ap_fisher_test(ap_fisher *out, uint64_t a, uint64_t b, uint64_t c, uint64_t d, ap_error *err) {
    ap_stats_init();
    if (a > MOST_EXACT || b > MOST_EXACT || c > MOST_EXACT || d > MOST_EXACT || a + b + c + d > MOST_EXACT ||
        a + b == 0 || c + d == 0) {
        return ap_error_set(err, AP_E_DOMAIN, "an exact comparison of shares needs two groups and at most %d cases",
                            MOST_EXACT);
    }
    /* a hits of `first` cases, when `hits` of all are hits. */
    unsigned first = (unsigned)(a + b), second = (unsigned)(c + d), hits = (unsigned)(a + c);
    unsigned least = hits > second ? hits - second : 0;
    unsigned most = hits < first ? hits : first;
    double seen = gsl_ran_hypergeometric_pdf((unsigned)a, first, second, hits);
    double both = 0.0, more = 0.0, fewer = 0.0, all = 0.0;
    for (unsigned i = least; i <= most; i++) {
        double here = gsl_ran_hypergeometric_pdf(i, first, second, hits);
        all += here;
        both += here <= seen * tie ? here : 0.0;
        more += i >= a ? here : 0.0;
        fewer += i <= a ? here : 0.0;
    }
    /* Dividing by the sum takes out the common rounding of the log-factorials behind each term. */
    *out = (ap_fisher){fmin(1.0, both / all), fmin(1.0, more / all), fmin(1.0, fewer / all)};
    return AP_OK;
}

ap_status ap_chi_square_test(double *statistic, double *p, const uint64_t *count, const double *share, size_t cells,
                             ap_error *err) {
    ap_stats_init();
    double total = 0.0, shares = 0.0, sum = 0.0;
    for (size_t i = 0; i < cells; i++) {
        total += (double)count[i];
        shares += share[i];
    }
    if (cells < 2 || !(fabs(shares - 1.0) <= 1e-9)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a chi-square test needs two or more cells whose expected shares add to 1");
    }
    for (size_t i = 0; i < cells; i++) {
        double expected = total * share[i];
        if (!(expected >= 5.0)) {
            return ap_error_set(err, AP_E_DOMAIN, "a chi-square test needs 5 expected cases a cell, cell %zu has %.3g",
                                i + 1, expected);
        }
        double apart = (double)count[i] - expected;
        sum += apart * apart / expected;
    }
    *statistic = sum;
    *p = gsl_cdf_chisq_Q(sum, (double)(cells - 1));
    return AP_OK;
}

typedef struct ranked {
    double p;
    size_t at;
} ranked;

static int compare_ranked(const void *left, const void *right) {
    const ranked *a = left;
    const ranked *b = right;
    if (a->p != b->p) {
        return a->p < b->p ? -1 : 1;
    }
    return (a->at > b->at) - (a->at < b->at);
}

ap_status ap_false_discovery(double *adjusted, size_t *found, const double *p, size_t n, double q, ap_error *err) {
    ap_status status = ap_sample_check_level(q, "a false discovery rate", err);
    if (status == AP_OK) {
        status = ap_sample_check(p, n, 1, "a false discovery rate", err);
    }
    for (size_t i = 0; status == AP_OK && i < n; i++) {
        if (!(p[i] >= 0.0 && p[i] <= 1.0)) {
            status = ap_error_set(err, AP_E_DOMAIN, "p value %zu must lie in 0..1, not %g", i + 1, p[i]);
        }
    }
    if (status != AP_OK) {
        return status;
    }
    ranked *order = calloc(n + 1, sizeof *order);
    if (!order) {
        return ap_sample_no_memory("a false discovery rate", err);
    }
    for (size_t i = 0; i < n; i++) {
        order[i] = (ranked){p[i], i};
    }
    qsort(order, n, sizeof *order, compare_ranked);
    double least = 1.0;
    size_t count = 0;
    for (size_t rank = n; rank > 0; rank--) {
        least = fmin(least, order[rank - 1].p * (double)n / (double)rank);
        adjusted[order[rank - 1].at] = least;
        count += least <= q;
    }
    if (found) {
        *found = count;
    }
    free(order);
    return AP_OK;
}

static ap_interval wilson(double share, double n, double z) {
    double middle = share + z * z / (2 * n);
    double half = z * sqrt(share * (1 - share) / n + z * z / (4 * n * n));
    return (ap_interval){.low = (middle - half) / (1 + z * z / n), .high = (middle + half) / (1 + z * z / n)};
}

ap_status ap_share_difference(ap_interval *out, double share_1, double n_1, double share_2, double n_2, double level,
                              ap_error *err) {
    if (!(share_1 >= 0 && share_1 <= 1 && share_2 >= 0 && share_2 <= 1)) {
        return ap_error_set(err, AP_E_DOMAIN, "shares of %g and %g: they lie between 0 and 1", share_1, share_2);
    }
    if (!(n_1 > 0 && n_2 > 0 && level > 0 && level < 1)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "an interval of a difference needs picks on both sides and a level below 1");
    }
    double z = gsl_cdf_ugaussian_Pinv((1 + level) / 2);
    ap_interval one = wilson(share_1, n_1, z);
    ap_interval two = wilson(share_2, n_2, z);
    *out = (ap_interval){.low = share_1 - share_2 - hypot(share_1 - one.low, two.high - share_2),
                         .high = share_1 - share_2 + hypot(one.high - share_1, share_2 - two.low)};
    return AP_OK;
}
