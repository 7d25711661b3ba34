#include "stats/mixed_private.h"

#include <gsl/gsl_linalg.h>

/* The end of the search, where differences of the criterion drown in rounding but its exact gradient does not: Newton
 * steps on the gradient, its curvature by central differences; and what that curvature says about the scale. */

enum { PARAMETERS = AP_MIXED_FACTORS_MAX + 1, SIDE = PARAMETERS + 1 };

typedef struct free_set {
    size_t place[PARAMETERS]; /* parameters above 0 */
    size_t count;
} free_set;

static free_set list_free(const double *theta, size_t factors) {
    free_set set = {0};
    for (size_t k = 0; k <= factors; k++) {
        if (theta[k] > 0.0) {
            set.place[set.count++] = k;
        }
    }
    return set;
}

/* Gradient at theta; rest variance s2, or profiled out when s2 is 0. */
static bool slope_at(double *slope, mixed_point *point, mixed_work *work, const mixed_system *system,
                     const double *theta, const free_set *set, double s2) {
    if (!mixed_evaluate(point, work, system, theta, true)) {
        return false;
    }
    double rest = s2 > 0.0 ? s2 : point->r2 / ((double)system->picks - 1.0);
    for (size_t i = 0; i < set->count; i++) {
        slope[i] = point->trace[set->place[i]] - point->square[set->place[i]] / rest;
    }
    return true;
}

static bool curvature_at(double curve[SIDE][SIDE], mixed_work *work, const mixed_system *system, const double *start,
                         const free_set *set, double s2) {
    double theta[PARAMETERS], low[PARAMETERS], high[PARAMETERS];
    mixed_point point = {0};
    memcpy(theta, start, sizeof theta);
    for (size_t i = 0; i < set->count; i++) {
        size_t k = set->place[i];
        double step = 1e-4 * start[k];
        theta[k] = start[k] + step;
        bool fine = slope_at(high, &point, work, system, theta, set, s2);
        theta[k] = start[k] - step;
        fine = fine && slope_at(low, &point, work, system, theta, set, s2);
        theta[k] = start[k];
        if (!fine) {
            return false;
        }
        for (size_t j = 0; j < set->count; j++) { /* each pair is met twice: the mean of both */
            curve[i][j] += (high[j] - low[j]) / (4.0 * step);
            curve[j][i] += (high[j] - low[j]) / (4.0 * step);
        }
    }
    return true;
}

/* curve x = right for the leading n rows; false unless curve is positive definite. Destroys curve. */
static bool solve(double *x, double curve[SIDE][SIDE], double *right, size_t n) {
    gsl_matrix_view matrix = gsl_matrix_view_array_with_tda(&curve[0][0], n, n, SIDE);
    gsl_vector_view from = gsl_vector_view_array(right, n), to = gsl_vector_view_array(x, n);
    return gsl_linalg_cholesky_decomp1(&matrix.matrix) == 0 &&
           gsl_linalg_cholesky_solve(&matrix.matrix, &from.vector, &to.vector) == 0;
}

/* One Newton step; *fall is what it expects to gain. False when the curvature does not allow one. */
static bool newton_step(double *next, double *fall, mixed_work *work, const mixed_system *system,
                        const mixed_minimum *minimum, const free_set *set, double *slope) {
    double curve[SIDE][SIDE] = {{0}}, step[PARAMETERS] = {0};
    if (!curvature_at(curve, work, system, minimum->theta, set, 0.0) || !solve(step, curve, slope, set->count)) {
        return false;
    }
    *fall = 0.0;
    memcpy(next, minimum->theta, PARAMETERS * sizeof *next);
    for (size_t i = 0; i < set->count; i++) {
        *fall += 0.5 * slope[i] * step[i];
        next[set->place[i]] = fabs(next[set->place[i]] - step[i]);
    }
    return isfinite(*fall);
}

bool mixed_polish(mixed_minimum *minimum, mixed_work *work, const mixed_system *system) {
    enum { MOST_STEPS = 8 };
    mixed_point point = {0};
    double slope[PARAMETERS] = {0};
    free_set set = list_free(minimum->theta, system->factors);
    if (!slope_at(slope, &point, work, system, minimum->theta, &set, 0.0)) {
        return false;
    }
    minimum->criterion = point.criterion;
    minimum->converged = set.count == 0;
    for (int i = 0; i < MOST_STEPS && set.count > 0; i++) {
        double next[PARAMETERS], next_slope[PARAMETERS] = {0};
        mixed_point there = {0};
        minimum->evaluations += 2 * (int)set.count + 2;
        if (!newton_step(next, &minimum->fall, work, system, minimum, &set, slope)) {
            minimum->converged = false;
            break;
        }
        minimum->converged = minimum->fall < 1e-6;
        /* Rounding of the criterion: 1e-13 of its size or so. */
        double noise = 1e-12 * fmax(1.0, fabs(minimum->criterion));
        if (minimum->fall < 1e-13 || !slope_at(next_slope, &there, work, system, next, &set, 0.0) ||
            there.criterion > minimum->criterion + noise) {
            break;
        }
        memcpy(minimum->theta, next, sizeof next);
        memcpy(slope, next_slope, sizeof slope);
        minimum->criterion = there.criterion;
    }
    minimum->gradient = 0.0;
    for (size_t i = 0; i < set.count; i++) {
        minimum->gradient = fmax(minimum->gradient, fabs(slope[i]));
    }
    return true;
}

/* Satterthwaite: Var(scale2) from the curvature of the criterion in the free parameters and ln s2 (s2 the rest's variance),
 *     D(theta, ln s2) = ln-parts + (N - 1) ln s2 + r2 / s2,   Cov = 2 (D'')^-1,
 * at the point where s2 = r2 / (N - 1). Rows with ln s2 are in closed form. */
double mixed_scale_df(mixed_work *work, const mixed_system *system, const mixed_minimum *minimum) {
    double curve[SIDE][SIDE] = {{0}}, slope[PARAMETERS] = {0}, right[SIDE] = {0}, solved[SIDE] = {0};
    double df = (double)system->picks - 1.0, tree = minimum->theta[system->factors];
    mixed_point here = {0};
    free_set set = list_free(minimum->theta, system->factors);
    size_t n = set.count;
    if (!slope_at(slope, &here, work, system, minimum->theta, &set, 0.0)) {
        return 1.0;
    }
    double s2 = here.r2 / df;
    if (!curvature_at(curve, work, system, minimum->theta, &set, s2)) {
        return 1.0;
    }
    for (size_t i = 0; i < n; i++) {
        curve[i][n] = curve[n][i] = here.square[set.place[i]] / s2;
        right[i] = set.place[i] == system->factors ? 2.0 * tree * s2 : 0.0; /* d scale2 / d theta */
    }
    curve[n][n] = df;
    double scale2 = s2 * (1.0 + tree * tree);
    right[n] = scale2; /* d scale2 / d ln s2 */
    if (!solve(solved, curve, right, n + 1)) {
        return 1.0; /* flat in some direction: the least that can be said */
    }
    double variance = 0.0;
    for (size_t i = 0; i <= n; i++) {
        variance += 2.0 * right[i] * solved[i];
    }
    double found = 2.0 * scale2 * scale2 / variance;
    return isfinite(found) ? fmin(df, fmax(1.0, found)) : 1.0; /* all but flat: the same */
}
