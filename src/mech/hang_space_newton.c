/* The energy of a hook's place, its minimiser, and Newton's method on the equilibrium of the tight legs.
 *
 * Newton's unknowns are the hook h and the tensions T of the tight legs:
 *     sum T_i u_i - v = 0,    v = (h - c)/|h - c|,  u_i = (h - p_i)/|h - p_i|
 *     |h - p_i| - L_i - T_i/k_i = 0   for each tight leg.
 * Putting T = k (stretch) into the first would lose as many digits as k has above one; so T stays an unknown. */
#include "mech/hang_space_parts.h"

enum {
    UNKNOWNS_MAX = 3 + AP_SPACE_LEGS_MAX,
    NEWTON_STEPS_MAX = 60,
    SET_CHANGES_MAX = 24,
    DESCENT_STEPS_MAX = 300,
    WALK_STEPS_MAX = 40
};

static const double SETTLED = 1e-12;    /* of the weight and of the scale */
static const double NULL_PIVOT = 1e-13; /* of the largest: a direction that nothing resists (free roll) */

typedef struct term {
    ap_v3 u;
    double distance;
    double stretch;
} term;

static term term_at(const ap_space_problem *problem, int i, ap_v3 hook) {
    ap_v3 d = ap_v3_sub(hook, problem->at[i]);
    double distance = ap_v3_norm(d);
    double inverse = distance > 0.0 ? 1.0 / distance : 0.0;
    return (term){{d.x * inverse, d.y * inverse, d.z * inverse}, distance, distance - problem->length[i]};
}

static double energy(ap_v3 *slope, const ap_space_problem *problem, const double *stiffness, ap_v3 hook) {
    ap_v3 d = ap_v3_sub(hook, problem->cg);
    double depth = ap_v3_norm(d);
    double u = -depth;
    double inverse = depth > 0.0 ? -1.0 / depth : 0.0;
    ap_v3 g = {d.x * inverse, d.y * inverse, d.z * inverse};
    for (int i = 0; i < problem->count; i++) {
        term t = term_at(problem, i, hook);
        if (t.stretch > 0.0) {
            u += 0.5 * stiffness[i] * t.stretch * t.stretch;
            g = ap_v3_along(g, stiffness[i] * t.stretch, t.u);
        }
    }
    if (slope)
        *slope = g;
    return u;
}

double ap_space_energy(const ap_space_problem *problem, ap_v3 hook) {
    return energy(NULL, problem, problem->stiffness, hook);
}

static ap_v3 from_vector(const gsl_vector *x) {
    return (ap_v3){gsl_vector_get(x, 0), gsl_vector_get(x, 1), gsl_vector_get(x, 2)};
}

static void to_vector(gsl_vector *x, ap_v3 v) {
    gsl_vector_set(x, 0, v.x);
    gsl_vector_set(x, 1, v.y);
    gsl_vector_set(x, 2, v.z);
}

static double value_only(const gsl_vector *x, void *params) {
    const ap_space_problem *problem = params;
    return energy(NULL, problem, problem->used, from_vector(x));
}

static void slope_only(const gsl_vector *x, void *params, gsl_vector *g) {
    const ap_space_problem *problem = params;
    ap_v3 slope;
    energy(&slope, problem, problem->used, from_vector(x));
    to_vector(g, slope);
}

static void value_and_slope(const gsl_vector *x, void *params, double *f, gsl_vector *g) {
    const ap_space_problem *problem = params;
    ap_v3 slope;
    *f = energy(&slope, problem, problem->used, from_vector(x));
    to_vector(g, slope);
}

ap_v3 ap_space_descend(ap_space_solver *solver, ap_v3 from, double steepest) {
    gsl_multimin_function_fdf target = {value_only, slope_only, value_and_slope, 3, &solver->problem};
    to_vector(solver->start, from);
    int code = gsl_multimin_fdfminimizer_set(solver->minimiser, &target, solver->start, 0.2, 0.1);
    for (int step = 0; step < DESCENT_STEPS_MAX && code == GSL_SUCCESS; step++) {
        code = gsl_multimin_fdfminimizer_iterate(solver->minimiser);
        if (code == GSL_SUCCESS && gsl_multimin_test_gradient(solver->minimiser->gradient, steepest) == GSL_SUCCESS)
            break;
    }
    return from_vector(gsl_multimin_fdfminimizer_x(solver->minimiser));
}

