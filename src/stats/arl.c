#include "stats/arl.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>

#include "stats/sample.h"

/* Both schemes are one equation: L(u) = 1 + L(rest) P(back to rest | u) + integral of L(y) density(y | u) over the range
 * where the scheme goes on. Nodes turn it into a linear system; a smooth kernel makes that converge very fast. */

enum { MOST_NODES = 700, MARKOV_CELLS = 600 };
static const double most_run_length = 1e12;

static ap_status too_long(ap_error *err) {
    return ap_error_set(err, AP_E_DOMAIN, "the average run length is beyond what can be worked out (1e12)");
}

/* Solves (I - Q) L = 1 in place of `q`, which holds Q. */
static ap_status solve_lengths(gsl_matrix *q, gsl_vector *lengths, ap_error *err) {
    size_t n = q->size1;
    gsl_permutation *order = gsl_permutation_alloc(n);
    gsl_vector *ones = gsl_vector_alloc(n);
    ap_status status = AP_OK;
    int sign = 0;
    if (!order || !ones) {
        status = ap_sample_no_memory("an average run length", err);
        goto done;
    }
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < n; j++) {
            gsl_matrix_set(q, i, j, (i == j ? 1.0 : 0.0) - gsl_matrix_get(q, i, j));
        }
    }
    gsl_vector_set_all(ones, 1.0);
    if (gsl_linalg_LU_decomp(q, order, &sign) != 0 || gsl_linalg_LU_solve(q, order, ones, lengths) != 0) {
        status = too_long(err);
    }
done:
    gsl_permutation_free(order);
    gsl_vector_free(ones);
    return status;
}

static ap_status check_length(double length, ap_error *err) {
    return isfinite(length) && length >= 1.0 - 1e-9 && length <= most_run_length ? AP_OK : too_long(err);
}

/* Nodes over an interval `wide` kernel widths long. */
static size_t node_count(double wide) {
    return (size_t)fmin((double)MOST_NODES, 30.0 + ceil(5.0 * wide));
}

typedef struct nodes {
    size_t n;
    double *at;
    double *weight;
} nodes;

static void nodes_release(nodes *set) {
    free(set->at);
    free(set->weight);
    *set = (nodes){0};
}

static ap_status nodes_init(nodes *set, size_t n, double low, double high, ap_error *err) {
    *set = (nodes){n, ap_sample_array(n), ap_sample_array(n)};
    gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(n);
    if (!set->at || !set->weight || !table) {
        gsl_integration_glfixed_table_free(table);
        nodes_release(set);
        return ap_sample_no_memory("an average run length", err);
    }
    for (size_t i = 0; i < n; i++) {
        gsl_integration_glfixed_point(low, high, i, &set->at[i], &set->weight[i], table);
    }
    gsl_integration_glfixed_table_free(table);
    return AP_OK;
}

/* Not clipped. lengths: at rest and at each node; the answer is interpolated by the equation itself. */
static ap_status cusum_by_nodes(double *out, double k, double h, double start, double shift, double ratio,
                                ap_error *err) {
    nodes set = {0};
    ap_status status = nodes_init(&set, node_count(h / ratio), 0.0, h, err);
    if (status != AP_OK) {
        return status;
    }
    size_t n = set.n + 1; /* state 0 is the sum at 0 */
    gsl_matrix *q = gsl_matrix_alloc(n, n);
    gsl_vector *lengths = gsl_vector_alloc(n);
    if (!q || !lengths) {
        status = ap_sample_no_memory("an average run length", err);
        goto done;
    }
    for (size_t i = 0; i < n; i++) {
        double from = i == 0 ? 0.0 : set.at[i - 1];
        gsl_matrix_set(q, i, 0, gsl_cdf_ugaussian_P((k - from - shift) / ratio));
        for (size_t j = 1; j < n; j++) {
            gsl_matrix_set(
                q, i, j, set.weight[j - 1] * gsl_ran_ugaussian_pdf((set.at[j - 1] + k - from - shift) / ratio) / ratio);
        }
    }
    status = solve_lengths(q, lengths, err);
    if (status == AP_OK) {
        double length = 1.0 + gsl_vector_get(lengths, 0) * gsl_cdf_ugaussian_P((k - start - shift) / ratio);
        for (size_t j = 1; j < n; j++) {
            length += gsl_vector_get(lengths, j) * set.weight[j - 1] *
                      gsl_ran_ugaussian_pdf((set.at[j - 1] + k - start - shift) / ratio) / ratio;
        }
        status = check_length(length, err);
        *out = length;
    }
done:
    gsl_matrix_free(q);
    gsl_vector_free(lengths);
    nodes_release(&set);
    return status;
}

