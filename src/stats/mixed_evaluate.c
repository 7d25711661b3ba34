#include "stats/mixed_private.h"
#include "stats/sample.h"

/* One evaluation of the profiled criterion and of what its gradient needs. With spherical effects u (u_k = b_k / theta_k)
 *     C = [T Z'WZ T + I   T Z'W1 ;  1'WZ T   1'W1],   T = diag(theta),   r2 = y'Wy - c'C^-1 c,
 *     criterion = ln det C + sum ln(1 + n theta_tree^2) + (N - 1)(1 + ln(2 pi r2 / (N - 1))).
 * Derivatives by P = V^-1 - V^-1 1 (1'V^-1 1)^-1 1'V^-1:  d ln-part = 2 theta tr(P ZZ'),  d r2 = -2 theta y'P ZZ'P y,
 * read off C^-1 and u without dividing by theta^2. The factor and the inverse are worked out here, row by row with sums in
 * four strands: a planning factor with its proof takes some hundred fits of some hundred evaluations. */

void mixed_work_release(mixed_work *work) {
    free(work->system);
    free(work->half);
    free(work->sums);
    free(work->tree_sums);
    free(work->answer);
    *work = (mixed_work){0};
}

ap_status mixed_work_init(mixed_work *work, const mixed_system *system, ap_error *err) {
    size_t side = system->rows + 1;
    *work = (mixed_work){ap_sample_array(side * side), ap_sample_array(side * side),
                         ap_sample_array(system->order * system->order), ap_sample_array(system->order * system->order),
                         ap_sample_array(side)};
    if (!work->system || !work->half || !work->sums || !work->tree_sums || !work->answer) {
        mixed_work_release(work);
        return ap_sample_no_memory("a mixed model", err);
    }
    return AP_OK;
}

static double dot(const double *a, const double *b, size_t n) {
    double s0 = 0, s1 = 0, s2 = 0, s3 = 0;
    size_t i = 0;
    for (; i + 4 <= n; i += 4) {
        s0 += a[i] * b[i];
        s1 += a[i + 1] * b[i + 1];
        s2 += a[i + 2] * b[i + 2];
        s3 += a[i + 3] * b[i + 3];
    }
    for (; i < n; i++) {
        s0 += a[i] * b[i];
    }
    return (s0 + s1) + (s2 + s3);
}

/* The lower half of a side x side array becomes its Cholesky factor; false unless it is positive definite. */
static bool factorise(double *matrix, size_t side) {
    for (size_t i = 0; i < side; i++) {
        double *row = matrix + i * side;
        for (size_t j = 0; j < i; j++) {
            row[j] = (row[j] - dot(row, matrix + j * side, j)) / matrix[j * side + j];
        }
        double left = row[i] - dot(row, row, i);
        if (!(left > 0)) {
            return false;
        }
        row[i] = sqrt(left);
    }
    return true;
}

/* The factor becomes the lower half of the inverse; `half` gets the inverse of the factor, transposed. */
static void invert(double *factor, double *half, size_t side) {
    for (size_t i = 0; i < side; i++) {
        const double *row = factor + i * side;
        for (size_t j = 0; j < i; j++) {
            half[j * side + i] = -dot(row + j, half + j * side + j, i - j) / row[i];
        }
        half[i * side + i] = 1 / row[i];
    }
    for (size_t i = 0; i < side; i++) {
        for (size_t j = 0; j <= i; j++) {
            factor[i * side + j] = dot(half + i * side + i, half + j * side + i, side - i);
        }
    }
}

/* x := factor^-1 x, and x := factor'^-1 x. */
static void solve_down(double *x, const double *factor, size_t side) {
    for (size_t i = 0; i < side; i++) {
        x[i] = (x[i] - dot(factor + i * side, x, i)) / factor[i * side + i];
    }
}

static void solve_up(double *x, const double *factor, size_t side) {
    for (size_t i = side; i-- > 0;) {
        x[i] /= factor[i * side + i];
        for (size_t j = 0; j < i; j++) {
            x[j] -= factor[i * side + j] * x[i];
        }
    }
}

/* weight(n) of s s': -theta^2/(1 + n theta^2), or 1/(1 + n theta^2)^2 when `squared`. */
static double tree_weight(double n, double theta, bool squared) {
    double grown = 1.0 + n * theta * theta;
    return squared ? 1.0 / (grown * grown) : -theta * theta / grown;
}

/* out += sum over trees of weight(n) s s', lower half. */
static void add_tree_products(double *out, const mixed_system *system, double theta, bool squared) {
    size_t order = system->order;
    for (size_t c = 0; c < system->classes; c++) {
        const double *sum = system->class_sum[c];
        double weight = tree_weight(system->class_size[c], theta, squared);
        for (size_t a = 0; a < order; a++) {
            for (size_t b = 0; b <= a; b++) {
                out[a * order + b] += weight * sum[a * order + b];
            }
        }
    }
    for (size_t t = 0; t < system->sparse; t++) {
        const mixed_tree *tree = &system->tree[t];
        const uint32_t *at = system->at + tree->first;
        const double *value = system->value + tree->first;
        double weight = tree->sign * tree_weight((double)tree->n, theta, squared);
        for (size_t a = 0; a < tree->count; a++) { /* rows ascend */
            for (size_t b = 0; b <= a; b++) {
                out[at[a] * order + at[b]] += weight * value[a] * value[b];
            }
        }
    }
}

