#include "stats/mixed_private.h"

/* The least of the criterion over variances of 0 or more, and what its curvature there says about the scale.
 *
 * Steps are made in g = theta^2: far off with the expected curvature, which takes balanced data to the answer at once, close by
 * with the exact one; a variance that a step would make negative goes to 0 and the others' step is worked out again; a step that
 * does not lower the criterion is halved. At 0 the slope decides whether a variance stays there.
 * Source   Patterson & Thompson 1971 (the expected curvature); Jennrich & Sampson 1976, Technometrics 18:11-17 (scoring, then
 *          Newton, and variances at 0). */

enum { MOST_STEPS = 100, MOST_HALVINGS = 30, MOST_RIDGES = 12 };
static const double most_size = 1e8;    /* of g: beyond, no rest to speak of */
static const double doubted_size = 1e6; /* a search that ends above it has not found where to stop */
static const double lifted_size = 1e-6; /* of g that leaves 0 */
static const double tried_size = 4e-4;  /* below, 0 is tried */
static const double near_fall = 1.0;    /* expected fall of the criterion from where on the exact curvature is used */
static const double settled_fall = 1e-13;

/* What is known at a point. */
typedef struct spot {
    double size[MIXED_PARAMETERS]; /* g */
    double criterion, s2;
    size_t place[MIXED_PARAMETERS]; /* parameters above 0 */
    size_t count;
    double slope[MIXED_PARAMETERS]; /* by place, like the rest */
    mixed_square expected, exact;   /* curvatures */
} spot;

typedef struct search {
    mixed_work *work;
    const mixed_system *system;
    bool free[MIXED_PARAMETERS];
    int steps;
    int evaluations;
} search;

static void roots(double *theta, const double *size) {
    for (size_t k = 0; k < MIXED_PARAMETERS; k++) {
        theta[k] = sqrt(size[k]);
    }
}

/* Infinite where the criterion is not defined. */
static double value_at(search *find, const double *size) {
    mixed_point point = {0};
    double theta[MIXED_PARAMETERS];
    roots(theta, size);
    bool within = true;
    for (size_t k = 0; k <= find->system->factors; k++) {
        within = within && size[k] < most_size;
    }
    find->evaluations++;
    return within && mixed_evaluate(&point, find->work, find->system, theta, false) ? point.criterion : INFINITY;
}

/* Variances at 0 from where the criterion falls are lifted; how many. */
static size_t lift(spot *here, search *find, const mixed_point *at, const double *theta, double to) {
    size_t lifted = 0;
    for (size_t k = 0; k <= find->system->factors; k++) {
        if (find->free[k] && theta[k] == 0.0 && mixed_slope_at_zero(find->work, find->system, at, theta, k) < 0.0) {
            here->size[k] = to;
            lifted++;
        }
    }
    return lifted;
}

/* Criterion, slope and curvatures at here->size. */
static bool look(spot *here, search *find) {
    mixed_point at = {0};
    mixed_curve curve;
    double theta[MIXED_PARAMETERS], trace[MIXED_PARAMETERS], square[MIXED_PARAMETERS];
    roots(theta, here->size);
    find->evaluations++;
    if (!mixed_evaluate(&at, find->work, find->system, theta, true)) {
        return false;
    }
    mixed_curvature(&curve, find->work, find->system, theta);
    double df = (double)find->system->picks - 1.0, s2 = at.r2 / df;
    here->criterion = at.criterion;
    here->s2 = s2;
    here->count = 0;
    for (size_t k = 0; k <= find->system->factors; k++) {
        if (find->free[k] && theta[k] > 0.0) {
            trace[here->count] = at.trace[k] / (2.0 * theta[k]);
            square[here->count] = at.square[k] / (2.0 * theta[k]) / s2;
            here->place[here->count++] = k;
        }
    }
    for (size_t i = 0; i < here->count; i++) {
        here->slope[i] = trace[i] - square[i];
        for (size_t j = 0; j < here->count; j++) {
            double product = curve.trace[here->place[i]][here->place[j]];
            here->expected.at[i][j] = product - trace[i] * trace[j] / df;
            here->exact.at[i][j] =
                2.0 * curve.square[here->place[i]][here->place[j]] / s2 - product - square[i] * square[j] / df;
        }
    }
    return true;
}

/* The step to the least of the quadratic with this curvature where no variance is negative; *fall is what it expects to gain.
 * False unless the curvature is positive definite. */
