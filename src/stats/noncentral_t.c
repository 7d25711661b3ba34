#include "stats/noncentral_t.h"

#include <gsl/gsl_cdf.h>

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
    for (int i = 0; i < 30; i++) { /* where to end need not be known closely */
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

/* The nodes of the trapezoid rule in ln s. */
typedef struct nodes {
    double nu, delta;
    double low, step;
    size_t count;
    double *s, *weight; /* NULL: worked out at each use */
} nodes;

static nodes place_nodes(double nu, double delta) {
    nodes at = {.nu = nu, .delta = delta, .low = far_end(nu, -1.0)};
    double high = far_end(nu, 1.0);
    /* A quarter of the narrowest feature: the density's width, or that of Phi's rise where it matters. */
    double step = 0.25 * fmin(0.5, fmin(1.0 / sqrt(2.0 * nu), 1.0 / (fabs(delta) + 8.0)));
    at.count = (size_t)ceil((high - at.low) / step) + 1;
    at.step = (high - at.low) / (double)(at.count - 1);
    return at;
}

static void work_out_node(double *s, double *weight, const nodes *at, size_t i) {
    double x = at->low + (double)i * at->step;
    *s = exp(x);
    *weight = exp(log_density(x, at->nu));
}

/* Kept for a root's many evaluations, unless they are very many. */
static void keep_nodes(nodes *at) {
    enum { MOST_KEPT = 1 << 20 };
    if (at->count > MOST_KEPT) {
        return;
    }
    at->s = ap_sample_array(at->count);
    at->weight = ap_sample_array(at->count);
    if (!at->s || !at->weight) {
        free(at->s);
        free(at->weight);
        at->s = at->weight = NULL;
        return;
    }
    for (size_t i = 0; i < at->count; i++) {
        work_out_node(&at->s[i], &at->weight[i], at, i);
    }
}

/* P(T <= t) and P(T > t), one of them when `which` says so (-1 lower, 1 upper, 0 both), and the density. */
static void shares(double *lower, double *upper, double *density, double t, const nodes *at, int which) {
    double below = 0.0, above = 0.0, slope = 0.0, total = 0.0;
    for (size_t i = 0; i < at->count; i++) {
        double s = 0.0, weight = 0.0;
        if (at->s) {
            s = at->s[i];
            weight = at->weight[i];
        } else {
            work_out_node(&s, &weight, at, i);
        }
        double z = t * s - at->delta;
        below += which <= 0 ? weight * 0.5 * erfc(-z * M_SQRT1_2) : 0.0;
        above += which >= 0 ? weight * 0.5 * erfc(z * M_SQRT1_2) : 0.0;
        slope += weight * s * exp(-0.5 * z * z);
        total += weight; /* the density's constant, by the same rule: no gamma function, no cancelling logarithms */
    }
    *lower = below / total;
    *upper = above / total;
    *density = slope / total * (M_SQRT1_2 * M_2_SQRTPI / 2.0);
}

ap_status ap_noncentral_t_share(double *lower, double *upper, double t, double nu, double delta, ap_error *err) {
    ap_status status = check_shape(nu, delta, err);
    if (status == AP_OK && !isfinite(t)) {
        status = ap_error_set(err, AP_E_DOMAIN, "a noncentral t probability needs a finite t");
    }
    if (status != AP_OK) {
        return status;
    }
    double below = 0.0, above = 0.0, density = 0.0;
    const nodes at = place_nodes(nu, delta);
    shares(&below, &above, &density, t, &at, 0);
    if (lower) {
        *lower = below;
    }
    if (upper) {
        *upper = above;
    }
    return AP_OK;
}

/* P(T <= t) - p, from the smaller tail so that it keeps its digits, and the density. */
static double excess(double *density, double t, double p, const nodes *at) {
    double below = 0.0, above = 0.0;
    shares(&below, &above, density, t, at, p <= 0.5 ? -1 : 1);
    return p <= 0.5 ? below - p : (1.0 - p) - above;
}

/* T takes s as normal about 1: near enough to begin with (Jennett & Welch 1939). */
static double start_at(double p, double nu, double delta) {
    double z = gsl_cdf_ugaussian_Pinv(p), lost = 1.0 - z * z / (2.0 * nu);
    double under = lost + delta * delta / (2.0 * nu);
    return lost > 0.1 && under > 0.0 ? (delta + z * sqrt(under)) / lost : delta;
}

/* The root by Newton's steps, by halving what is known to hold it where a step leaves that or does not help enough. */
static bool find_root(double *out, double p, const nodes *at) {
    double low = -INFINITY, high = INFINITY, t = start_at(p, at->nu, at->delta), reach = 1.0, last = INFINITY;
    for (int i = 0; i < 400; i++) {
        double density = 0.0;
        double off = excess(&density, t, p, at);
        *(off > 0.0 ? &high : &low) = t;
        double step = -off / density;
        if (off == 0.0 || high - low <= 1e-12 * fmax(1e-3, fabs(t))) {
            break;
        }
        if (fabs(step) <= 2e-13 * fmax(1e-3, fabs(t))) {
            t += step;
            break;
        }
        bool helps = isfinite(step) && fabs(step) < 0.5 * last && t + step > low && t + step < high;
        last = helps ? fabs(step) : isfinite(high - low) ? high - low : INFINITY;
        if (helps) {
            t += step;
        } else if (isfinite(high - low)) {
            t = (low + high) / 2.0;
        } else {
            t += off > 0.0 ? -reach : reach;
            reach *= 2.0;
        }
        if (!(reach < 1e15)) {
            return false;
        }
    }
    *out = t;
    return true;
}

ap_status ap_noncentral_t_quantile(double *out, double p, double nu, double delta, ap_error *err) {
    ap_status status = check_shape(nu, delta, err);
    if (status == AP_OK) {
        status = ap_sample_check_level(p, "the probability of a quantile", err);
    }
    if (status != AP_OK) {
        return status;
    }
    nodes at = place_nodes(nu, delta);
    keep_nodes(&at);
    bool found = find_root(out, p, &at);
    free(at.s);
    free(at.weight);
    return found ? AP_OK
                 : ap_error_set(err, AP_E_DOMAIN,
                                "the noncentral t quantile at %g with %g degrees of freedom is out of reach", p, nu);
}
