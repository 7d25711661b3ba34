#include "stats/both_errors.h"

#include <math.h>

#include "stats/sample.h"

enum { POINTS_LEAST = 3, STEPS_MOST = 500 };

static ap_status check_points(const double *x, const double *y, size_t n, ap_error *err) {
    ap_status status = ap_sample_check(x, n, POINTS_LEAST, "a line", err);
    return status == AP_OK ? ap_sample_check(y, n, POINTS_LEAST, "a line", err) : status;
}

static ap_status no_line(ap_error *err) {
    return ap_error_set(err, AP_E_DOMAIN, "the points show no line: x and y do not vary together");
}

static double mean_of(const double *x, size_t n) {
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        sum += x[i];
    }
    return sum / (double)n;
}

ap_status ap_both_deming(ap_both_line *out, const double *x, const double *y, size_t n, double ratio, ap_error *err) {
    ap_status status = check_points(x, y, n, err);
    if (status != AP_OK) {
        return status;
    }
    if (!(ratio > 0) || !isfinite(ratio)) {
        return ap_error_set(err, AP_E_DOMAIN, "a ratio of error variances must be greater than 0, not %g", ratio);
    }
    double middle_x = mean_of(x, n);
    double middle_y = mean_of(y, n);
    double xx = 0;
    double xy = 0;
    double yy = 0;
    for (size_t i = 0; i < n; i++) {
        double dx = x[i] - middle_x;
        double dy = y[i] - middle_y;
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    }
    if (xy == 0) {
        return no_line(err);
    }
    double apart = yy - ratio * xx;
    double root = hypot(apart, 2 * sqrt(ratio) * xy);
    /* Of the two forms of one root the one that does not cancel. */
    double slope = apart > 0 ? (apart + root) / (2 * xy) : 2 * ratio * xy / (root - apart);
    *out = (ap_both_line){middle_y - slope * middle_x, slope};
    return AP_OK;
}

typedef struct points {
    const double *x, *se_x, *y, *se_y;
    size_t n;
} points;

static double weight_at(const points *p, size_t i, double slope) {
    return 1 / (p->se_y[i] * p->se_y[i] + slope * slope * p->se_x[i] * p->se_x[i]);
}

/* The line through the weighted middle, its slope from the equation at `slope`; with `slope` 0 the least squares of y on x. */
static ap_both_line next_line(const points *p, double slope) {
    double sum = 0;
    double middle_x = 0;
    double middle_y = 0;
    for (size_t i = 0; i < p->n; i++) {
        double w = weight_at(p, i, slope);
        sum += w;
        middle_x += w * p->x[i];
        middle_y += w * p->y[i];
    }
    middle_x /= sum;
    middle_y /= sum;
    double above = 0;
    double below = 0;
    for (size_t i = 0; i < p->n; i++) {
        double w = weight_at(p, i, slope);
        double dx = p->x[i] - middle_x;
        double dy = p->y[i] - middle_y;
        /* Where on the line the point itself is taken to lie, from its middle. */
        double at = w * (dx * p->se_y[i] * p->se_y[i] + slope * dy * p->se_x[i] * p->se_x[i]);
        above += w * at * dy;
        below += w * at * dx;
    }
    double next = above / below;
    return (ap_both_line){middle_y - next * middle_x, next};
}

ap_status ap_both_likelihood(ap_both_line *out, const double *x, const double *se_x, const double *y,
                             const double *se_y, size_t n, ap_error *err) {
    ap_status status = check_points(x, y, n, err);
    if (status == AP_OK) {
        status = check_points(se_x, se_y, n, err);
    }
    for (size_t i = 0; status == AP_OK && i < n; i++) {
        if (!(se_x[i] > 0) || !(se_y[i] > 0)) {
            status = ap_error_set(err, AP_E_DOMAIN,
                                  "a standard error must be greater than 0; point %zu of %zu has %g and %g", i + 1, n,
                                  se_x[i], se_y[i]);
        }
    }
    if (status != AP_OK) {
        return status;
    }
    const points p = {x, se_x, y, se_y, n};
    ap_both_line line = next_line(&p, 0);
    for (int step = 0; step < STEPS_MOST && isfinite(line.slope); step++) {
        ap_both_line next = next_line(&p, line.slope);
        bool settled = fabs(next.slope - line.slope) <= 1e-14 * fabs(next.slope);
        line = next;
        if (settled) {
            *out = line;
            return AP_OK;
        }
    }
    return isfinite(line.slope)
               ? ap_error_set(err, AP_E_LIMIT, "the slope of a line did not settle in %d steps", STEPS_MOST)
               : no_line(err);
}
