#include "stats/regression.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>

#include "stats/sample.h"

/* Workspace of one fit. */
typedef struct least_squares {
    gsl_matrix *a; /* n x p, weighted, columns of length 1/2 to 1 */
    gsl_matrix *qr;
    gsl_vector *b; /* n, weighted y */
    gsl_vector *residual;
    gsl_vector *defect;
    gsl_vector *tau;
    gsl_vector *solution;
    gsl_vector *norm;
    gsl_vector *length; /* of the columns before scaling */
    gsl_permutation *order;
} least_squares;

static void least_squares_release(least_squares *ls) {
    gsl_matrix_free(ls->a);
    gsl_matrix_free(ls->qr);
    gsl_vector_free(ls->b);
    gsl_vector_free(ls->residual);
    gsl_vector_free(ls->defect);
    gsl_vector_free(ls->tau);
    gsl_vector_free(ls->solution);
    gsl_vector_free(ls->norm);
    gsl_vector_free(ls->length);
    gsl_permutation_free(ls->order);
}

static bool least_squares_init(least_squares *ls, size_t n, size_t p) {
    ls->a = gsl_matrix_alloc(n, p);
    ls->qr = gsl_matrix_alloc(n, p);
    ls->b = gsl_vector_alloc(n);
    ls->residual = gsl_vector_calloc(n);
    ls->defect = gsl_vector_alloc(n);
    ls->tau = gsl_vector_alloc(p);
    ls->solution = gsl_vector_calloc(p);
    ls->norm = gsl_vector_alloc(p);
    ls->length = gsl_vector_alloc(p);
    ls->order = gsl_permutation_alloc(p);
    return ls->a && ls->qr && ls->b && ls->residual && ls->defect && ls->tau && ls->solution && ls->norm &&
           ls->length && ls->order;
}

static ap_status check_input(const double *y, const double *x, const double *weights, size_t n, size_t columns,
                             size_t p, ap_error *err) {
    const char *what = "a least-squares fit";
    if (p == 0 || p > AP_REGRESSION_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "a least-squares fit has 1 to %d coefficients, not %zu", AP_REGRESSION_MAX,
                            p);
    }
    ap_status status = ap_sample_check(y, n, p + 1, what, err);
    if (status == AP_OK && columns > 0) {
        status = ap_sample_check(x, n * columns, 1, what, err);
    }
    if (status == AP_OK && weights) {
        status = ap_sample_check(weights, n, 1, what, err);
    }
    for (size_t i = 0; status == AP_OK && weights && i < n; i++) {
        status = ap_sample_check_positive(weights[i], "a weight", err);
    }
    return status;
}

static void fill(least_squares *ls, const double *y, const double *x, const double *weights, size_t columns,
                 bool intercept) {
    size_t n = ls->a->size1, p = ls->a->size2;
    for (size_t i = 0; i < n; i++) {
        double root = weights ? sqrt(weights[i]) : 1.0;
        gsl_vector_set(ls->b, i, root * y[i]);
        for (size_t j = 0; j < p; j++) {
            double value = intercept ? (j == 0 ? 1.0 : x[i * columns + j - 1]) : x[i * columns + j];
            gsl_matrix_set(ls->a, i, j, root * value);
        }
    }
    for (size_t j = 0; j < p; j++) {
        gsl_vector_view column = gsl_matrix_column(ls->a, j);
        double length = gsl_blas_dnrm2(&column.vector);
        if (length > 0.0 && isfinite(length)) {
            int exponent = 0;
            (void)frexp(length, &exponent);
            length = ldexp(1.0, exponent); /* a power of two: scaling then rounds nothing */
        }
        gsl_vector_set(ls->length, j, length);
        if (length > 0.0) {
            gsl_vector_scale(&column.vector, 1.0 / length);
        }
    }
}

/* A sum of products kept to twice the precision (Ogita, Rump & Oishi 2005, SIAM Journal on Scientific Computing
 * 26:1955-1988): long double would do on some machines only. */
typedef struct exact_sum {
    double high;
    double low;
} exact_sum;