/* P(clipped value <= z). */
static double clipped_share(double z, double clip, double shift, double ratio) {
    return z < -clip ? 0.0 : z >= clip ? 1.0 : gsl_cdf_ugaussian_P((z - shift) / ratio);
}

/* Clipped: Brook & Evans' cells, width w = 2h / (2N - 1), the first one around 0, the last one ending at h. */
static ap_status cusum_by_cells(double *out, double k, double h, double clip, double start, double shift, double ratio,
                                ap_error *err) {
    size_t n = MARKOV_CELLS;
    double w = 2.0 * h / (2.0 * (double)n - 1.0);
    gsl_matrix *q = gsl_matrix_alloc(n, n);
    gsl_vector *lengths = gsl_vector_alloc(n);
    ap_status status = AP_OK;
    if (!q || !lengths) {
        status = ap_sample_no_memory("an average run length", err);
        goto done;
    }
    for (size_t i = 0; i < n; i++) {
        double below = 0.0;
        for (size_t j = 0; j < n; j++) {
            double edge = ((double)j + 0.5) * w - (double)i * w + k;
            double share = clipped_share(edge, clip, shift, ratio);
            gsl_matrix_set(q, i, j, share - below);
            below = share;
        }
    }
    status = solve_lengths(q, lengths, err);
    if (status == AP_OK) {
        size_t at = (size_t)fmin((double)(n - 1), floor(start / w + 0.5));
        double length = gsl_vector_get(lengths, at);
        status = check_length(length, err);
        *out = length;
    }
done:
    gsl_matrix_free(q);
    gsl_vector_free(lengths);
    return status;
}

ap_status ap_cusum_arl(double *out, double k, double h, double clip, double start, double shift, double ratio,
                       ap_error *err) {
    ap_stats_init();
    if (!(k >= 0.0 && h > 0.0 && clip >= 0.0 && start >= 0.0 && start <= h && ratio > 0.0) ||
        !isfinite(k + h + clip + shift + ratio)) {
        return ap_error_set(
            err, AP_E_DOMAIN,
            "a CUSUM run length needs k and clip of 0 or more, h and the sd above 0 and a start in 0..h, not %g, %g, "
            "%g, %g and %g",
            k, clip, h, ratio, start);
    }
    if (h / ratio > 60.0) {
        return too_long(err);
    }
    if (clip > 0.0 && clip <= k) {
        return ap_error_set(err, AP_E_DOMAIN, "a CUSUM clipped at %g with allowance %g can never signal", clip, k);
    }
    double length = 0.0;
    ap_status status = clip > 0.0 ? cusum_by_cells(&length, k, h, clip, start, shift, ratio, err)
                                  : cusum_by_nodes(&length, k, h, start, shift, ratio, err);
    if (status == AP_OK) {
        *out = length;
    }
    return status;
}

ap_status ap_cusum_arl_two_sided(double *out, double k, double h, double start, double shift, ap_error *err) {
    double up = 0.0, down = 0.0, up_rest = 0.0, down_rest = 0.0;
    ap_status status = ap_cusum_arl(&up_rest, k, h, 0.0, 0.0, shift, 1.0, err);
    if (status == AP_OK) {
        status = ap_cusum_arl(&down_rest, k, h, 0.0, 0.0, -shift, 1.0, NULL);
        if (status != AP_OK) {
            /* The other side never signals in practice: the one that does has the whole run length. */
            return ap_cusum_arl(out, k, h, 0.0, start, shift, 1.0, err);
        }
    }
    if (status == AP_OK) {
        status = ap_cusum_arl(&up, k, h, 0.0, start, shift, 1.0, err);
    }
    if (status == AP_OK) {
        status = ap_cusum_arl(&down, k, h, 0.0, start, -shift, 1.0, err);
    }
    if (status == AP_OK) {
        *out = (up * down_rest + up_rest * down - up_rest * down_rest) / (up_rest + down_rest);
    }
    return status;
}

