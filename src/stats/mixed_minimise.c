#include "stats/mixed_private.h"
#include "stats/sample.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multimin.h>

enum { MOST_STEPS = 200, PARAMETERS = AP_MIXED_FACTORS_MAX + 1 };
static const double most_theta = 1e4; /* beyond: no rest to speak of */

/* What the minimiser's callbacks see. */
typedef struct search {
    mixed_work *work;
    const mixed_system *system;
    size_t place[PARAMETERS]; /* parameters that are free */
    double unit[PARAMETERS];  /* theta per unit of the search: 1 / sqrt(levels) evens out the curvature */
    size_t count;
    int evaluations;
} search;

static bool is_held(const mixed_system *system, size_t k) {
    return k < system->factors ? system->held[k] != AP_MIXED_TOLD_APART : system->held[k] != 0;
}

static void spread(double *theta, const search *find, const gsl_vector *x) {
    for (size_t k = 0; k < PARAMETERS; k++) {
        theta[k] = 0.0;
    }
    for (size_t i = 0; i < find->count; i++) {
        theta[find->place[i]] = gsl_vector_get(x, i) * find->unit[i];
    }
}

static void value_and_slope(const gsl_vector *x, void *context, double *value, gsl_vector *slope) {
    search *find = context;
    double theta[PARAMETERS];
    mixed_point point = {0};
    spread(theta, find, x);
    bool within = true;
    for (size_t k = 0; k < PARAMETERS; k++) {
        within = within && fabs(theta[k]) < most_theta;
    }
    find->evaluations++;
    within = within && mixed_evaluate(&point, find->work, find->system, theta, slope != NULL);
    *value = within ? point.criterion : GSL_NAN;
    if (slope) {
        double s2 = point.r2 / ((double)find->system->picks - 1.0);
        for (size_t i = 0; i < find->count; i++) {
            size_t k = find->place[i];
            gsl_vector_set(slope, i, within ? (point.trace[k] - point.square[k] / s2) * find->unit[i] : GSL_NAN);
        }
    }
}

static double value_only(const gsl_vector *x, void *context) {
    double value = 0.0;
    value_and_slope(x, context, &value, NULL);
    return value;
}

static void slope_only(const gsl_vector *x, void *context, gsl_vector *slope) {
    double value = 0.0;
    value_and_slope(x, context, &value, slope);
}

static double largest(const gsl_vector *slope) {
    double most = 0.0;
    for (size_t i = 0; i < slope->size; i++) {
        most = fmax(most, fabs(gsl_vector_get(slope, i)));
    }
    return most;
}

/* From `start`; keeps the answer in *best when it is lower. The search is begun anew where it stops making progress:
 * its memory of the curvature may be what stops it. */
static ap_status search_from(mixed_minimum *best, search *find, const double *start, ap_error *err) {
    gsl_multimin_function_fdf target = {value_only, slope_only, value_and_slope, find->count, find};
    gsl_vector *x = gsl_vector_alloc(find->count);
    gsl_multimin_fdfminimizer *minimizer =
        gsl_multimin_fdfminimizer_alloc(gsl_multimin_fdfminimizer_vector_bfgs2, find->count);
    ap_status status = AP_OK;
    if (!x || !minimizer) {
        status = ap_sample_no_memory("a mixed model", err);
        goto done;
    }
    for (size_t i = 0; i < find->count; i++) {
        gsl_vector_set(x, i, start[find->place[i]] / find->unit[i]);
    }
    int steps = 0;
    for (int round = 0; round < 3 && steps < MOST_STEPS; round++) {
        double first_step = round == 0 ? 0.1 * gsl_blas_dnrm2(x) : 1e-3;
        int code = gsl_multimin_fdfminimizer_set(minimizer, &target, x, first_step, 0.1);
        while (code == GSL_SUCCESS && steps < MOST_STEPS && largest(minimizer->gradient) > 1e-5) {
            code = gsl_multimin_fdfminimizer_iterate(minimizer);
            steps++;
        }
        gsl_vector_memcpy(x, minimizer->x);
        if (largest(minimizer->gradient) <= 1e-5) {
            break;
        }
    }
    best->iterations += steps;
    if (isfinite(minimizer->f) && minimizer->f < best->criterion) {
        best->criterion = minimizer->f;
        best->gradient = largest(minimizer->gradient);
        spread(best->theta, find, x);
    }
done:
    if (minimizer) {
        gsl_multimin_fdfminimizer_free(minimizer);
    }
    if (x) {
        gsl_vector_free(x);
    }
    return status;
}

/* A parameter near 0 is set to 0 where that is no worse: the criterion is flat there, and the answer is 0. */
static bool try_zeros(mixed_minimum *best, search *find) {
    bool any = false;
    for (size_t i = 0; i < find->count; i++) {
        size_t k = find->place[i];
        best->theta[k] = fabs(best->theta[k]);
        if (best->theta[k] > 0.0 && best->theta[k] < 0.02) {
            double kept = best->theta[k];
            mixed_point point = {0};
            best->theta[k] = 0.0;
            find->evaluations++;
            bool within = mixed_evaluate(&point, find->work, find->system, best->theta, false);
            if (within && point.criterion <= best->criterion + 1e-9) {
                best->criterion = fmin(best->criterion, point.criterion);
                any = true;
            } else {
                best->theta[k] = kept;
            }
        }
        any = any || best->theta[k] == 0.0;
    }
    return any;
}

ap_status mixed_minimise(mixed_minimum *out, mixed_work *work, const mixed_system *system, ap_error *err) {
    search find = {.work = work, .system = system};
    mixed_minimum best = {.criterion = INFINITY};
    double start[PARAMETERS];
    for (size_t k = 0; k <= system->factors; k++) {
        if (!is_held(system, k)) {
            double levels =
                k < system->factors ? (double)(system->first_row[k + 1] - system->first_row[k]) : (double)system->trees;
            find.unit[find.count] = 1.0 / sqrt(levels);
            find.place[find.count++] = k;
        }
    }
    ap_status status = AP_OK;
    static const double starts[] = {1.0, 0.15};
    for (size_t s = 0; s < 2 && find.count > 0 && status == AP_OK; s++) {
        for (size_t k = 0; k < PARAMETERS; k++) {
            start[k] = starts[s];
        }
        status = search_from(&best, &find, start, err);
        if (status == AP_OK && isfinite(best.criterion) && !try_zeros(&best, &find)) {
            break; /* no zero to doubt: the second start is for those */
        }
    }
    if (status != AP_OK) {
        return status;
    }
    best.evaluations = find.evaluations;
    if (!mixed_polish(&best, work, system)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a mixed model leaves no rest variance: the errors follow from the groups exactly");
    }
    *out = best;
    return AP_OK;
}
