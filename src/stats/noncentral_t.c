#include "stats/noncentral_t.h"

#include "stats/sample.h"

static const double most_delta = 20000.0;
static const double least_nu = 0.1;

/* ln of the density of ln s at x, relative to its top at x = 0: nu x - nu / 2 (e^2x - 1). */
static double log_density(double x, double nu) {
    return nu * (x - expm1(2.0 * x) / 2.0);
}

/* Where the density has fallen by e^-46 (1e-20) on the side of `sign`. */
static double far_end(double nu, double sign) {
    double low = 0.0, high = sign;
    while (log_density(high, nu) > -46.0) {
        low = high;
        high *= 2.0;
    }
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2.0;
        if (log_density(middle, nu) > -46.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return high;
}

static ap_status check_shape(double nu, double delta, ap_error *err) {
    if (!(nu >= least_nu) || !isfinite(nu) || !(fabs(delta) <= most_delta)) {
        return ap_error_set(
            err, AP_E_DOMAIN,
            "a noncentral t needs degrees of freedom of %g or more and a shift within +-%g, not %g and %g", least_nu,
            most_delta, nu, delta);
    }
    return AP_OK;
}

static void shares(double *lower, double *upper, double t, double nu, double delta) {
    double low = far_end(nu, -1.0);
    double high = far_end(nu, 1.0);
    /* A quarter of the narrowest feature: the density's width, or that of Phi's rise where it matters. */
    double step = 0.25 * fmin(0.5, fmin(1.0 / sqrt(2.0 * nu), 1.0 / (fabs(delta) + 8.0)));
    size_t count = (size_t)ceil((high - low) / step);
    step = (high - low) / (double)count;
    double below = 0.0, above = 0.0, total = 0.0;
    for (size_t i = 0; i <= count; i++) {
        double x = low + (double)i * step;
        double weight = exp(log_density(x, nu));
        double z = t * exp(x) - delta;
        below += weight * 0.5 * erfc(-z * M_SQRT1_2);
        above += weight * 0.5 * erfc(z * M_SQRT1_2);
        total += weight; /* the density's constant, by the same rule: no gamma function, no cancelling logarithms */
    }
    *lower = below / total;
    *upper = above / total;
}

ap_status ap_noncentral_t_share(double *lower, double *upper, double t, double nu, double delta, ap_error *err) {
    ap_status status = check_shape(nu, delta, err);
    if (status == AP_OK && !isfinite(t)) {
        status = ap_error_set(err, AP_E_DOMAIN, "a noncentral t probability needs a finite t");
    }
    if (status != AP_OK) {
        return status;
    }
    double below = 0.0, above = 0.0;
    shares(&below, &above, t, nu, delta);
    if (lower) {
        *lower = below;
    }
    if (upper) {
        *upper = above;
    }
    return AP_OK;
}

/* P(T <= t) - p, from the smaller tail so that it keeps its digits. */
static double excess(double t, double p, double nu, double delta) {
    double below = 0.0, above = 0.0;
    shares(&below, &above, t, nu, delta);
    return p <= 0.5 ? below - p : (1.0 - p) - above;
}

ap_status ap_noncentral_t_quantile(double *out, double p, double nu, double delta, ap_error *err) {
    ap_status status = check_shape(nu, delta, err);
    if (status == AP_OK) {
        status = ap_sample_check_level(p, "the probability of a quantile", err);
    }
    if (status != AP_OK) {
        return status;
    }
    double low = delta - 1.0, high = delta + 1.0, reach = 1.0;
    double f_low = excess(low, p, nu, delta), f_high = excess(high, p, nu, delta);
    while ((f_low > 0.0 || f_high < 0.0) && reach < 1e15) {
        reach *= 2.0;
        if (f_low > 0.0) {
            high = low;
            f_high = f_low;
            low = delta - reach;
            f_low = excess(low, p, nu, delta);
        } else {
            low = high;
            f_low = f_high;
            high = delta + reach;
            f_high = excess(high, p, nu, delta);
        }
    }
    if (f_low > 0.0 || f_high < 0.0) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "the noncentral t quantile at %g with %g degrees of freedom is out of reach", p, nu);
    }
    /* Regula falsi with halving of a stuck end (Illinois; Dowell & Jarratt 1971), bisection every fourth step. */
    int side = 0;
    for (int i = 0; i < 200 && high - low > 1e-12 * fmax(1e-3, fabs(high)); i++) {
        double middle =
            i % 4 == 3 || f_high == f_low ? (low + high) / 2.0 : (low * f_high - high * f_low) / (f_high - f_low);
        double f = excess(middle, p, nu, delta);
        if (f == 0.0) {
            low = high = middle;
        } else if (f < 0.0) {
            low = middle;
            f_low = f;
            f_high = side < 0 ? f_high / 2.0 : f_high;
            side = -1;
        } else {
            high = middle;
            f_high = f;
            f_low = side > 0 ? f_low / 2.0 : f_low;
            side = 1;
        }
    }
    *out = (low + high) / 2.0;
    return AP_OK;
}
