#include "stats/meta.h"

#include <gsl/gsl_cdf.h>

#include "stats/sample.h"

typedef struct groups {
    const double *y;
    const double *v;
    size_t k;
} groups;

static double pooled_mean(const groups *set, double tau2, double *weight) {
    double sum = 0.0, mean = 0.0;
    for (size_t i = 0; i < set->k; i++) {
        double w = 1.0 / (set->v[i] + tau2);
        sum += w;
        mean += w * (set->y[i] - set->y[0]);
    }
    *weight = sum;
    return set->y[0] + mean / sum;
}

static double q_at(const groups *set, double tau2) {
    double weight = 0.0, q = 0.0;
    double mean = pooled_mean(set, tau2, &weight);
    for (size_t i = 0; i < set->k; i++) {
        q += (set->y[i] - mean) * (set->y[i] - mean) / (set->v[i] + tau2);
    }
    return q;
}

/* The tau2 >= 0 at which Q has come down to `want` (Q falls as tau2 grows); 0 when it starts below. */
static double tau2_for_q(const groups *set, double want) {
    if (q_at(set, 0.0) <= want) {
        return 0.0;
    }
    double low = 0.0, high = set->v[0];
    while (q_at(set, high) > want && high < 1e300) {
        low = high;
        high *= 2.0;
    }
    for (int i = 0; i < 400 && high - low > 1e-14 * high; i++) {
        double middle = low + (high - low) / 2.0;
        if (q_at(set, middle) > want) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low + (high - low) / 2.0;
}

static double tau2_dersimonian_laird(const groups *set) {
    double sum = 0.0, squares = 0.0;
    for (size_t i = 0; i < set->k; i++) {
        double w = 1.0 / set->v[i];
        sum += w;
        squares += w * w;
    }
    double spread = sum - squares / sum;
    return fmax(0.0, (q_at(set, 0.0) - (double)(set->k - 1)) / spread);
}

/* Restricted log-likelihood less its constant; *score and *information are its derivative and the expected curvature. */
static double reml_at(const groups *set, double tau2, double *score, double *information) {
    double w1 = 0.0, w2 = 0.0, w3 = 0.0, r1 = 0.0, r2 = 0.0, logs = 0.0;
    double mean = pooled_mean(set, tau2, &w1);
    for (size_t i = 0; i < set->k; i++) {
        double w = 1.0 / (set->v[i] + tau2);
        double away = set->y[i] - mean;
        w2 += w * w;
        w3 += w * w * w;
        r1 += w * away * away;
        r2 += w * w * away * away;
        logs += log(w);
    }
    *score = 0.5 * (r2 - w1 + w2 / w1);
    *information = 0.5 * (w2 - 2.0 * w3 / w1 + w2 * w2 / (w1 * w1));
    return 0.5 * (logs - log(w1) - r1);
}

static double tau2_reml(const groups *set, double start) {
    double tau2 = start, score = 0.0, information = 0.0;
    double height = reml_at(set, tau2, &score, &information);
    for (int i = 0; i < 500; i++) {
        double step = information > 0.0 ? score / information : 0.0;
        double next = fmax(0.0, tau2 + step), next_score = 0.0, next_information = 0.0;
        double next_height = reml_at(set, next, &next_score, &next_information);
        for (int half = 0; half < 60 && next_height < height; half++) {
            next = tau2 + (next - tau2) / 2.0;
            next_height = reml_at(set, next, &next_score, &next_information);
        }
        double moved = fabs(next - tau2);
        tau2 = next;
        height = next_height;
        score = next_score;
        information = next_information;
        if (moved <= 1e-13 * (tau2 + set->v[0])) {
            break;
        }
    }
    /* The boundary may be higher than the hill the steps found. */
    double at_zero = reml_at(set, 0.0, &score, &information);
    return at_zero >= height ? 0.0 : tau2;
}

static ap_status check_groups(const double *y, const double *v, size_t k, ap_error *err) {
    ap_status status = ap_sample_check(y, k, 2, "pooling group means", err);
    if (status == AP_OK) {
        status = ap_sample_check(v, k, 2, "pooling group means", err);
    }
    for (size_t i = 0; status == AP_OK && i < k; i++) {
        if (!(v[i] > 0.0) || !isfinite(1.0 / v[i])) {
            status =
                ap_error_set(err, AP_E_DOMAIN, "pooling group means: the variance of group %zu must be above 0, not %g",
                             i + 1, v[i]);
        }
    }
    return status;
}

ap_status ap_meta_pool(ap_meta *out, const double *y, const double *v, size_t k, ap_meta_method method, double level,
                       ap_error *err) {
    ap_stats_init();
    ap_status status = check_groups(y, v, k, err);
    if (status == AP_OK) {
        status = ap_sample_check_level(level, "the level of an interval", err);
    }
    if (status != AP_OK) {
        return status;
    }
    const groups set = {y, v, k};
    double df = (double)(k - 1), weight = 0.0, tail = (1.0 - level) / 2.0;
    ap_meta found = {.k = k, .q = q_at(&set, 0.0)};
    if (method == AP_META_DERSIMONIAN_LAIRD) {
        found.tau2 = tau2_dersimonian_laird(&set);
    } else if (method == AP_META_PAULE_MANDEL) {
        found.tau2 = tau2_for_q(&set, df);
    } else if (method == AP_META_REML) {
        found.tau2 = tau2_reml(&set, tau2_for_q(&set, df));
    }
    found.mean = pooled_mean(&set, found.tau2, &weight);
    found.se = sqrt(1.0 / weight);
    double w1 = 0.0, w2 = 0.0;
    for (size_t i = 0; i < k; i++) {
        w1 += 1.0 / v[i];
        w2 += 1.0 / (v[i] * v[i]);
    }
    double typical = df * w1 / (w1 * w1 - w2); /* Higgins & Thompson 2002: the groups' typical variance */
    found.i2 =
        method == AP_META_FIXED ? (found.q > df ? (found.q - df) / found.q : 0.0) : found.tau2 / (found.tau2 + typical);
    found.spread = (ap_interval){tau2_for_q(&set, gsl_cdf_chisq_Qinv(tail, df)),
                                 tau2_for_q(&set, gsl_cdf_chisq_Pinv(tail, df)), level};
    double half = gsl_cdf_ugaussian_Qinv(tail) * sqrt(found.tau2 + found.se * found.se);
    found.next = (ap_interval){found.mean - half, found.mean + half, level};
    if (!isfinite(found.q) || !isfinite(half) || !isfinite(found.mean) || !isfinite(found.i2) ||
        !isfinite(found.spread.high)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "pooling group means: the values are too large or the variances too small");
    }
    *out = found;
    return AP_OK;
}

ap_status ap_meta_shrink(double *mean, double *se, const ap_meta *pooled, const double *y, const double *v, size_t k,
                         ap_error *err) {
    ap_status status = check_groups(y, v, k, err);
    if (status != AP_OK) {
        return status;
    }
    for (size_t i = 0; i < k; i++) {
        double share = pooled->tau2 / (pooled->tau2 + v[i]);
        mean[i] = pooled->mean + share * (y[i] - pooled->mean);
        se[i] = sqrt(share * v[i] + (1.0 - share) * (1.0 - share) * pooled->se * pooled->se);
    }
    return AP_OK;
}