ap_status ap_ewma_arl(double *out, double lambda, double width, double shift, ap_error *err) {
    ap_stats_init();
    if (!(lambda >= 0.01 && lambda <= 1.0 && width > 0.0) || !isfinite(width + shift)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "an EWMA run length needs a weight in 0.01..1 and a width above 0, not %g and %g", lambda,
                            width);
    }
    double limit = width * sqrt(lambda / (2.0 - lambda));
    if (2.0 * limit / lambda > 60.0) {
        return too_long(err);
    }
    nodes set = {0};
    ap_status status = nodes_init(&set, node_count(2.0 * limit / lambda), -limit, limit, err);
    if (status != AP_OK) {
        return status;
    }
    size_t n = set.n;
    gsl_matrix *q = gsl_matrix_alloc(n, n);
    gsl_vector *lengths = gsl_vector_alloc(n);
    if (!q || !lengths) {
        status = ap_sample_no_memory("an average run length", err);
        goto done;
    }
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < n; j++) {
            double z = (set.at[j] - (1.0 - lambda) * set.at[i]) / lambda - shift;
            gsl_matrix_set(q, i, j, set.weight[j] * gsl_ran_ugaussian_pdf(z) / lambda);
        }
    }
    status = solve_lengths(q, lengths, err);
    if (status == AP_OK) {
        double length = 1.0;
        for (size_t j = 0; j < n; j++) {
            length +=
                gsl_vector_get(lengths, j) * set.weight[j] * gsl_ran_ugaussian_pdf(set.at[j] / lambda - shift) / lambda;
        }
        status = check_length(length, err);
        if (status == AP_OK) {
            *out = length;
        }
    }
done:
    gsl_matrix_free(q);
    gsl_vector_free(lengths);
    nodes_release(&set);
    return status;
}

/* One of the schemes as a function of its limit. */
typedef struct scheme {
    bool ewma;
    bool two_sided;
    double parameter; /* k or lambda */
} scheme;

static ap_status scheme_arl(double *out, const scheme *kind, double limit, ap_error *err) {
    if (kind->ewma) {
        return ap_ewma_arl(out, kind->parameter, limit, 0.0, err);
    }
    return kind->two_sided ? ap_cusum_arl_two_sided(out, kind->parameter, limit, 0.0, 0.0, err)
                           : ap_cusum_arl(out, kind->parameter, limit, 0.0, 0.0, 0.0, 1.0, err);
}

/* Bracket, then the secant on ln ARL (nearly straight in the limit) kept inside the bracket. */
static ap_status limit_for(double *out, const scheme *kind, double arl0, ap_error *err) {
    if (!(arl0 > 1.0 && arl0 <= 1e9)) {
        return ap_error_set(err, AP_E_DOMAIN, "a wanted run length must lie between 1 and 1e9, not %g", arl0);
    }
    double low = 1e-3, high = 1.0, length = 0.0;
    ap_status status = scheme_arl(&length, kind, low, err);
    if (status == AP_OK && length > arl0) {
        return ap_error_set(err, AP_E_DOMAIN, "no limit gives a run length as short as %g", arl0);
    }
    double f_low = log(length / arl0), f_high = -1.0;
    while (status == AP_OK && f_high < 0.0) {
        status = scheme_arl(&length, kind, high, err);
        f_high = log(length / arl0);
        if (status == AP_OK && f_high < 0.0) {
            low = high;
            f_low = f_high;
            high *= 1.5;
        }
    }
    for (int step = 0; status == AP_OK && step < 100 && high - low > 1e-10 * high; step++) {
        double middle = step % 3 == 2 ? (low + high) / 2.0 : low - f_low * (high - low) / (f_high - f_low);
        status = scheme_arl(&length, kind, middle, err);
        double f = log(length / arl0);
        if (fabs(f) < 1e-12) {
            low = high = middle;
        } else if (f < 0.0) {
            low = middle;
            f_low = f;
        } else {
            high = middle;
            f_high = f;
        }
    }
    if (status == AP_OK) {
        *out = (low + high) / 2.0;
    }
    return status;
}

ap_status ap_cusum_limit_for(double *out, double k, double arl0, bool two_sided, ap_error *err) {
    return limit_for(out, &(scheme){false, two_sided, k}, arl0, err);
}

ap_status ap_ewma_width_for(double *out, double lambda, double arl0, ap_error *err) {
    return limit_for(out, &(scheme){true, false, lambda}, arl0, err);
}
