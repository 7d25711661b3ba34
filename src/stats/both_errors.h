/* A straight line through points that are uncertain in both coordinates, as two instruments that weigh the same pieces are. Least
 * squares of y on x then gives too small a slope. */
#ifndef AP_STATS_BOTH_ERRORS_H
#define AP_STATS_BOTH_ERRORS_H

#include "stats/stats.h"

typedef struct ap_both_line {
    double intercept;
    double slope;
} ap_both_line;

/* The line of Deming: error variance of y is `ratio` times that of x, the same at every point.
 *
 * Shape    n >= 3 finite points; ratio > 0.
 * Method   closed form of the least squares of both residuals.
 * Source   Deming 1943, Statistical Adjustment of Data; Fuller 1987, Measurement Error Models, section 1.3.
 * Accuracy 1e-12 relative.
 * Errors   AP_E_DOMAIN when a value is not finite, n < 3, the ratio is not above 0 or the points show no line. */
AP_MUST_USE ap_status ap_both_deming(ap_both_line *out, const double *x, const double *y, size_t n, double ratio,
                                     ap_error *err);

/* The line by maximum likelihood, each point with its own standard errors: least sum of (y - a - b x)^2 / (se_y^2 + b^2 se_x^2).
 *
 * Shape    n >= 3; se_x, se_y > 0.
 * Method   the slope's equation solved over and over from the weighted least squares of y on x.
 * Source   Ripley & Thompson 1987, Analyst 112:377-383; the equation is that of York 1969, Earth and Planetary Science
 *          Letters 5:320-324.
 * Accuracy 1e-12 relative between steps; the arsenate data of the first source to the 1e-8 that its minimisation gives.
 * Errors   as above; AP_E_LIMIT when the slope does not settle. */
AP_MUST_USE ap_status ap_both_likelihood(ap_both_line *out, const double *x, const double *se_x, const double *y,
                                         const double *se_y, size_t n, ap_error *err);

#endif
