#include "stats/mixed_private.h"
#include "stats/sample.h"

/* One evaluation of the profiled criterion and of what its gradient needs. With spherical effects u (u_k = b_k / theta_k)
 *     C = [T Z'WZ T + I   T Z'W1 ;  1'WZ T   1'W1],   T = diag(theta),   r2 = y'Wy - c'C^-1 c,
 *     criterion = ln det C + sum ln(1 + n theta_tree^2) + (N - 1)(1 + ln(2 pi r2 / (N - 1))).
 * Derivatives by P = V^-1 - V^-1 1 (1'V^-1 1)^-1 1'V^-1:  d ln-part = 2 theta tr(P ZZ'),  d r2 = -2 theta y'P ZZ'P y,
 * read off C^-1 and u without dividing by theta^2. A planning factor with its proof takes some hundred fits. */

void mixed_work_release(mixed_work *work) {
    free(work->system);
    free(work->half);
    free(work->more);
    free(work->sums);
    free(work->tree_sums);
    free(work->answer);
    *work = (mixed_work){0};
}

ap_status mixed_work_init(mixed_work *work, const mixed_system *system, ap_error *err) {
    size_t side = system->rows + 1;
    *work = (mixed_work){ap_sample_array(side * side),
                         ap_sample_array(side * side),
                         ap_sample_array(system->order * system->order),
                         ap_sample_array(system->order * system->order),
                         ap_sample_array(side),
                         ap_sample_array(side * side)};
    if (!work->system || !work->half || !work->more || !work->sums || !work->tree_sums || !work->answer) {
        mixed_work_release(work);
        return ap_sample_no_memory("a mixed model", err);
    }
    return AP_OK;
}

static double tree_weight(double n, double theta, mixed_weight kind) {
    double grown = 1.0 + n * theta * theta;
    switch (kind) {
    case MIXED_BY_SQUARE:
        return 1.0 / (grown * grown);
    case MIXED_BY_CUBE:
        return n / (grown * grown * grown);
    default:
        return -theta * theta / grown;
    }
}

void mixed_add_tree_products(double *out, const mixed_system *system, double theta, mixed_weight kind) {
    size_t order = system->order;
    for (size_t c = 0; c < system->classes; c++) {
        const double *sum = system->class_sum[c];
        double weight = tree_weight(system->class_size[c], theta, kind);
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
        double weight = tree->sign * tree_weight((double)tree->n, theta, kind);
        for (size_t a = 0; a < tree->count; a++) { /* rows ascend */
            for (size_t b = 0; b <= a; b++) {
                out[at[a] * order + at[b]] += weight * value[a] * value[b];
            }
        }
    }
}