/* theta of each row of C: a factor's for its levels, 1 for the mean. */
static void set_scales(double *scale, const mixed_system *system, const double *theta) {
    for (size_t k = 0; k < system->factors; k++) {
        for (size_t row = system->first_row[k]; row < system->first_row[k + 1]; row++) {
            scale[row] = theta[k];
        }
    }
    scale[system->rows] = 1.0;
}

static void fill_system(mixed_work *work, const mixed_system *system, const double *scale, double tree_theta) {
    size_t order = system->order;
    size_t side = system->rows + 1;
    memcpy(work->sums, system->plain, order * order * sizeof *work->sums);
    if (tree_theta != 0.0) {
        add_tree_products(work->sums, system, tree_theta, false);
    }
    const double *e = work->sums + (system->rows + 1) * order;
    for (size_t a = 0; a < side; a++) {
        for (size_t b = 0; b <= a; b++) {
            work->system[a * side + b] = scale[a] * scale[b] * work->sums[a * order + b];
        }
        work->system[a * side + a] += a < system->rows ? 1.0 : 0.0;
        work->answer[a] = scale[a] * e[a];
    }
}

static double log_growth(const mixed_system *system, double theta) {
    double sum = 0.0;
    for (size_t c = 0; theta != 0.0 && c < system->sizes; c++) {
        sum += system->size_trees[c] * log1p(system->size[c] * theta * theta);
    }
    return sum;
}

static void factor_parts(mixed_point *out, const mixed_work *work, const mixed_system *system, const double *theta) {
    size_t side = system->rows + 1;
    for (size_t k = 0; k < system->factors; k++) {
        double trace = 0.0, square = 0.0;
        for (size_t row = system->first_row[k]; theta[k] != 0.0 && row < system->first_row[k + 1]; row++) {
            double u = work->answer[row];
            trace += 1.0 - work->system[row * side + row];
            square += u * u;
        }
        out->trace[k] = theta[k] != 0.0 ? 2.0 * trace / theta[k] : 0.0;
        out->square[k] = theta[k] != 0.0 ? 2.0 * square / theta[k] : 0.0;
    }
}

/* tr(P ZZ') and y'P ZZ'P y of the trees, from the sums weighted by 1/(1 + n theta^2)^2. */
static void tree_parts(mixed_point *out, mixed_work *work, const mixed_system *system, const double *scale,
                       double theta) {
    size_t k = system->factors, order = system->order, side = system->rows + 1;
    const double *u = work->answer, *e = work->tree_sums + side * order;
    out->trace[k] = out->square[k] = 0.0;
    if (theta == 0.0) {
        return;
    }
    memset(work->tree_sums, 0, order * order * sizeof *work->tree_sums);
    add_tree_products(work->tree_sums, system, theta, true);
    double trace = 0.0, square = e[side];
    for (size_t c = 0; c < system->sizes; c++) {
        trace += system->size_trees[c] * system->size[c] / (1.0 + system->size[c] * theta * theta);
    }
    for (size_t a = 0; a < side; a++) {
        const double *products = work->tree_sums + a * order, *inverse = work->system + a * side;
        double off_trace = 0.0, off_square = 0.0;
        for (size_t b = 0; b < a; b++) {
            off_trace += scale[b] * inverse[b] * products[b];
            off_square += scale[b] * u[b] * products[b];
        }
        trace -= scale[a] * (2.0 * off_trace + inverse[a] * scale[a] * products[a]);
        square += scale[a] * u[a] * (2.0 * off_square + scale[a] * u[a] * products[a] - 2.0 * e[a]);
    }
    out->trace[k] = 2.0 * theta * trace;
    out->square[k] = 2.0 * theta * square;
}

bool mixed_evaluate(mixed_point *out, mixed_work *work, const mixed_system *system, const double *theta,
                    bool gradient) {
    double scale[AP_MIXED_LEVELS_MAX + 1];
    double df = (double)system->picks - 1.0, tree_theta = theta[system->factors];
    size_t side = system->rows + 1;
    set_scales(scale, system, theta);
    fill_system(work, system, scale, tree_theta);
    if (!factorise(work->system, side)) {
        return false;
    }
    double log_det = log_growth(system, tree_theta);
    for (size_t i = 0; i < side; i++) {
        log_det += 2.0 * log(work->system[i * side + i]);
    }
    double *answer = work->answer;
    solve_down(answer, work->system, side);
    out->r2 = work->sums[side * system->order + side] - dot(answer, answer, side);
    out->criterion = log_det + df * (1.0 + log(2.0 * M_PI * out->r2 / df));
    if (!(out->r2 > 0.0) || !isfinite(out->criterion)) {
        return false;
    }
    if (gradient) {
        solve_up(answer, work->system, side);
        invert(work->system, work->half, side);
        factor_parts(out, work, system, theta);
        tree_parts(out, work, system, scale, tree_theta);
    }
    return true;
}