/* Complete pivoting; a direction without a pivot keeps its zero. Solves a x = b in place, the answer in b's order. */
static void solve(double a[UNKNOWNS_MAX][UNKNOWNS_MAX], double b[UNKNOWNS_MAX], double x[UNKNOWNS_MAX], int n) {
    int column[UNKNOWNS_MAX];
    int rank = 0;
    double first = 0.0;
    for (int i = 0; i < n; i++) {
        column[i] = i;
    }
    memset(x, 0, sizeof(double[UNKNOWNS_MAX]));
    for (; rank < n; rank++) {
        int row = rank;
        int col = rank;
        for (int i = rank; i < n; i++)
            for (int k = rank; k < n; k++)
                if (fabs(a[i][k]) > fabs(a[row][col])) {
                    row = i;
                    col = k;
                }
        double pivot = fabs(a[row][col]);
        first = rank == 0 ? pivot : first;
        if (!(pivot > NULL_PIVOT * first))
            break;
        for (int k = 0; k < n && row != rank; k++) {
            double t = a[rank][k];
            a[rank][k] = a[row][k];
            a[row][k] = t;
        }
        double t = b[rank];
        b[rank] = b[row];
        b[row] = t;
        for (int i = 0; i < n && col != rank; i++) {
            double s = a[i][rank];
            a[i][rank] = a[i][col];
            a[i][col] = s;
        }
        int c = column[rank];
        column[rank] = column[col];
        column[col] = c;
        for (int i = rank + 1; i < n; i++) {
            double m = a[i][rank] / a[rank][rank];
            for (int k = rank; k < n; k++)
                a[i][k] -= m * a[rank][k];
            b[i] -= m * b[rank];
        }
    }
    for (int i = rank - 1; i >= 0; i--) {
        double s = b[i];
        for (int k = i + 1; k < rank; k++)
            s -= a[i][k] * x[column[k]];
        x[column[i]] = s / a[i][i];
    }
}

/* The residual of Newton's equations, largest part; fills f when wanted. */
static double equations(double f[UNKNOWNS_MAX], const ap_space_problem *problem, const ap_space_point *point,
                        double yield) {
    ap_v3 d = ap_v3_sub(point->hook, problem->cg);
    double depth = ap_v3_norm(d);
    ap_v3 force = {-d.x / depth, -d.y / depth, -d.z / depth};
    int n = 3;
    for (int i = 0; i < problem->count; i++) {
        if (!point->tight[i])
            continue;
        term t = term_at(problem, i, point->hook);
        force = ap_v3_along(force, point->tension[i], t.u);
        f[n++] = t.stretch - point->tension[i] * fmax(1.0 / problem->stiffness[i], yield);
    }
    f[0] = force.x;
    f[1] = force.y;
    f[2] = force.z;
    double most = 0.0;
    for (int i = 0; i < n; i++)
        most = fmax(most, fabs(f[i]));
    return most;
}

/* Adds s (I - d d^T) to the upper left block. */
static void add_across(double a[UNKNOWNS_MAX][UNKNOWNS_MAX], double s, ap_v3 d) {
    const double v[3] = {d.x, d.y, d.z};
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++)
            a[i][k] += s * ((i == k ? 1.0 : 0.0) - v[i] * v[k]);
}

static int jacobian(double a[UNKNOWNS_MAX][UNKNOWNS_MAX], const ap_space_problem *problem, const ap_space_point *point,
                    double yield) {
    memset(a, 0, sizeof(double[UNKNOWNS_MAX][UNKNOWNS_MAX]));
    ap_v3 d = ap_v3_sub(point->hook, problem->cg);
    double depth = ap_v3_norm(d);
    add_across(a, -1.0 / depth, (ap_v3){d.x / depth, d.y / depth, d.z / depth});
    int n = 3;
    for (int i = 0; i < problem->count; i++) {
        if (!point->tight[i])
            continue;
        term t = term_at(problem, i, point->hook);
        add_across(a, point->tension[i] / t.distance, t.u);
        a[0][n] = a[n][0] = t.u.x;
        a[1][n] = a[n][1] = t.u.y;
        a[2][n] = a[n][2] = t.u.z;
        a[n][n] = -fmax(1.0 / problem->stiffness[i], yield);
        n++;
    }
    return n;
}

