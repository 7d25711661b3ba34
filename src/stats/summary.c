#include "stats/summary.h"

#include <gsl/gsl_cdf.h>

#include "stats/sample.h"

static double median_sorted(const double *sorted, size_t n) {
    double high = sorted[n / 2];
    return n % 2 == 1 ? high : sorted[n / 2 - 1] + (high - sorted[n / 2 - 1]) / 2.0;
}

ap_status ap_stats_median(double *out, const double *x, size_t n, ap_error *err) {
    double *sorted = NULL;
    ap_status status = ap_sample_check(x, n, 1, "a median", err);
    if (status == AP_OK) {
        status = ap_sample_sort(&sorted, x, n, err);
    }
    if (status == AP_OK) {
        *out = median_sorted(sorted, n);
    }
    free(sorted);
    return status;
}

ap_status ap_stats_quantile_sorted(double *out, const double *sorted, size_t n, double p, ap_error *err) {
    if (n == 0 || !sorted) {
        return ap_error_set(err, AP_E_DOMAIN, "a quantile needs at least 1 value, there are 0");
    }
    if (!(p >= 0.0 && p <= 1.0)) {
        return ap_error_set(err, AP_E_DOMAIN, "a quantile's share must lie between 0 and 1, not %g", p);
    }
    double place = (double)(n - 1) * p;
    size_t low = (size_t)place;
    if (low + 1 >= n) {
        *out = sorted[n - 1];
        return AP_OK;
    }
    *out = sorted[low] + (place - (double)low) * (sorted[low + 1] - sorted[low]);
    return AP_OK;
}

ap_status ap_stats_quantile(double *out, const double *x, size_t n, double p, ap_error *err) {
    double *sorted = NULL;
    ap_status status = ap_sample_check(x, n, 1, "a quantile", err);
    if (status == AP_OK) {
        status = ap_sample_sort(&sorted, x, n, err);
    }
    if (status == AP_OK) {
        status = ap_stats_quantile_sorted(out, sorted, n, p, err);
    }
    free(sorted);
    return status;
}

/* Median and MAD with one buffer. */
static ap_status median_and_mad(double *median, double *mad, const double *x, size_t n, const char *what,
                                ap_error *err) {
    double *work = NULL;
    ap_status status = ap_sample_check(x, n, 1, what, err);
    if (status == AP_OK) {
        status = ap_sample_sort(&work, x, n, err);
    }
    if (status == AP_OK) {
        *median = median_sorted(work, n);
        for (size_t i = 0; i < n; i++) {
            work[i] = fabs(work[i] - *median);
        }
        ap_sample_sort_in_place(work, n);
        *mad = AP_MAD_TO_SD * median_sorted(work, n);
    }
    free(work);
    return status;
}

ap_status ap_stats_mad(double *out, const double *x, size_t n, ap_error *err) {
    double median = 0.0, mad = 0.0;
    ap_status status = median_and_mad(&median, &mad, x, n, "a median absolute deviation", err);
    if (status == AP_OK) {
        *out = mad;
    }
    return status;
}

ap_status ap_stats_huber(ap_location *out, const double *x, size_t n, ap_error *err) {
    const double bend = 1.5; /* Venables & Ripley 2002 section 5.5 */
    enum { MIN_VALUES = 4, MOST_STEPS = 1000 };
    ap_location found = {0};
    ap_status status = median_and_mad(&found.value, &found.mad, x, n, "a robust mean", err);
    if (status != AP_OK) {
        return status;
    }
    if (n < MIN_VALUES) {
        found.kind = AP_LOCATION_MEDIAN_TOO_FEW;
    } else if (!(found.mad > 0.0)) {
        found.kind = AP_LOCATION_MEDIAN_NO_MAD;
    } else {
        double step = found.mad;
        while (fabs(step) > 1e-12 * found.mad && found.steps < MOST_STEPS) {
            double sum = 0.0; /* of the bent residuals: the next mean is value + sum / n */
            for (size_t i = 0; i < n; i++) {
                sum += fmax(-bend * found.mad, fmin(bend * found.mad, x[i] - found.value));
            }
            step = sum / (double)n;
            found.value += step;
            found.steps++;
        }
    }
    *out = found;
    return AP_OK;
}

ap_status ap_stats_median_interval(ap_interval *out, const double *x, size_t n, double level, ap_error *err) {
    ap_stats_init();
    double *sorted = NULL;
    ap_status status = ap_sample_check_level(level, "the level of an interval", err);
    if (status == AP_OK) {
        status = ap_sample_check(x, n, 1, "an interval of a median", err);
    }
    if (status == AP_OK && n > UINT32_MAX) {
        status = ap_error_set(err, AP_E_LIMIT, "an interval of a median takes at most %u values", UINT32_MAX);
    }
    if (status != AP_OK) {
        return status;
    }
    /* Largest r with 2 P(Bin <= r - 1) <= 1 - level, by halving: the binomial sum grows with r. */
    unsigned int count = (unsigned int)n;
    size_t low = 0, high = (n + 1) / 2;
    while (low < high) {
        size_t r = (low + high + 1) / 2;
        if (2.0 * gsl_cdf_binomial_P((unsigned int)(r - 1), 0.5, count) <= (1.0 - level) * (1.0 + 1e-12)) {
            low = r;
        } else {
            high = r - 1;
        }
    }
    if (low == 0) {
        return ap_error_set(err, AP_E_DOMAIN, "%zu value%s too few for an interval of the median at level %g", n,
                            n == 1 ? " is" : "s are", level);
    }
    status = ap_sample_sort(&sorted, x, n, err);
    if (status == AP_OK) {
        out->low = sorted[low - 1];
        out->high = sorted[n - low];
        out->level = 1.0 - 2.0 * gsl_cdf_binomial_P((unsigned int)(low - 1), 0.5, count);
    }
    free(sorted);
    return status;
}