static void add_product(exact_sum *sum, double a, double b) {
    double product = a * b;
    double product_low = fma(a, b, -product);
    double total = sum->high + product;
    double moved = total - sum->high;
    sum->low += ((sum->high - (total - moved)) + (product - moved)) + product_low;
    sum->high = total;
}

/* One step of iterative refinement of answer and residual together: with f = b - r - A x and g = -A'r the corrections
 * solve [I A; A' 0][dr; dx] = [f; g]. Refining x alone would not help where the residuals are large; nor would defects
 * summed in plain double. */
static void refine(least_squares *ls) {
    size_t n = ls->a->size1, p = ls->a->size2;
    double h[AP_REGRESSION_MAX] = {0}, z[AP_REGRESSION_MAX] = {0};
    for (size_t k = 0; k < p; k++) { /* R'h = P'g */
        size_t column = gsl_permutation_get(ls->order, k);
        exact_sum sum = {0};
        for (size_t i = 0; i < n; i++) {
            add_product(&sum, -gsl_matrix_get(ls->a, i, column), gsl_vector_get(ls->residual, i));
        }
        for (size_t j = 0; j < k; j++) {
            add_product(&sum, -gsl_matrix_get(ls->qr, j, k), h[j]);
        }
        h[k] = (sum.high + sum.low) / gsl_matrix_get(ls->qr, k, k);
    }
    for (size_t i = 0; i < n; i++) {
        exact_sum sum = {0};
        add_product(&sum, 1.0, gsl_vector_get(ls->b, i));
        add_product(&sum, -1.0, gsl_vector_get(ls->residual, i));
        for (size_t j = 0; j < p; j++) {
            add_product(&sum, -gsl_matrix_get(ls->a, i, j), gsl_vector_get(ls->solution, j));
        }
        gsl_vector_set(ls->defect, i, sum.high + sum.low);
    }
    gsl_linalg_QR_QTvec(ls->qr, ls->tau, ls->defect);
    for (size_t k = p; k > 0; k--) {
        double sum = gsl_vector_get(ls->defect, k - 1) - h[k - 1];
        for (size_t j = k; j < p; j++) {
            sum -= gsl_matrix_get(ls->qr, k - 1, j) * z[j];
        }
        z[k - 1] = sum / gsl_matrix_get(ls->qr, k - 1, k - 1);
    }
    for (size_t k = 0; k < p; k++) {
        size_t at = gsl_permutation_get(ls->order, k);
        gsl_vector_set(ls->solution, at, gsl_vector_get(ls->solution, at) + z[k]);
        gsl_vector_set(ls->defect, k, h[k]);
    }
    gsl_linalg_QR_Qvec(ls->qr, ls->tau, ls->defect);
    gsl_vector_add(ls->residual, ls->defect);
}

/* Covariance = s^2 (R'R)^-1 in the columns' own order and scale. */
static void set_covariance(ap_regression *fit, const least_squares *ls) {
    size_t p = fit->p;
    double inverse[AP_REGRESSION_MAX][AP_REGRESSION_MAX] = {{0}};
    for (size_t j = 0; j < p; j++) {
        for (size_t i = j + 1; i > 0; i--) {
            double sum = i - 1 == j ? 1.0 : 0.0;
            for (size_t k = i; k <= j; k++) {
                sum -= gsl_matrix_get(ls->qr, i - 1, k) * inverse[k][j];
            }
            inverse[i - 1][j] = sum / gsl_matrix_get(ls->qr, i - 1, i - 1);
        }
    }
    double variance = fit->residual_sd * fit->residual_sd;
    for (size_t i = 0; i < p; i++) {
        for (size_t j = 0; j < p; j++) {
            double sum = 0.0;
            for (size_t k = 0; k < p; k++) {
                sum += inverse[i][k] * inverse[j][k];
            }
            size_t a = gsl_permutation_get(ls->order, i), b = gsl_permutation_get(ls->order, j);
            fit->covariance[a][b] = variance * sum / (gsl_vector_get(ls->length, a) * gsl_vector_get(ls->length, b));
        }
    }
    for (size_t i = 0; i < p; i++) {
        fit->se[i] = sqrt(fit->covariance[i][i]);
    }
}

