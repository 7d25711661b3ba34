#include "stats/runs.h"

#include <gsl/gsl_cdf.h>

#include "stats/sample.h"

enum { MOST_LENGTH = 10000 };

ap_status ap_runs_share(double *out, double limit, double bias, double sd, ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check_positive(limit, "a ratio limit", err);
    if (status == AP_OK) {
        status = ap_sample_check_positive(sd, "a standard deviation", err);
    }
    if (status == AP_OK && !isfinite(bias)) {
        status = ap_error_set(err, AP_E_DOMAIN, "a bias must be a finite number");
    }
    if (status == AP_OK) {
        *out = gsl_cdf_ugaussian_Q((log(limit) - bias) / sd);
    }
    return status;
}

static ap_status check_run(double p, unsigned length, ap_error *err) {
    if (!(p >= 0.0 && p <= 1.0)) {
        return ap_error_set(err, AP_E_DOMAIN, "the probability of one value must lie in 0..1, not %g", p);
    }
    if (length == 0 || length > MOST_LENGTH) {
        return ap_error_set(err, AP_E_DOMAIN, "a run has 1 to %d values, not %u", MOST_LENGTH, length);
    }
    return AP_OK;
}

ap_status ap_runs_arl(double *out, double p, unsigned length, ap_error *err) {
    ap_status status = check_run(p, length, err);
    if (status != AP_OK) {
        return status;
    }
    /* sum of p^-j, j = 1..m: the closed form without its 0/0 at p = 1 */
    double sum = 0.0, term = 1.0;
    for (unsigned j = 0; j < length && sum <= 1e300; j++) {
        term /= p;
        sum += term;
    }
    if (!(sum <= 1e300)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a run of %u practically never comes by chance: once in more than 10^300 values", length);
    }
    *out = sum;
    return AP_OK;
}

ap_status ap_runs_chance(double *out, double p, unsigned length, size_t n, ap_error *err) {
    ap_status status = check_run(p, length, err);
    if (status == AP_OK && n > 10000000) {
        status =
            ap_error_set(err, AP_E_LIMIT, "a chance of runs is worked out for at most 10 million values, not %zu", n);
    }
    if (status != AP_OK) {
        return status;
    }
    if (n < length) {
        *out = 0.0;
        return AP_OK;
    }
    /* The run's first completion at t = m: p^m; at t > m: a miss before it, and no run within the t - m - 1 before that.
     * Adding these up keeps small chances exact; `none` is a ring of P(no run within t) for the last m + 1 values of t. */
    size_t ring = (size_t)length + 1;
    double *none = ap_sample_array(ring);
    if (!none) {
        return ap_sample_no_memory("a chance of runs", err);
    }
    double run = pow(p, (double)length);
    double chance = 0.0;
    for (size_t i = 0; i < ring; i++) {
        none[i] = 1.0;
    }
    for (size_t t = length; t <= n; t++) {
        /* none[t % ring] still holds P(no run within t - m - 1). */
        chance += t == length ? run : (1.0 - p) * run * none[t % ring];
        none[t % ring] = fmax(0.0, 1.0 - chance);
    }
    free(none);
    *out = fmin(1.0, chance);
    return AP_OK;
}

ap_status ap_runs_length_for(unsigned *out, double p, size_t n, double alpha, unsigned most, ap_error *err) {
    ap_status status = ap_sample_check_level(alpha, "a false alarm rate", err);
    for (unsigned length = 1; status == AP_OK && length <= most; length++) {
        double chance = 1.0;
        status = ap_runs_chance(&chance, p, length, n, err);
        if (status == AP_OK && chance <= alpha) {
            *out = length;
            return AP_OK;
        }
    }
    if (status != AP_OK) {
        return status;
    }
    return ap_error_set(err, AP_E_DOMAIN, "no run of up to %u keeps the chance within %zu values at %g", most, n,
                        alpha);
}

ap_status ap_runs_window(unsigned *out, double p, unsigned r, double alpha, ap_error *err) {
    ap_stats_init();
    enum { MOST_WINDOW = 1000000000 };
    ap_status status = ap_sample_check_level(p, "the probability of an event", err);
    if (status == AP_OK) {
        status = ap_sample_check_level(alpha, "a false alarm rate", err);
    }
    if (status == AP_OK && (r == 0 || r > MOST_LENGTH)) {
        status = ap_error_set(err, AP_E_DOMAIN, "a cluster has 1 to %d events, not %u", MOST_LENGTH, r);
    }
    if (status != AP_OK) {
        return status;
    }
    unsigned low = r - 1; /* fewer values than events: probability 0 */
    unsigned high = r;
    while (high < MOST_WINDOW && gsl_cdf_binomial_Q(r - 1, p, high) <= alpha) {
        low = high;
        high = high > MOST_WINDOW / 2 ? MOST_WINDOW : high * 2;
    }
    if (high >= MOST_WINDOW && gsl_cdf_binomial_Q(r - 1, p, high) <= alpha) {
        return ap_error_set(err, AP_E_DOMAIN, "at probability %g a cluster of %u fits in any window", p, r);
    }
    while (high - low > 1) {
        unsigned middle = low + (high - low) / 2;
        if (gsl_cdf_binomial_Q(r - 1, p, middle) <= alpha) {
            low = middle;
        } else {
            high = middle;
        }
    }
    *out = low >= r ? low : 0;
    return AP_OK;
}

ap_status ap_runs_gap(int *out, double p, double alpha, ap_error *err) {
    ap_status status = ap_sample_check_level(p, "the probability of an event", err);
    if (status == AP_OK) {
        status = ap_sample_check_level(alpha, "a false alarm rate", err);
    }
    if (status != AP_OK) {
        return status;
    }
    /* P(gap <= g) = 1 - (1 - p)^(g + 1) <= alpha; a tie counts as reached. */
    double most = floor(log1p(-alpha) / log1p(-p) * (1.0 + 1e-12)) - 1.0;
    if (most > 1e9) {
        return ap_error_set(err, AP_E_DOMAIN, "a gap rule at probability %g has no practical limit", p);
    }
    *out = (int)most;
    return AP_OK;
}
