/* Small least squares: up to 16 coefficients, by Householder QR with scaled columns. */
#ifndef AP_STATS_REGRESSION_H
#define AP_STATS_REGRESSION_H

#include "stats/stats.h"

enum { AP_REGRESSION_MAX = 16 };

typedef struct ap_regression {
    size_t n;
    size_t p;       /* coefficients, the intercept among them */
    bool intercept; /* coefficient 0 is the intercept */
    double coefficient[AP_REGRESSION_MAX];
    double se[AP_REGRESSION_MAX];
    double covariance[AP_REGRESSION_MAX][AP_REGRESSION_MAX]; /* of the coefficients */
    double residual_sd;                                      /* 0 for an exact fit */
    double residual_ss;
    double model_ss; /* about the mean with an intercept, about 0 without */
    double r_squared;
    double df; /* n - p */
} ap_regression;

/* Fits y = b0 + b1 x1 + ...
 *
 * Shape    x is n rows of `columns` values, row after row, without a column of ones; weights NULL or n values > 0
 *          (inverse variances up to a common factor); n > number of coefficients.
 * Method   columns scaled by powers of two, Householder QR with pivoting, answer and residual refined together.
 * Source   Golub & Van Loan 2013, Matrix Computations, chapter 5; Bjorck 1967, BIT 7:257-278 (refinement). The
 *          factors are those of the GNU Scientific Library.
 * Accuracy NIST StRD, relative: Norris 1e-13, Pontius, NoInt1/2, Wampler 1, 2 and 5 1e-12, Longley 1e-11, Filip 1e-7.
 * Errors   AP_E_DOMAIN when columns depend on each other (pivot ratio below 1e-14), n is too small or a value is not
 *          finite; AP_E_LIMIT above 16 coefficients. */
AP_MUST_USE ap_status ap_regression_fit(ap_regression *out, const double *y, const double *x, const double *weights,
                                        size_t n, size_t columns, bool intercept, ap_error *err);

/* Fitted value at one row of x and its standard error (of the mean, not of a new value). */
AP_MUST_USE ap_status ap_regression_predict(double *mean, double *se, const ap_regression *fit, const double *row,
                                            ap_error *err);

#endif
