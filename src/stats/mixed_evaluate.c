#include "stats/mixed_private.h"
#include "stats/sample.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>

/* One evaluation of the profiled criterion and of what its gradient needs. With spherical effects u (u_k = b_k / theta_k)
 *     C = [T Z'WZ T + I   T Z'W1 ;  1'WZ T   1'W1],   T = diag(theta),   r2 = y'Wy - c'C^-1 c,
 *     criterion = ln det C + sum ln(1 + n theta_tree^2) + (N - 1)(1 + ln(2 pi r2 / (N - 1))).
 * Derivatives by P = V^-1 - V^-1 1 (1'V^-1 1)^-1 1'V^-1:  d ln-part = 2 theta tr(P ZZ'),  d r2 = -2 theta y'P ZZ'P y,
 * read off C^-1 and u without dividing by theta^2. */

void mixed_work_release(mixed_work *work) {
    gsl_matrix_free(work->system);
    gsl_matrix_free(work->sums);
    gsl_matrix_free(work->tree_sums);
    gsl_vector_free(work->answer);
    *work = (mixed_work){0};
}

ap_status mixed_work_init(mixed_work *work, const mixed_system *system, ap_error *err) {
    *work = (mixed_work){gsl_matrix_alloc(system->rows + 1, system->rows + 1),
                         gsl_matrix_alloc(system->order, system->order), gsl_matrix_alloc(system->order, system->order),
                         gsl_vector_alloc(system->rows + 1)};
    if (!work->system || !work->sums || !work->tree_sums || !work->answer) {
        mixed_work_release(work);
        return ap_sample_no_memory("a mixed model", err);
    }
    return AP_OK;
}

/* to += factor * from, both order x order and contiguous. */
static void add_scaled(gsl_matrix *to, const gsl_matrix *from, double factor) {
    size_t count = to->size1 * to->size2;
    for (size_t i = 0; i < count; i++) {
        to->data[i] += factor * from->data[i];
    }
}

/* out += sum over trees of weight(n) s s'; weight is -theta^2/(1 + n theta^2), or 1/(1 + n theta^2)^2 when `squared`. */
static double tree_weight(double n, double theta, bool squared) {
    double grown = 1.0 + n * theta * theta;
    return squared ? 1.0 / (grown * grown) : -theta * theta / grown;
}

static void add_tree_products(gsl_matrix *out, const mixed_system *system, double theta, bool squared) {
    for (size_t c = 0; c < system->classes; c++) {
        add_scaled(out, system->class_sum[c], tree_weight(system->class_size[c], theta, squared));
    }
    for (size_t t = 0; t < system->trees; t++) {
        const mixed_tree *tree = &system->tree[t];
        if (tree->size_class >= 0) {
            continue;
        }
        double weight = tree_weight(tree->n, theta, squared);
        for (size_t a = tree->first; a < tree->first + tree->count; a++) {
            for (size_t b = tree->first; b < tree->first + tree->count; b++) {
                *gsl_matrix_ptr(out, system->at[a], system->at[b]) += weight * system->value[a] * system->value[b];
            }
        }
    }
}

/* theta of each row of C: a factor's for its levels, 1 for the mean. */
static double row_theta(const mixed_system *system, const double *theta, size_t *factor, size_t row) {
    while (*factor < system->factors && row >= system->first_row[*factor + 1]) {
        (*factor)++;
    }
    return row < system->rows ? theta[*factor] : 1.0;
}

static void set_scales(double *scale, const mixed_system *system, const double *theta) {
    size_t factor = 0;
    for (size_t row = 0; row <= system->rows; row++) {
        scale[row] = row_theta(system, theta, &factor, row);
    }
}

static void fill_system(mixed_work *work, const mixed_system *system, const double *scale, double tree_theta) {
    gsl_matrix_memcpy(work->sums, system->plain);
    if (tree_theta != 0.0) {
        add_tree_products(work->sums, system, tree_theta, false);
    }
    for (size_t a = 0; a <= system->rows; a++) {
        for (size_t b = 0; b <= system->rows; b++) {
            double one = a == b && a < system->rows ? 1.0 : 0.0;
            gsl_matrix_set(work->system, a, b, scale[a] * scale[b] * gsl_matrix_get(work->sums, a, b) + one);
        }
        gsl_vector_set(work->answer, a, scale[a] * gsl_matrix_get(work->sums, a, system->rows + 1));
    }
}

