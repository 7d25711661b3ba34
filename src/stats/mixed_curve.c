#include "stats/mixed_private.h"

/* What second derivatives of the criterion are made of, read off what an evaluation leaves behind. With M = C^-1, u the spherical
 * effects, g = theta^2, and for the trees B1 = sum s s'/(1 + n g)^2, B2 = sum n s s'/(1 + n g)^3, K = D B1 D, w = (-D u; 1),
 * h = D B1 w:
 *     tr(P G_j P G_k)        factors |I_jk - M_jk|^2 / (g_j g_k)        tree, k  sum over k of (M K M)_rr / g_k
 *                            tree    sum n^2/(1 + n g)^2 + tr(M K M K) - 2 tr(M D B2 D)
 *     y'P G_j P G_k P y      factors u_j'(I_jk - M_jk)u_k / (g_j g_k)   tree, k  u_k'(M h)_k / g_k
 *                            tree    w'B2 w - h'M h */

/* The lower half mirrored. */
static void mirror(double *matrix, size_t side) {
    for (size_t a = 0; a < side; a++) {
        for (size_t b = 0; b < a; b++) {
            matrix[b * side + a] = matrix[a * side + b];
        }
    }
}

static void between_factors(mixed_curve *out, const mixed_work *work, const mixed_system *system, const double *theta) {
    size_t side = system->rows + 1;
    for (size_t j = 0; j < system->factors; j++) {
        for (size_t k = 0; k <= j; k++) {
            double both = theta[j] * theta[j] * theta[k] * theta[k], square = 0.0, bend = 0.0;
            for (size_t a = system->first_row[j]; both != 0.0 && a < system->first_row[j + 1]; a++) {
                const double *inverse = work->system + a * side;
                double inner = 0.0;
                for (size_t b = system->first_row[k]; b < system->first_row[k + 1]; b++) {
                    double left = (a == b ? 1.0 : 0.0) - inverse[b];
                    square += left * left;
                    inner += left * work->answer[b];
                }
                bend += work->answer[a] * inner;
            }
            out->trace[j][k] = out->trace[k][j] = both != 0.0 ? square / both : 0.0;
            out->square[j][k] = out->square[k][j] = both != 0.0 ? bend / both : 0.0;
        }
    }
}

/* work->half := M K with the whole of M in work->system; K is built in work->more, h in `h`. */
static void multiply_trees(mixed_work *work, double *h, const mixed_system *system, const double *scale) {
    size_t side = system->rows + 1, order = system->order;
    const double *e = work->tree_sums + side * order, *u = work->answer;
    for (size_t a = 0; a < side; a++) {
        for (size_t b = 0; b <= a; b++) {
            work->more[a * side + b] = scale[a] * scale[b] * work->tree_sums[a * order + b];
        }
    }
    mirror(work->more, side);
    for (size_t a = 0; a < side; a++) {
        h[a] = scale[a] * e[a] - mixed_dot(work->more + a * side, u, side);
    }
    for (size_t a = 0; a < side; a++) {
        double *to = work->half + a * side;
        memset(to, 0, side * sizeof *to);
        for (size_t l = 0; l < side; l++) {
            double by = work->system[a * side + l];
            const double *row = work->more + l * side;
            for (size_t b = 0; b < side; b++) {
                to[b] += by * row[b];
            }
        }
    }
}

static void with_trees(mixed_curve *out, mixed_work *work, const mixed_system *system, const double *theta,
                       const double *scale) {
    size_t side = system->rows + 1, t = system->factors;
    double h[AP_MIXED_LEVELS_MAX + 1], solved[AP_MIXED_LEVELS_MAX + 1];
    double twice = 0.0, square = 0.0, counts = 0.0, again = 0.0, tree = theta[t];
    multiply_trees(work, h, system, scale);
    memset(work->sums, 0, system->order * system->order * sizeof *work->sums);
    mixed_add_tree_products(work->sums, system, tree, MIXED_BY_CUBE);
    mixed_trace_and_square(&twice, &square, work->sums, work, system, scale);
    for (size_t c = 0; c < system->sizes; c++) {
        double share = system->size[c] / (1.0 + system->size[c] * tree * tree);
        counts += system->size_trees[c] * share * share;
    }
    for (size_t a = 0; a < side; a++) {
        solved[a] = mixed_dot(work->system + a * side, h, side);
        for (size_t b = 0; b < side; b++) {
            again += work->half[a * side + b] * work->half[b * side + a];
        }
    }
    out->trace[t][t] = counts + again - 2.0 * twice;
    out->square[t][t] = square - mixed_dot(h, solved, side);
    for (size_t k = 0; k < t; k++) {
        double trace = 0.0, bend = 0.0, size = theta[k] * theta[k];
        for (size_t a = system->first_row[k]; size != 0.0 && a < system->first_row[k + 1]; a++) {
            trace += mixed_dot(work->half + a * side, work->system + a * side, side);
            bend += work->answer[a] * solved[a];
        }
        out->trace[t][k] = out->trace[k][t] = size != 0.0 ? trace / size : 0.0;
        out->square[t][k] = out->square[k][t] = size != 0.0 ? bend / size : 0.0;
    }
}

void mixed_curvature(mixed_curve *out, mixed_work *work, const mixed_system *system, const double *theta) {
    double scale[AP_MIXED_LEVELS_MAX + 1];
    *out = (mixed_curve){0};
    mixed_set_scales(scale, system, theta);
    mirror(work->system, system->rows + 1);
    between_factors(out, work, system, theta);
    if (theta[system->factors] != 0.0) {
        with_trees(out, work, system, theta, scale);
    }
}