static ap_space_point stepped(const ap_space_problem *problem, const ap_space_point *point, const double *x,
                              double share) {
    ap_space_point next = *point;
    next.hook = (ap_v3){point->hook.x - share * x[0], point->hook.y - share * x[1], point->hook.z - share * x[2]};
    int n = 3;
    for (int i = 0; i < problem->count; i++)
        if (point->tight[i])
            next.tension[i] -= share * x[n++];
    return next;
}

/* `yield`: the least yield (1/stiffness) a leg is given, so that a start on softened springs can be walked to the
 * true ones. */
static bool newton(ap_space_point *point, const ap_space_problem *problem, double yield) {
    double f[UNKNOWNS_MAX];
    double a[UNKNOWNS_MAX][UNKNOWNS_MAX];
    double x[UNKNOWNS_MAX];
    double now = equations(f, problem, point, yield);
    for (int step = 0; step < NEWTON_STEPS_MAX && isfinite(now); step++) {
        int n = jacobian(a, problem, point, yield);
        solve(a, f, x, n);
        ap_space_point next = *point;
        double then = NAN;
        double trial[UNKNOWNS_MAX];
        for (int halving = 0; halving < 12; halving++) {
            double share = ldexp(1.0, -halving);
            next = stepped(problem, point, x, share);
            then = equations(trial, problem, &next, yield);
            if (then < now * (1.0 - 1e-4 * share))
                break;
        }
        if (!(then < now))
            return now <= SETTLED;
        bool last = now <= SETTLED && then > 0.1 * now; /* at the rounding of the numbers */
        *point = next;
        now = then;
        memcpy(f, trial, sizeof f);
        if (last || now == 0.0)
            break;
    }
    return now <= SETTLED;
}

/* Lets the leg go that pushes most, or takes up the one that is overlong by most. False when the set stands. */
static bool change_set(ap_space_point *point, const ap_space_problem *problem, double yield) {
    int which = -1;
    double worst = -SETTLED;
    for (int i = 0; i < problem->count; i++)
        if (point->tight[i] && point->tension[i] < worst) {
            worst = point->tension[i];
            which = i;
        }
    if (which >= 0) {
        point->tight[which] = false;
        point->tension[which] = 0.0;
        return true;
    }
    worst = SETTLED;
    for (int i = 0; i < problem->count; i++) {
        double stretch = point->tight[i] ? 0.0 : term_at(problem, i, point->hook).stretch;
        if (stretch > worst) {
            worst = stretch;
            which = i;
        }
    }
    if (which < 0)
        return false;
    point->tight[which] = true;
    point->tension[which] = worst / fmax(1.0 / problem->stiffness[which], yield);
    return true;
}

static bool settle_at(ap_space_point *point, const ap_space_problem *problem, double yield) {
    for (int change = 0; change < SET_CHANGES_MAX; change++) {
        if (!newton(point, problem, yield))
            return false;
        if (!change_set(point, problem, yield))
            return true;
    }
    return false;
}

bool ap_space_settle(ap_space_point *point, const ap_space_problem *problem, ap_v3 from) {
    ap_space_point start = {.hook = from};
    double least = 1.0;
    for (int i = 0; i < problem->count; i++) {
        double stretch = term_at(problem, i, from).stretch;
        start.tight[i] = stretch > 0.0;
        start.tension[i] = start.tight[i] ? stretch * fmin(problem->stiffness[i], AP_SPACE_SOFT) : 0.0;
        least = fmin(least, 1.0 / problem->stiffness[i]);
    }
    *point = start;
    if (settle_at(point, problem, 0.0))
        return true;
    /* The set of tight legs changes on the way: walk from the softened springs to the true ones. */
    *point = start;
    for (int step = 0; step < WALK_STEPS_MAX; step++) {
        double yield = pow(0.3, step) / AP_SPACE_SOFT;
        if (yield <= least)
            break;
        if (!settle_at(point, problem, yield))
            return false;
    }
    return settle_at(point, problem, 0.0);
}