static bool step_with(double *step, double *fall, const spot *here, const mixed_square *curvature) {
    double y[MIXED_PARAMETERS], d[MIXED_PARAMETERS];
    for (size_t i = 0; i < here->count; i++) {
        d[i] = here->slope[i];
        for (size_t j = 0; j < here->count; j++) {
            d[i] -= curvature->at[i][j] * here->size[here->place[j]];
        }
    }
    if (!mixed_least_quadratic(y, curvature, d, here->count)) {
        return false;
    }
    *fall = 0.0;
    for (size_t i = 0; i < here->count; i++) {
        step[i] = y[i] - here->size[here->place[i]];
        *fall -= here->slope[i] * step[i];
    }
    for (size_t i = 0; i < here->count; i++) {
        for (size_t j = 0; j < here->count; j++) {
            *fall -= 0.5 * step[i] * curvature->at[i][j] * step[j];
        }
    }
    return *fall >= 0.0;
}

/* *exact: the step is Newton's. Else the expected curvature is raised until it allows a step. */
static bool choose_step(double *step, double *fall, bool *exact, const spot *here) {
    double newton[MIXED_PARAMETERS], newton_fall = 0.0;
    mixed_square curvature;
    bool expected = false;
    double ridge = 0.0;
    for (int i = 0; !expected && i < MOST_RIDGES; i++) {
        curvature = here->expected;
        for (size_t k = 0; k < here->count; k++) {
            curvature.at[k][k] *= 1.0 + ridge;
        }
        expected = step_with(step, fall, here, &curvature);
        ridge = ridge > 0.0 ? 10.0 * ridge : 1e-10;
    }
    *exact = (!expected || *fall < near_fall) && step_with(newton, &newton_fall, here, &here->exact);
    if (*exact) {
        memcpy(step, newton, here->count * sizeof *step);
        *fall = newton_fall;
    }
    return *exact || expected;
}

/* Along the step until the criterion is lower. False when it is not: rounding is all that is left. */
static bool move(spot *here, search *find, const double *step) {
    double noise = 1e-13 * fmax(1.0, fabs(here->criterion)), reach = 1.0;
    for (int i = 0; i < MOST_HALVINGS; i++) {
        double next[MIXED_PARAMETERS];
        memcpy(next, here->size, sizeof next);
        for (size_t j = 0; j < here->count; j++) {
            size_t k = here->place[j];
            next[k] = fmax(0.0, next[k] + reach * step[j]);
        }
        if (value_at(find, next) <= here->criterion + noise) {
            memcpy(here->size, next, sizeof next);
            return true;
        }
        reach /= 2.0;
    }
    return false;
}

/* A variance next to 0 is set to 0 where that is no worse to what counts; whether any was. */
static bool try_zeros(spot *here, search *find) {
    bool any = false;
    for (size_t k = 0; k <= find->system->factors; k++) {
        double kept = here->size[k];
        if (kept > 0.0 && kept < tried_size) {
            here->size[k] = 0.0;
            double at_zero = value_at(find, here->size);
            bool as_low = at_zero <= here->criterion + 1e-9;
            here->size[k] = as_low ? 0.0 : kept;
            any = any || as_low;
        }
    }
    return any;
}

/* Steps from here->size until nothing is left to gain. False when the criterion is not finite there. */
static bool descend(spot *here, mixed_minimum *verdict, search *find) {
    double step[MIXED_PARAMETERS];
    bool exact = false;
    bool fine = look(here, find);
    for (int i = 0; fine && i < MOST_STEPS; i++) {
        verdict->fall = 0.0;
        verdict->converged = here->count == 0;
        if (here->count == 0 || !choose_step(step, &verdict->fall, &exact, here)) {
            break;
        }
        verdict->converged = exact && verdict->fall < 1e-6;
        if ((exact && verdict->fall < settled_fall) || !move(here, find, step)) {
            break;
        }
        find->steps++;
        fine = look(here, find);
    }
    return fine;
}

/* True when some variance left 0, and the search has to go on. */
static bool leave_zeros(spot *here, search *find, double to) {
    mixed_point at = {0};
    double theta[MIXED_PARAMETERS];
    roots(theta, here->size);
    find->evaluations++;
    return mixed_evaluate(&at, find->work, find->system, theta, true) && lift(here, find, &at, theta, to) > 0;
}

/* One search, with all variances at `start`. False when the criterion is not finite there. */
static bool search_from(spot *here, mixed_minimum *verdict, search *find, double start) {
    enum { ROUNDS = 4 };
    for (size_t k = 0; k <= find->system->factors; k++) {
        here->size[k] = find->free[k] ? start : 0.0;
    }
    bool fine = descend(here, verdict, find);
    double lifted = lifted_size; /* from below the answer a step goes toward it: the next try is lower */
    for (int round = 0; fine && round < ROUNDS && leave_zeros(here, find, lifted); round++) {
        fine = descend(here, verdict, find);
        lifted /= 10.0;
    }
    return fine;
}

