#include "stats/tolerance.h"

#include <gsl/gsl_cdf.h>

#include "stats/moments.h"
#include "stats/noncentral_t.h"
#include "stats/sample.h"

static ap_status check_weight(double m, double nu, ap_error *err) {
    if (!(m > 0.0) || !isfinite(m) || !(nu > 0.0) || !isfinite(nu)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a bound needs an effective count and degrees of freedom above 0, not %g and %g", m, nu);
    }
    return AP_OK;
}

ap_status ap_tolerance_factor(double *out, double content, double confidence, double m, double nu, ap_error *err) {
    ap_stats_init();
    double quantile = 0.0;
    ap_status status = ap_sample_check_level(content, "the content of a tolerance bound", err);
    if (status == AP_OK) {
        status = ap_sample_check_level(confidence, "the confidence of a tolerance bound", err);
    }
    if (status == AP_OK) {
        status = check_weight(m, nu, err);
    }
    if (status == AP_OK) {
        double delta = gsl_cdf_ugaussian_Pinv(content) * sqrt(m);
        status = ap_noncentral_t_quantile(&quantile, confidence, nu, delta, err);
    }
    if (status == AP_OK) {
        *out = quantile / sqrt(m);
    }
    return status;
}

ap_status ap_tolerance_df(double *out, double content, double mean_variance, double mean_df, double scale2,
                          double scale_df, ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check_level(content, "the content of a tolerance bound", err);
    if (status == AP_OK) {
        status = ap_sample_check_positive(mean_variance, "the variance of the mean", err);
    }
    if (status == AP_OK) {
        status = ap_sample_check_positive(scale2, "the variance of the scale", err);
    }
    if (status == AP_OK) {
        status = check_weight(mean_df, scale_df, err);
    }
    if (status != AP_OK) {
        return status;
    }
    double z = gsl_cdf_ugaussian_Pinv(content);
    double of_scale = z * z * scale2 / (2.0 * scale_df);
    double nu = (mean_variance + of_scale) / (mean_variance / mean_df + of_scale / scale_df);
    if (!isfinite(nu)) {
        return ap_error_set(err, AP_E_DOMAIN, "a tolerance bound cannot weigh variances of %g and %g", mean_variance,
                            scale2);
    }
    *out = nu;
    return AP_OK;
}

ap_status ap_tolerance_factor_sample(double *out, double content, double confidence, size_t n, ap_error *err) {
    if (n < 2) {
        return ap_error_set(err, AP_E_DOMAIN, "a tolerance bound needs at least 2 values, there %s %zu",
                            n == 1 ? "is" : "are", n);
    }
    return ap_tolerance_factor(out, content, confidence, (double)n, (double)n - 1.0, err);
}

static ap_status sample_scale(double *mean, double *sd, const double *x, size_t n, const char *what, ap_error *err) {
    ap_moments moments;
    ap_moments_clear(&moments);
    ap_status status = ap_sample_check(x, n, 2, what, err);
    if (status == AP_OK) {
        status = ap_moments_add_all(&moments, x, n, err);
    }
    if (status == AP_OK) {
        status = ap_moments_mean(mean, &moments, err);
    }
    if (status == AP_OK) {
        status = ap_moments_sd(sd, &moments, err);
    }
    if (status == AP_OK && !(*sd > 0.0)) {
        status = ap_error_set(err, AP_E_DOMAIN, "%s needs values that differ", what);
    }
    return status;
}

ap_status ap_tolerance_upper(double *out, const double *x, size_t n, double content, double confidence, ap_error *err) {
    double mean = 0.0, sd = 0.0, k = 0.0;
    ap_status status = sample_scale(&mean, &sd, x, n, "a tolerance bound", err);
    if (status == AP_OK) {
        status = ap_tolerance_factor_sample(&k, content, confidence, n, err);
    }
    if (status == AP_OK) {
        *out = mean + k * sd;
    }
    return status;
}