static double log_growth(const mixed_system *system, double theta) {
    double sum = 0.0;
    for (size_t t = 0; theta != 0.0 && t < system->trees; t++) {
        sum += log1p(system->tree[t].n * theta * theta);
    }
    return sum;
}

static void factor_parts(mixed_point *out, const mixed_work *work, const mixed_system *system, const double *theta) {
    for (size_t k = 0; k < system->factors; k++) {
        double trace = 0.0, square = 0.0;
        for (size_t row = system->first_row[k]; theta[k] != 0.0 && row < system->first_row[k + 1]; row++) {
            double u = gsl_vector_get(work->answer, row);
            trace += 1.0 - gsl_matrix_get(work->system, row, row);
            square += u * u;
        }
        out->trace[k] = theta[k] != 0.0 ? 2.0 * trace / theta[k] : 0.0;
        out->square[k] = theta[k] != 0.0 ? 2.0 * square / theta[k] : 0.0;
    }
}

/* tr(P ZZ') and y'P ZZ'P y of the trees, from the sums weighted by 1/(1 + n theta^2)^2. */
static void tree_parts(mixed_point *out, mixed_work *work, const mixed_system *system, const double *scale,
                       double theta) {
    size_t k = system->factors, e = system->rows + 1;
    out->trace[k] = out->square[k] = 0.0;
    if (theta == 0.0) {
        return;
    }
    gsl_matrix_set_zero(work->tree_sums);
    add_tree_products(work->tree_sums, system, theta, true);
    double trace = 0.0, square = gsl_matrix_get(work->tree_sums, e, e);
    for (size_t t = 0; t < system->trees; t++) {
        trace += system->tree[t].n / (1.0 + system->tree[t].n * theta * theta);
    }
    for (size_t a = 0; a <= system->rows; a++) {
        double ua = scale[a] * gsl_vector_get(work->answer, a);
        square -= 2.0 * ua * gsl_matrix_get(work->tree_sums, a, e);
        for (size_t b = 0; b <= system->rows; b++) {
            double product = gsl_matrix_get(work->tree_sums, a, b);
            trace -= gsl_matrix_get(work->system, a, b) * scale[a] * scale[b] * product;
            square += ua * scale[b] * gsl_vector_get(work->answer, b) * product;
        }
    }
    out->trace[k] = 2.0 * theta * trace;
    out->square[k] = 2.0 * theta * square;
}

bool mixed_evaluate(mixed_point *out, mixed_work *work, const mixed_system *system, const double *theta,
                    bool gradient) {
    double scale[AP_MIXED_LEVELS_MAX + 1];
    double df = (double)system->picks - 1.0, tree_theta = theta[system->factors];
    set_scales(scale, system, theta);
    fill_system(work, system, scale, tree_theta);
    if (gsl_linalg_cholesky_decomp1(work->system) != 0) {
        return false;
    }
    double log_det = log_growth(system, tree_theta);
    for (size_t i = 0; i <= system->rows; i++) {
        log_det += 2.0 * log(gsl_matrix_get(work->system, i, i));
    }
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, work->system, work->answer);
    double explained = 0.0;
    gsl_blas_ddot(work->answer, work->answer, &explained);
    size_t e = system->rows + 1;
    out->r2 = gsl_matrix_get(work->sums, e, e) - explained + system->within;
    out->criterion = log_det + df * (1.0 + log(2.0 * M_PI * out->r2 / df));
    if (!(out->r2 > 0.0) || !isfinite(out->criterion)) {
        return false;
    }
    if (gradient) {
        gsl_blas_dtrsv(CblasLower, CblasTrans, CblasNonUnit, work->system, work->answer);
        if (gsl_linalg_cholesky_invert(work->system) != 0) {
            return false;
        }
        factor_parts(out, work, system, theta);
        tree_parts(out, work, system, scale, tree_theta);
    }
    return true;
}