ap_status ap_stats_t_interval(ap_interval *out, double estimate, double se, double df, double level, ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check_level(level, "the level of an interval", err);
    if (status != AP_OK) {
        return status;
    }
    if (!isfinite(estimate) || !isfinite(se) || se < 0.0 || !(df > 0.0) || !isfinite(df)) {
        return ap_error_set(
            err, AP_E_DOMAIN,
            "a t interval needs a finite estimate, a standard error of 0 or more and degrees of freedom "
            "above 0, not %g, %g and %g",
            estimate, se, df);
    }
    double half = gsl_cdf_tdist_Qinv((1.0 - level) / 2.0, df) * se;
    if (!isfinite(half) || !isfinite(estimate - half) || !isfinite(estimate + half)) {
        return ap_error_set(err, AP_E_DOMAIN, "a t interval at level %g with %g degrees of freedom has no finite end",
                            level, df);
    }
    *out = (ap_interval){estimate - half, estimate + half, level};
    return AP_OK;
}

static ap_status interval_of_moments(ap_interval *out, double *mean, double *sd, const ap_moments *moments,
                                     double level, ap_error *err) {
    ap_status status = ap_moments_mean(mean, moments, err);
    if (status == AP_OK) {
        status = ap_moments_sd(sd, moments, err);
    }
    if (status == AP_OK) {
        double n = (double)moments->n;
        status = ap_stats_t_interval(out, *mean, *sd / sqrt(n), n - 1.0, level, err);
    }
    return status;
}

ap_status ap_stats_mean_interval(ap_interval *out, const double *x, size_t n, double level, ap_error *err) {
    ap_moments moments;
    double mean = 0.0, sd = 0.0;
    ap_moments_clear(&moments);
    ap_status status = ap_sample_check(x, n, 2, "an interval of a mean", err);
    if (status == AP_OK) {
        status = ap_moments_add_all(&moments, x, n, err);
    }
    return status == AP_OK ? interval_of_moments(out, &mean, &sd, &moments, level, err) : status;
}

typedef struct member {
    uint32_t cluster;
    double value;
} member;

/* By cluster, then value, so that the sums do not depend on the order of the input. */
static int compare_members(const void *left, const void *right) {
    const member *a = left;
    const member *b = right;
    if (a->cluster != b->cluster) {
        return a->cluster < b->cluster ? -1 : 1;
    }
    return (a->value > b->value) - (a->value < b->value);
}

static ap_status add_cluster_means(ap_moments *means, const member *members, size_t n, ap_error *err) {
    size_t at = 0;
    while (at < n) {
        ap_moments one;
        double mean = 0.0;
        uint32_t cluster = members[at].cluster;
        ap_moments_clear(&one);
        for (; at < n && members[at].cluster == cluster; at++) {
            ap_status status = ap_moments_add(&one, members[at].value, err);
            if (status != AP_OK) {
                return status;
            }
        }
        ap_status status = ap_moments_mean(&mean, &one, err);
        if (status == AP_OK) {
            status = ap_moments_add(means, mean, err);
        }
        if (status != AP_OK) {
            return status;
        }
    }
    return AP_OK;
}

ap_status ap_stats_cluster_mean(ap_cluster_mean *out, const double *x, const uint32_t *cluster, size_t n, double level,
                                ap_error *err) {
    ap_status status = ap_sample_check(x, n, 2, "an interval of a mean over clusters", err);
    if (status != AP_OK) {
        return status;
    }
    member *members = calloc(n, sizeof *members);
    if (!members) {
        return ap_sample_no_memory("a mean over clusters", err);
    }
    for (size_t i = 0; i < n; i++) {
        members[i] = (member){cluster[i], x[i]};
    }
    qsort(members, n, sizeof *members, compare_members);
    ap_moments means;
    ap_cluster_mean found = {0};
    ap_moments_clear(&means);
    status = add_cluster_means(&means, members, n, err);
    found.clusters = means.n;
    if (status == AP_OK && means.n < 2) {
        status =
            ap_error_set(err, AP_E_DOMAIN, "an interval of a mean over clusters needs at least 2 clusters, there is 1");
    }
    if (status == AP_OK) {
        status = interval_of_moments(&found.interval, &found.mean, &found.sd, &means, level, err);
    }
    free(members);
    if (status == AP_OK) {
        *out = found;
    }
    return status;
}