ap_status ap_prediction_factor(double *out, double level, double m, double nu, ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check_level(level, "the level of a prediction bound", err);
    if (status == AP_OK) {
        status = check_weight(m, nu, err);
    }
    if (status != AP_OK) {
        return status;
    }
    double factor =
        (level < 0.5 ? gsl_cdf_tdist_Pinv(level, nu) : gsl_cdf_tdist_Qinv(1.0 - level, nu)) * sqrt(1.0 + 1.0 / m);
    if (!isfinite(factor)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a prediction bound at level %g with %g degrees of freedom has no finite value", level, nu);
    }
    *out = factor;
    return AP_OK;
}

ap_status ap_prediction_upper(double *out, const double *x, size_t n, double level, ap_error *err) {
    double mean = 0.0, sd = 0.0, factor = 0.0;
    ap_status status = sample_scale(&mean, &sd, x, n, "a prediction bound", err);
    if (status == AP_OK) {
        status = ap_prediction_factor(&factor, level, (double)n, (double)n - 1.0, err);
    }
    if (status == AP_OK) {
        *out = mean + factor * sd;
    }
    return status;
}

/* P(Bin(n, content) <= n - from_top): at least from_top of the values lie above the content's quantile. */
static double attained(size_t n, size_t from_top, double content) {
    return gsl_cdf_binomial_P((unsigned)(n - from_top), content, (unsigned)n);
}

ap_status ap_nonparametric_count(size_t *out, double content, double confidence, size_t from_top, ap_error *err) {
    ap_stats_init();
    enum { MOST = 100000000 };
    ap_status status = ap_sample_check_level(content, "the content of a tolerance bound", err);
    if (status == AP_OK) {
        status = ap_sample_check_level(confidence, "the confidence of a tolerance bound", err);
    }
    if (status == AP_OK && (from_top == 0 || from_top > MOST / 2)) {
        status = ap_error_set(err, AP_E_DOMAIN, "the place from the top is 1 or more, not %zu", from_top);
    }
    if (status != AP_OK) {
        return status;
    }
    size_t low = from_top - 1, high = from_top;
    while (attained(high, from_top, content) < confidence) {
        low = high;
        high *= 2;
        if (high > MOST) {
            return ap_error_set(err, AP_E_DOMAIN, "no practical number of values covers %g with confidence %g", content,
                                confidence);
        }
    }
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (attained(middle, from_top, content) < confidence) {
            low = middle;
        } else {
            high = middle;
        }
    }
    *out = high;
    return AP_OK;
}

ap_status ap_nonparametric_content(double *out, size_t n, size_t from_top, double confidence, ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check_level(confidence, "the confidence of a tolerance bound", err);
    if (status == AP_OK && (from_top == 0 || from_top > n || n > UINT32_MAX)) {
        status = ap_error_set(err, AP_E_DOMAIN, "place %zu from the top does not exist among %zu values", from_top, n);
    }
    if (status == AP_OK) {
        *out = gsl_cdf_beta_Pinv(1.0 - confidence, (double)(n - from_top + 1), (double)from_top);
    }
    return status;
}

ap_status ap_nonparametric_upper(ap_nonparametric *out, const double *x, size_t n, double content, double confidence,
                                 ap_error *err) {
    size_t least = 0;
    double *sorted = NULL;
    ap_status status = ap_sample_check(x, n, 1, "a bound without a shape", err);
    if (status == AP_OK) {
        status = ap_nonparametric_count(&least, content, confidence, 1, err);
    }
    if (status == AP_OK && n < least) {
        status =
            ap_error_set(err, AP_E_DOMAIN, "the largest of %zu covers %g with confidence %g only from %zu values on", n,
                         content, confidence, least);
    }
    if (status == AP_OK && n > UINT32_MAX) {
        status = ap_error_set(err, AP_E_LIMIT, "a bound without a shape takes at most %u values", UINT32_MAX);
    }
    if (status == AP_OK) {
        status = ap_sample_sort(&sorted, x, n, err);
    }
    if (status != AP_OK) {
        return status;
    }
    size_t low = 1, high = n + 1; /* attained falls as from_top grows */
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (attained(n, middle, content) >= confidence) {
            low = middle;
        } else {
            high = middle;
        }
    }
    *out = (ap_nonparametric){sorted[n - low], low, attained(n, low, content)};
    free(sorted);
    return AP_OK;
}
