/* Dense kernels of the mixed model: some ten to some hundred rows, lower halves, sums in four strands. */
#include "stats/mixed_private.h"

double mixed_dot(const double *a, const double *b, size_t n) {
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

bool mixed_factorise(double *matrix, size_t side) {
    for (size_t i = 0; i < side; i++) {
        double *row = matrix + i * side;
        for (size_t j = 0; j < i; j++) {
            row[j] = (row[j] - mixed_dot(row, matrix + j * side, j)) / matrix[j * side + j];
        }
        double left = row[i] - mixed_dot(row, row, i);
        if (!(left > 0)) {
            return false;
        }
        row[i] = sqrt(left);
    }
    return true;
}

void mixed_invert(double *factor, double *half, size_t side) {
    for (size_t i = 0; i < side; i++) {
        const double *row = factor + i * side;
        for (size_t j = 0; j < i; j++) {
            half[j * side + i] = -mixed_dot(row + j, half + j * side + j, i - j) / row[i];
        }
        half[i * side + i] = 1 / row[i];
    }
    for (size_t i = 0; i < side; i++) {
        for (size_t j = 0; j <= i; j++) {
            factor[i * side + j] = mixed_dot(half + i * side + i, half + j * side + i, side - i);
        }
    }
}

void mixed_solve_down(double *x, const double *factor, size_t side) {
    for (size_t i = 0; i < side; i++) {
        x[i] = (x[i] - mixed_dot(factor + i * side, x, i)) / factor[i * side + i];
    }
}

void mixed_solve_up(double *x, const double *factor, size_t side) {
    for (size_t i = side; i-- > 0;) {
        x[i] /= factor[i * side + i];
        for (size_t j = 0; j < i; j++) {
            x[j] -= factor[i * side + j] * x[i];
        }
    }
}