void mixed_set_scales(double *scale, const mixed_system *system, const double *theta) {
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
        mixed_add_tree_products(work->sums, system, tree_theta, MIXED_WHOLE);
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

void mixed_trace_and_square(double *trace, double *square, const double *sums, const mixed_work *work,
                            const mixed_system *system, const double *scale) {
    size_t order = system->order, side = system->rows + 1;
    const double *u = work->answer, *e = sums + side * order;
    double trace_sum = 0.0, square_sum = e[side];
    for (size_t a = 0; a < side; a++) {
        const double *products = sums + a * order, *inverse = work->system + a * side;
        double off_trace = 0.0, off_square = 0.0;
        for (size_t b = 0; b < a; b++) {
            off_trace += scale[b] * inverse[b] * products[b];
            off_square += scale[b] * u[b] * products[b];
        }
        trace_sum += scale[a] * (2.0 * off_trace + inverse[a] * scale[a] * products[a]);
        square_sum += scale[a] * u[a] * (2.0 * off_square + scale[a] * u[a] * products[a] - 2.0 * e[a]);
    }
    *trace = trace_sum;
    *square = square_sum;
}

/* tr(P ZZ') and y'P ZZ'P y of the trees, from the sums weighted by 1/(1 + n theta^2)^2. */
static void tree_parts(double *trace, double *square, mixed_work *work, const mixed_system *system, const double *scale,
                       double theta) {
    double less = 0.0;
    memset(work->tree_sums, 0, system->order * system->order * sizeof *work->tree_sums);
    mixed_add_tree_products(work->tree_sums, system, theta, MIXED_BY_SQUARE);
    mixed_trace_and_square(&less, square, work->tree_sums, work, system, scale);
    *trace = -less;
    for (size_t c = 0; c < system->sizes; c++) {
        *trace += system->size_trees[c] * system->size[c] / (1.0 + system->size[c] * theta * theta);
    }
}

/* The same of a factor whose theta is 0: its rows of A - A D C^-1 D A, and of A w. */
static void factor_at_zero(double *trace, double *square, const mixed_work *work, const mixed_system *system,
                           const double *scale, size_t k) {
    double seen[AP_MIXED_LEVELS_MAX + 1];
    size_t order = system->order, side = system->rows + 1;
    *trace = *square = 0.0;
    for (size_t row = system->first_row[k]; row < system->first_row[k + 1]; row++) {
        double left = work->sums[side * order + row], explained = 0.0;
        for (size_t b = 0; b < side; b++) {
            size_t high = row > b ? row : b, low = row > b ? b : row;
            seen[b] = scale[b] * work->sums[high * order + low];
            left -= seen[b] * work->answer[b];
        }
        for (size_t a = 0; a < side; a++) {
            const double *inverse = work->system + a * side;
            explained += seen[a] * (2.0 * mixed_dot(inverse, seen, a) + inverse[a] * seen[a]);
        }
        *trace += work->sums[row * order + row] - explained;
        *square += left * left;
    }
}

double mixed_slope_at_zero(mixed_work *work, const mixed_system *system, const mixed_point *at, const double *theta,
                           size_t k) {
    double scale[AP_MIXED_LEVELS_MAX + 1], trace = 0.0, square = 0.0;
    mixed_set_scales(scale, system, theta);
    if (k < system->factors) {
        factor_at_zero(&trace, &square, work, system, scale, k);
    } else {
        tree_parts(&trace, &square, work, system, scale, 0.0);
    }
    return trace - square * ((double)system->picks - 1.0) / at->r2;
}

bool mixed_evaluate(mixed_point *out, mixed_work *work, const mixed_system *system, const double *theta,
                    bool gradient) {
    double scale[AP_MIXED_LEVELS_MAX + 1];
    double df = (double)system->picks - 1.0, tree_theta = theta[system->factors];
    size_t side = system->rows + 1;
    mixed_set_scales(scale, system, theta);
    fill_system(work, system, scale, tree_theta);
    if (!mixed_factorise(work->system, side)) {
        return false;
    }
    double log_det = log_growth(system, tree_theta);
    for (size_t i = 0; i < side; i++) {
        log_det += 2.0 * log(work->system[i * side + i]);
    }
    double *answer = work->answer;
    mixed_solve_down(answer, work->system, side);
    out->r2 = work->sums[side * system->order + side] - mixed_dot(answer, answer, side);
    out->criterion = log_det + df * (1.0 + log(2.0 * M_PI * out->r2 / df));
    if (!(out->r2 > 0.0) || !isfinite(out->criterion)) {
        return false;
    }
    if (gradient) {
        mixed_solve_up(answer, work->system, side);
        mixed_invert(work->system, work->half, side);
        factor_parts(out, work, system, theta);
        size_t k = system->factors;
        out->trace[k] = out->square[k] = 0.0;
        if (tree_theta != 0.0) {
            tree_parts(&out->trace[k], &out->square[k], work, system, scale, tree_theta);
            out->trace[k] *= 2.0 * tree_theta;
            out->square[k] *= 2.0 * tree_theta;
        }
    }
    return true;
}
