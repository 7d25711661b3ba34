#include "stats/control.h"

#include <gsl/gsl_cdf.h>

#include "stats/moments.h"
#include "stats/sample.h"

/* A tie within 1e-9 is not beyond. */
static bool is_beyond(double value, double limit) {
    return value > limit * (1.0 + 1e-9);
}

static ap_status check_ewma_rule(const ap_ewma_rule *rule, ap_error *err) {
    if (!isfinite(rule->target) || !(rule->sd > 0.0) || !isfinite(rule->sd) || !(rule->width > 0.0) ||
        !isfinite(rule->width) || !(rule->lambda > 0.0 && rule->lambda <= 1.0)) {
        return ap_error_set(
            err, AP_E_DOMAIN,
            "an EWMA needs a finite target, an sd and a width above 0 and a weight in 0..1, not %g, %g, %g and %g",
            rule->target, rule->sd, rule->width, rule->lambda);
    }
    return AP_OK;
}

ap_status ap_ewma_run(ap_ewma_point *out, const double *x, size_t n, const ap_ewma_rule *rule, ap_error *err) {
    ap_status status = check_ewma_rule(rule, err);
    if (status == AP_OK) {
        status = ap_sample_check(x, n, 1, "an EWMA", err);
    }
    if (status != AP_OK) {
        return status;
    }
    double value = rule->target;
    double kept = 1.0; /* (1 - lambda)^(2 i) */
    for (size_t i = 0; i < n; i++) {
        kept *= (1.0 - rule->lambda) * (1.0 - rule->lambda);
        value = rule->lambda * x[i] + (1.0 - rule->lambda) * value;
        double share = rule->lambda / (2.0 - rule->lambda) * (rule->fixed_limits ? 1.0 : 1.0 - kept);
        double half = rule->width * rule->sd * sqrt(share);
        double away = value - rule->target;
        int side = is_beyond(away, half) ? 1 : is_beyond(-away, half) ? -1 : 0;
        out[i] = (ap_ewma_point){value, rule->target - half, rule->target + half, side};
    }
    return AP_OK;
}

static ap_status check_cusum_rule(const ap_cusum_rule *rule, ap_error *err) {
    if (!isfinite(rule->target) || !(rule->sd > 0.0) || !isfinite(rule->sd) || !(rule->k >= 0.0) ||
        !isfinite(rule->k) || !(rule->h > 0.0) || !isfinite(rule->h) || !(rule->clip >= 0.0) || !isfinite(rule->clip)) {
        return ap_error_set(
            err, AP_E_DOMAIN,
            "a CUSUM needs a finite target, sd and h above 0, k and clip of 0 or more, not %g, %g, %g, %g and %g",
            rule->target, rule->sd, rule->h, rule->k, rule->clip);
    }
    return AP_OK;
}

static void cusum_advance(ap_cusum_point *point, double z, double k, double h) {
    double plus = fmax(0.0, point->plus + z - k);
    double minus = fmax(0.0, point->minus - z - k);
    point->plus_since = plus > 0.0 ? point->plus_since + 1 : 0;
    point->minus_since = minus > 0.0 ? point->minus_since + 1 : 0;
    point->plus = plus;
    point->minus = minus;
    point->side = is_beyond(plus, h) ? 1 : is_beyond(minus, h) ? -1 : 0;
}

ap_status ap_cusum_step(ap_cusum_point *point, double x, const ap_cusum_rule *rule, ap_error *err) {
    ap_status status = check_cusum_rule(rule, err);
    if (status != AP_OK) {
        return status;
    }
    double z = (x - rule->target) / rule->sd;
    if (!isfinite(z)) {
        return ap_error_set(err, AP_E_DOMAIN, "a CUSUM cannot take in a value that is not a finite number");
    }
    if (rule->clip > 0.0) {
        z = fmax(-rule->clip, fmin(rule->clip, z));
    }
    cusum_advance(point, z, rule->k, rule->h);
    return AP_OK;
}

ap_status ap_cusum_run(ap_cusum_point *out, ptrdiff_t *first_plus, ptrdiff_t *first_minus, const double *x, size_t n,
                       const ap_cusum_rule *rule, ap_error *err) {
    ap_status status = ap_sample_check(x, n, 1, "a CUSUM", err);
    if (status != AP_OK) {
        return status;
    }
    ap_cusum_point point = {0};
    ptrdiff_t plus = AP_NO_SIGNAL, minus = AP_NO_SIGNAL;
    for (size_t i = 0; i < n; i++) {
        status = ap_cusum_step(&point, x[i], rule, err);
        if (status != AP_OK) {
            return status;
        }
        out[i] = point;
        if (plus == AP_NO_SIGNAL && is_beyond(point.plus, rule->h)) {
            plus = (ptrdiff_t)i;
        }
        if (minus == AP_NO_SIGNAL && is_beyond(point.minus, rule->h)) {
            minus = (ptrdiff_t)i;
        }
    }
    *first_plus = plus;
    *first_minus = minus;
    return AP_OK;
}

