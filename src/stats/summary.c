#include "stats/summary.h"

#include <gsl/gsl_cdf.h>

#include "stats/sample.h"
#include "stats/select.h"

/* *copy receives the values, checked, to be put in another order. Heap. */
static ap_status take_copy(double **copy, const double *x, size_t n, const char *what, ap_error *err) {
    ap_status status = ap_sample_check(x, n, 1, what, err);
    if (status != AP_OK) {
        return status;
    }
    *copy = ap_sample_array(n);
    if (!*copy) {
        return ap_sample_no_memory(what, err);
    }
    memcpy(*copy, x, n * sizeof *x);
    return AP_OK;
}

ap_status ap_stats_median(double *out, const double *x, size_t n, ap_error *err) {
    double *work = NULL;
    ap_status status = take_copy(&work, x, n, "a median", err);
    if (status == AP_OK) {
        *out = ap_select_median(work, n);
    }
    free(work);
    return status;
}

ap_status ap_stats_middle(double *low, double *high, const double *x, size_t n, ap_error *err) {
    double *work = NULL;
    ap_status status = take_copy(&work, x, n, "a median", err);
    if (status == AP_OK) {
        ap_select_middle(low, high, work, n);
    }
    free(work);
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
    ap_status status = take_copy(&work, x, n, what, err);
    if (status == AP_OK) {
        *median = ap_select_median(work, n);
        for (size_t i = 0; i < n; i++) {
            work[i] = fabs(work[i] - *median);
        }
        *mad = AP_MAD_TO_SD * ap_select_median(work, n);
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

static int compare_numbers(const void *left, const void *right) {
    uint32_t a = *(const uint32_t *)left;
    uint32_t b = *(const uint32_t *)right;
    return (a > b) - (a < b);
}

/* Clusters by place, ascending: looked up by number where the numbers lie close together, else searched. */
typedef struct cluster_places {
    uint32_t lowest;
    uint32_t *by_number; /* from the lowest; NULL: listed */
    uint32_t *listed;    /* ascending */
    size_t count;
} cluster_places;

static bool list_places(cluster_places *out, const uint32_t *cluster, size_t n) {
    uint32_t *listed = calloc(n + 1, sizeof *listed);
    if (!listed) {
        return false;
    }
    memcpy(listed, cluster, n * sizeof *listed);
    qsort(listed, n, sizeof *listed, compare_numbers);
    for (size_t i = 0; i < n; i++) {
        if (i == 0 || listed[i] != listed[i - 1]) {
            listed[out->count++] = listed[i];
        }
    }
    out->listed = listed;
    return true;
}

static bool find_places(cluster_places *out, const uint32_t *cluster, size_t n) {
    uint32_t low = cluster[0], high = cluster[0];
    for (size_t i = 1; i < n; i++) {
        low = cluster[i] < low ? cluster[i] : low;
        high = cluster[i] > high ? cluster[i] : high;
    }
    *out = (cluster_places){.lowest = low};
    size_t numbers = (size_t)(high - low) + 1;
    if (numbers > 8 * n + 64) {
        return list_places(out, cluster, n);
    }
    uint32_t *place = calloc(numbers, sizeof *place);
    if (!place) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        place[cluster[i] - low] = 1;
    }
    for (size_t i = 0; i < numbers; i++) {
        uint32_t there = place[i];
        place[i] = (uint32_t)out->count;
        out->count += there;
    }
    out->by_number = place;
    return true;
}

static size_t place_of(const cluster_places *places, uint32_t cluster) {
    if (places->by_number) {
        return places->by_number[cluster - places->lowest];
    }
    const uint32_t *at = bsearch(&cluster, places->listed, places->count, sizeof *at, compare_numbers);
    return (size_t)(at - places->listed);
}

typedef struct cluster_sum {
    double sum;
    double low; /* what rounding took from it: the order of the values does not matter */
    size_t n;
} cluster_sum;

static void sum_clusters(double *means, cluster_sum *sum, const cluster_places *places, const double *x,
                         const uint32_t *cluster, size_t n) {
    for (size_t i = 0; i < n; i++) {
        cluster_sum *to = &sum[place_of(places, cluster[i])];
        double total = to->sum + x[i], gained = total - to->sum; /* Knuth's two-sum */
        to->low += (to->sum - (total - gained)) + (x[i] - gained);
        to->sum = total;
        to->n++;
    }
    for (size_t c = 0; c < places->count; c++) {
        means[c] = (sum[c].sum + sum[c].low) / (double)sum[c].n;
    }
}

ap_status ap_stats_cluster_mean(ap_cluster_mean *out, const double *x, const uint32_t *cluster, size_t n, double level,
                                ap_error *err) {
    cluster_places places = {0};
    cluster_sum *sum = NULL;
    double *means = NULL;
    ap_moments moments;
    ap_cluster_mean found = {0};
    ap_moments_clear(&moments);
    ap_status status = ap_sample_check(x, n, 2, "an interval of a mean over clusters", err);
    if (status != AP_OK) {
        return status;
    }
    if (find_places(&places, cluster, n)) {
        sum = calloc(places.count + 1, sizeof *sum);
        means = ap_sample_array(places.count);
    }
    if (!sum || !means) {
        status = ap_sample_no_memory("a mean over clusters", err);
        goto done;
    }
    found.clusters = places.count;
    sum_clusters(means, sum, &places, x, cluster, n);
    status = ap_moments_add_all(&moments, means, found.clusters, err);
    if (status == AP_OK && found.clusters < 2) {
        status =
            ap_error_set(err, AP_E_DOMAIN, "an interval of a mean over clusters needs at least 2 clusters, there is 1");
    }
    if (status == AP_OK) {
        status = interval_of_moments(&found.interval, &found.mean, &found.sd, &moments, level, err);
    }
    if (status == AP_OK) {
        *out = found;
    }
done:
    free(places.by_number);
    free(places.listed);
    free(sum);
    free(means);
    return status;
}