static void set_sums(ap_regression *fit, const least_squares *ls, const double *y, const double *weights) {
    double weight = 0.0, mean = 0.0, total = 0.0, rest = 0.0;
    for (size_t i = 0; i < fit->n; i++) {
        double w = weights ? weights[i] : 1.0;
        weight += w;
        mean += w * (y[i] - mean) / weight;
        double r = gsl_vector_get(ls->residual, i);
        rest += r * r;
    }
    for (size_t i = 0; i < fit->n; i++) {
        double away = fit->intercept ? y[i] - mean : y[i];
        total += (weights ? weights[i] : 1.0) * away * away;
    }
    fit->residual_ss = rest;
    fit->model_ss = fmax(0.0, total - rest);
    fit->r_squared = total > 0.0 ? fit->model_ss / total : 0.0;
    fit->df = (double)(fit->n - fit->p);
    fit->residual_sd = sqrt(rest / fit->df);
}

static ap_status decompose(least_squares *ls, ap_error *err) {
    size_t p = ls->a->size2;
    int sign = 0;
    gsl_matrix_memcpy(ls->qr, ls->a);
    bool failed = gsl_linalg_QRPT_decomp(ls->qr, ls->tau, ls->order, &sign, ls->norm) != 0;
    double first = fabs(gsl_matrix_get(ls->qr, 0, 0)), last = fabs(gsl_matrix_get(ls->qr, p - 1, p - 1));
    if (failed || !(last > 1e-14 * first)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a least-squares fit cannot tell its columns apart: one follows from the others");
    }
    return AP_OK;
}

ap_status ap_regression_fit(ap_regression *out, const double *y, const double *x, const double *weights, size_t n,
                            size_t columns, bool intercept, ap_error *err) {
    ap_stats_init();
    size_t p = columns + (intercept ? 1 : 0);
    least_squares ls = {0};
    ap_status status = check_input(y, x, weights, n, columns, p, err);
    if (status != AP_OK) {
        return status;
    }
    if (!least_squares_init(&ls, n, p)) {
        status = ap_sample_no_memory("a least-squares fit", err);
        goto done;
    }
    fill(&ls, y, x, weights, columns, intercept);
    status = decompose(&ls, err);
    if (status != AP_OK) {
        goto done;
    }
    for (int pass = 0; pass < 4; pass++) { /* from x = 0, r = 0: the first pass is the plain answer */
        refine(&ls);
    }
    ap_regression fit = {.n = n, .p = p, .intercept = intercept};
    set_sums(&fit, &ls, y, weights);
    set_covariance(&fit, &ls);
    bool finite = isfinite(fit.residual_ss) && isfinite(fit.model_ss);
    for (size_t j = 0; j < p; j++) {
        fit.coefficient[j] = gsl_vector_get(ls.solution, j) / gsl_vector_get(ls.length, j);
        finite = finite && isfinite(fit.coefficient[j]) && isfinite(fit.se[j]);
    }
    if (!finite) {
        status = ap_error_set(err, AP_E_DOMAIN, "a least-squares fit: the values are too large or too unequal");
        goto done;
    }
    *out = fit;
done:
    least_squares_release(&ls);
    return status;
}

ap_status ap_regression_predict(double *mean, double *se, const ap_regression *fit, const double *row, ap_error *err) {
    double full[AP_REGRESSION_MAX] = {1.0};
    size_t shift = fit->intercept ? 1 : 0;
    ap_status status = AP_OK;
    if (fit->p > shift) {
        status = ap_sample_check(row, fit->p - shift, 1, "a fitted value", err);
    }
    if (status != AP_OK) {
        return status;
    }
    for (size_t j = shift; j < fit->p; j++) {
        full[j] = row[j - shift];
    }
    double value = 0.0, variance = 0.0;
    for (size_t i = 0; i < fit->p; i++) {
        value += full[i] * fit->coefficient[i];
        for (size_t j = 0; j < fit->p; j++) {
            variance += full[i] * full[j] * fit->covariance[i][j];
        }
    }
    if (!isfinite(value) || !isfinite(variance)) {
        return ap_error_set(err, AP_E_DOMAIN, "a fitted value: the row is too far out");
    }
    *mean = value;
    *se = sqrt(fmax(0.0, variance));
    return AP_OK;
}