static bool any_zero(const spot *here, const search *find) {
    bool any = false;
    for (size_t k = 0; k <= find->system->factors; k++) {
        any = any || (find->free[k] && here->size[k] == 0.0);
    }
    return any;
}

static void write_verdict(mixed_minimum *out, const spot *here, const search *find) {
    out->criterion = here->criterion;
    out->gradient = 0.0;
    roots(out->theta, here->size);
    for (size_t i = 0; i < here->count; i++) {
        out->gradient = fmax(out->gradient, fabs(2.0 * out->theta[here->place[i]] * here->slope[i]));
        out->converged = out->converged && here->size[here->place[i]] < doubted_size;
    }
    out->iterations = find->steps;
    out->evaluations = find->evaluations;
}

ap_status mixed_minimise(mixed_minimum *out, mixed_work *work, const mixed_system *system, ap_error *err) {
    static const double starts[] = {1.0, 0.02};
    search find = {.work = work, .system = system};
    spot here = {.count = 0};
    mixed_minimum verdict = {0};
    bool found = false;
    for (size_t k = 0; k <= system->factors; k++) {
        find.free[k] = k < system->factors ? system->held[k] == AP_MIXED_TOLD_APART : system->held[k] == 0;
    }
    for (size_t s = 0; s < 2 && (!found || any_zero(&here, &find));
         s++) { /* where there are zeros, others may be lower */
        spot other = {.count = 0};
        mixed_minimum said = {0};
        if (search_from(&other, &said, &find, starts[s]) && (!found || other.criterion < here.criterion)) {
            here = other;
            verdict = said;
            found = true;
        }
    }
    if (found && try_zeros(&here, &find)) {
        found = descend(&here, &verdict, &find);
    }
    if (!found) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a mixed model leaves no rest variance: the errors follow from the groups exactly");
    }
    write_verdict(&verdict, &here, &find);
    *out = verdict;
    return AP_OK;
}

/* Satterthwaite: Var(scale2) from the curvature of the criterion in the free variances and ln s2 (s2 the rest's variance),
 *     D(g, ln s2) = ln-parts + (N - 1) ln s2 + r2 / s2,   Cov = 2 (D'')^-1,
 * at the point where s2 = r2 / (N - 1). Rows with ln s2 are in closed form. */
static double scale_df(const mixed_point *at, const mixed_curve *parts, const mixed_system *system,
                       const double *theta) {
    mixed_square curve = {{{0}}};
    double right[MIXED_SIDE] = {0}, solved[MIXED_SIDE] = {0};
    double df = (double)system->picks - 1.0, s2 = at->r2 / df, tree = theta[system->factors];
    size_t place[MIXED_PARAMETERS], n = 0;
    for (size_t k = 0; k <= system->factors; k++) {
        if (theta[k] > 0.0) {
            place[n++] = k;
        }
    }
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < n; j++) {
            curve.at[i][j] = 2.0 * parts->square[place[i]][place[j]] / s2 - parts->trace[place[i]][place[j]];
        }
        curve.at[i][n] = curve.at[n][i] = at->square[place[i]] / (2.0 * theta[place[i]]) / s2;
        right[i] = place[i] == system->factors ? s2 : 0.0; /* d scale2 / d g */
    }
    curve.at[n][n] = df;
    double scale2 = s2 * (1.0 + tree * tree);
    right[n] = scale2; /* d scale2 / d ln s2 */
    if (!mixed_solve(solved, &curve, right, n + 1)) {
        return 1.0; /* flat in some direction: the least that can be said */
    }
    double variance = 0.0;
    for (size_t i = 0; i <= n; i++) {
        variance += 2.0 * right[i] * solved[i];
    }
    double found = 2.0 * scale2 * scale2 / variance;
    return isfinite(found) ? fmin(df, fmax(1.0, found)) : 1.0; /* all but flat: the same */
}

bool mixed_scale_df(double *df, mixed_point *at, mixed_work *work, const mixed_system *system,
                    const mixed_minimum *minimum) {
    mixed_curve parts;
    if (!mixed_evaluate(at, work, system, minimum->theta, true)) {
        return false;
    }
    mixed_curvature(&parts, work, system, minimum->theta);
    *df = scale_df(at, &parts, system, minimum->theta);
    return true;
}