double ap_space_residual(const ap_space_problem *problem, const ap_space_point *point) {
    ap_v3 d = ap_v3_sub(point->hook, problem->cg);
    double depth = ap_v3_norm(d);
    ap_v3 force = {-d.x / depth, -d.y / depth, -d.z / depth};
    ap_v3 moment = {0.0, 0.0, 0.0};
    for (int i = 0; i < problem->count; i++) {
        term t = term_at(problem, i, point->hook);
        ap_v3 pull = ap_v3_along((ap_v3){0.0, 0.0, 0.0}, point->tension[i], t.u);
        ap_v3 arm = ap_v3_sub(problem->at[i], problem->cg);
        force = ap_v3_along(force, 1.0, pull);
        moment = ap_v3_along(moment, 1.0, ap_v3_cross(arm, pull));
    }
    return fmax(ap_v3_norm(force), ap_v3_norm(moment));
}

/* Jacobi's rotations on a symmetric 3 x 3 matrix; columns of v become the directions. */
static void eigen(double a[3][3], double v[3][3]) {
    static const int pairs[3][2] = {{0, 1}, {0, 2}, {1, 2}};
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++)
            v[i][k] = i == k ? 1.0 : 0.0;
    for (int sweep = 0; sweep < 30; sweep++) {
        double off = fabs(a[0][1]) + fabs(a[0][2]) + fabs(a[1][2]);
        if (off <= 1e-16 * (fabs(a[0][0]) + fabs(a[1][1]) + fabs(a[2][2])))
            return;
        for (int pair = 0; pair < 3; pair++) {
            int p = pairs[pair][0];
            int q = pairs[pair][1];
            if (a[p][q] == 0.0)
                continue;
            double theta = (a[q][q] - a[p][p]) / (2.0 * a[p][q]);
            double t = (theta >= 0.0 ? 1.0 : -1.0) / (fabs(theta) + sqrt(theta * theta + 1.0));
            double c = 1.0 / sqrt(t * t + 1.0);
            double s = t * c;
            for (int k = 0; k < 3; k++) {
                double x = a[k][p];
                double y = a[k][q];
                a[k][p] = c * x - s * y;
                a[k][q] = s * x + c * y;
            }
            for (int k = 0; k < 3; k++) {
                double x = a[p][k];
                double y = a[q][k];
                a[p][k] = c * x - s * y;
                a[q][k] = s * x + c * y;
            }
            for (int k = 0; k < 3; k++) {
                double x = v[k][p];
                double y = v[k][q];
                v[k][p] = c * x - s * y;
                v[k][q] = s * x + c * y;
            }
        }
    }
}

double ap_space_least_curvature(ap_v3 *direction, const ap_space_problem *problem, const ap_space_point *point) {
    double a[UNKNOWNS_MAX][UNKNOWNS_MAX];
    double h[3][3];
    double v[3][3];
    jacobian(a, problem, point, 0.0);
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++)
            h[i][k] = a[i][k];
    /* A stiffness above 1e6 tells the sign of the small curvatures no better and hides it under rounding. */
    for (int i = 0; i < problem->count; i++) {
        if (!point->tight[i])
            continue;
        term t = term_at(problem, i, point->hook);
        const double u[3] = {t.u.x, t.u.y, t.u.z};
        for (int r = 0; r < 3; r++)
            for (int k = 0; k < 3; k++)
                h[r][k] += fmin(problem->stiffness[i], 1e6) * u[r] * u[k];
    }
    eigen(h, v);
    int least = h[0][0] <= h[1][1] ? 0 : 1;
    least = h[2][2] < h[least][least] ? 2 : least;
    *direction = (ap_v3){v[0][least], v[1][least], v[2][least]};
    return h[least][least];
}
