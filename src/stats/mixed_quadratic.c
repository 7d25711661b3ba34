#include <gsl/gsl_linalg.h>

#include "stats/mixed_private.h"

/* The least of a quadratic over values of 0 or more: Lawson & Hanson 1974, Solving Least Squares Problems, chapter 23. */

bool mixed_solve(double *x, mixed_square *matrix, double *right, size_t n) {
    if (n == 0) {
        return true;
    }
    gsl_matrix_view square = gsl_matrix_view_array_with_tda(&matrix->at[0][0], n, n, MIXED_SIDE);
    gsl_vector_view from = gsl_vector_view_array(right, n), to = gsl_vector_view_array(x, n);
    return gsl_linalg_cholesky_decomp1(&square.matrix) == 0 &&
           gsl_linalg_cholesky_solve(&square.matrix, &from.vector, &to.vector) == 0;
}

/* Least of half y'C y + d'y over the listed y, the others 0. False unless C is positive definite there. */
static bool least_of(double *y, const mixed_square *curvature, const double *d, const bool *listed, size_t count) {
    mixed_square left;
    double right[MIXED_SIDE], x[MIXED_SIDE];
    size_t row[MIXED_SIDE], n = 0;
    for (size_t i = 0; i < count; i++) {
        y[i] = 0.0;
        if (listed[i]) {
            row[n++] = i;
        }
    }
    for (size_t a = 0; a < n; a++) {
        right[a] = -d[row[a]];
        for (size_t b = 0; b < n; b++) {
            left.at[a][b] = curvature->at[row[a]][row[b]];
        }
    }
    if (!mixed_solve(x, &left, right, n)) {
        return false;
    }
    for (size_t a = 0; a < n; a++) {
        y[row[a]] = x[a];
    }
    return true;
}

/* From y, whose listed are above 0, toward the free least: a value that would fall below 0 on the way leaves the list. */
static bool settle_list(double *y, bool *listed, const mixed_square *curvature, const double *d, size_t count) {
    for (;;) {
        double to[MIXED_SIDE], part = 1.0;
        size_t first = count;
        if (!least_of(to, curvature, d, listed, count)) {
            return false;
        }
        for (size_t i = 0; i < count; i++) {
            if (listed[i] && to[i] <= 0.0 && y[i] <= part * (y[i] - to[i])) {
                part = y[i] / (y[i] - to[i]);
                first = i;
            }
        }
        for (size_t i = 0; i < count; i++) {
            y[i] += part * (to[i] - y[i]);
        }
        if (first == count) {
            return true;
        }
        y[first] = 0.0;
        listed[first] = false;
    }
}

bool mixed_least_quadratic(double *y, const mixed_square *curvature, const double *d, size_t count) {
    enum { ROUNDS = 3 * MIXED_SIDE };
    bool listed[MIXED_SIDE] = {false};
    memset(y, 0, count * sizeof *y);
    for (int round = 0; round < ROUNDS; round++) {
        size_t best = count;
        double most = 0.0;
        for (size_t i = 0; i < count; i++) {
            double pull = -d[i];
            for (size_t j = 0; j < count; j++) {
                pull -= curvature->at[i][j] * y[j];
            }
            pull /= sqrt(fabs(curvature->at[i][i]));
            if (!listed[i] && pull > most) {
                most = pull;
                best = i;
            }
        }
        if (best == count) {
            return true;
        }
        listed[best] = true;
        if (!settle_list(y, listed, curvature, d, count)) {
            return false;
        }
    }
    return true; /* rounding turns in a circle: where it stands is as good */
}