/* Normal score of a t value; the far tail is taken on its own side so that it does not round to 1. */
static double normal_score(double t, double df) {
    enum { MOST = 8 }; /* a double's normal tail ends near 8.2 on the upper side */
    double tail = gsl_cdf_tdist_Q(fabs(t), df);
    double score = tail > 0.0 ? gsl_cdf_ugaussian_Qinv(tail) : (double)MOST;
    score = fmin((double)MOST, score);
    return t < 0.0 ? -score : score;
}

ap_status ap_cusum_self_start(double *out, const double *x, size_t n, ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check(x, n, 1, "a self-starting CUSUM", err);
    ap_moments before;
    ap_moments_clear(&before);
    for (size_t i = 0; i < n && status == AP_OK; i++) {
        double score = 0.0;
        if (i >= 2) {
            double mean = 0.0, sd = 0.0;
            status = ap_moments_mean(&mean, &before, err);
            if (status == AP_OK) {
                status = ap_moments_sd(&sd, &before, err);
            }
            if (status == AP_OK && sd > 0.0) {
                double seen = (double)i;
                score = normal_score((x[i] - mean) / sd * sqrt(seen / (seen + 1.0)), seen - 1.0);
            } else if (status == AP_OK && x[i] != mean) {
                score = x[i] > mean ? 8.0 : -8.0;
            }
        }
        if (status == AP_OK) {
            status = ap_moments_add(&before, x[i], err);
            out[i] = score;
        }
    }
    return status;
}

ap_status ap_individuals_limits(ap_limits *out, const double *x, size_t n, ap_error *err) {
    const double d2 = 1.128; /* e-Handbook 6.3.2.2 */
    ap_status status = ap_sample_check(x, n, 2, "an individuals figure", err);
    ap_moments moments;
    double mean = 0.0, range = 0.0;
    ap_moments_clear(&moments);
    if (status == AP_OK) {
        status = ap_moments_add_all(&moments, x, n, err);
    }
    if (status == AP_OK) {
        status = ap_moments_mean(&mean, &moments, err);
    }
    if (status != AP_OK) {
        return status;
    }
    for (size_t i = 1; i < n; i++) {
        range += fabs(x[i] - x[i - 1]) / (double)(n - 1);
    }
    double half = 3.0 * range / d2;
    if (!(range > 0.0) || !isfinite(half)) {
        return ap_error_set(err, AP_E_DOMAIN, "an individuals figure needs values that differ");
    }
    *out = (ap_limits){mean, mean - half, mean + half, range};
    return AP_OK;
}

ap_status ap_between_events_score(double *out, double time, ap_error *err) {
    if (!isfinite(time) || time < 0.0) {
        return ap_error_set(err, AP_E_DOMAIN, "a time between events must be 0 or more, not %g", time);
    }
    *out = pow(time, 1.0 / 3.6);
    return AP_OK;
}

/* How many of the last `of` values up to i are beyond `limit` on `side`. */
static unsigned beyond_of(const double *z, size_t i, unsigned of, double limit, int side) {
    unsigned count = 0;
    for (size_t k = 0; k < of && k <= i; k++) {
        count += is_beyond(side * z[i - k], limit);
    }
    return count;
}

ap_status ap_nelson_marks(ap_nelson_mark *out, const double *z, size_t n, unsigned run, ap_error *err) {
    ap_status status = run ? ap_sample_check(z, n, 1, "Nelson's rules", err)
                           : ap_error_set(err, AP_E_DOMAIN, "a run has at least one value");
    size_t row = 0;
    for (size_t i = 0; i < n && status == AP_OK; i++) {
        int side = z[i] > 0.0 ? 1 : z[i] < 0.0 ? -1 : 0;
        bool goes_on = i > 0 && side != 0 && side * z[i - 1] > 0.0;
        row = side == 0 ? 0 : goes_on ? row + 1 : 1;
        unsigned rules = is_beyond(side * z[i], 3.0) ? AP_NELSON_BEYOND : 0u;
        rules |= row >= run ? AP_NELSON_RUN : 0u;
        rules |= is_beyond(side * z[i], 2.0) && beyond_of(z, i, 3, 2.0, side) >= 2 ? AP_NELSON_TWO_OF_3 : 0u;
        rules |= is_beyond(side * z[i], 1.0) && beyond_of(z, i, 5, 1.0, side) >= 4 ? AP_NELSON_FOUR_OF_5 : 0u;
        out[i] = (ap_nelson_mark){(uint8_t)rules, (int8_t)(rules ? side : 0)};
    }
    return status;
}

ap_status ap_u_limits(ap_limits *out, double events, double total_exposure, double exposure, ap_error *err) {
    if (!isfinite(events) || events < 0.0 || !(total_exposure > 0.0) || !isfinite(total_exposure) ||
        !(exposure > 0.0) || !isfinite(exposure)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a u figure needs a count of 0 or more and exposures above 0, not %g, %g and %g", events,
                            total_exposure, exposure);
    }
    double rate = events / total_exposure;
    double expected = rate * exposure;
    if (!(expected >= 5.0)) { /* methods: only where 5 or more are expected */
        return ap_error_set(err, AP_E_DOMAIN, "a u figure needs 5 expected events in a group, here %.3g", expected);
    }
    double half = 3.0 * sqrt(rate / exposure);
    *out = (ap_limits){rate, fmax(0.0, rate - half), rate + half, 0.0};
    return AP_OK;
}
