/* What the files of the solver in space share. Lengths are over `scale_m`, forces over the weight, stiffness
 * accordingly. */
#ifndef AP_MECH_HANG_SPACE_PARTS_H
#define AP_MECH_HANG_SPACE_PARTS_H

#include <gsl/gsl_multimin.h>

#include "mech/hang_space.h"

typedef struct ap_v3 {
    double x, y, z;
} ap_v3;

static inline ap_v3 ap_v3_sub(ap_v3 a, ap_v3 b) {
    return (ap_v3){a.x - b.x, a.y - b.y, a.z - b.z};
}

static inline ap_v3 ap_v3_along(ap_v3 a, double t, ap_v3 d) {
    return (ap_v3){a.x + t * d.x, a.y + t * d.y, a.z + t * d.z};
}

static inline double ap_v3_dot(ap_v3 a, ap_v3 b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static inline ap_v3 ap_v3_cross(ap_v3 a, ap_v3 b) {
    return (ap_v3){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

static inline double ap_v3_norm(ap_v3 a) {
    return sqrt(ap_v3_dot(a, a));
}

/* The problem without dimensions. */
typedef struct ap_space_problem {
    int count;
    ap_v3 at[AP_SPACE_LEGS_MAX];
    double length[AP_SPACE_LEGS_MAX];
    double stiffness[AP_SPACE_LEGS_MAX]; /* true */
    double used[AP_SPACE_LEGS_MAX];      /* as the minimiser sees it: never above AP_SPACE_SOFT */
    ap_v3 cg;
    bool collinear; /* attach points and centre of gravity: turning about that line is free */
} ap_space_problem;

#define AP_SPACE_SOFT                                                                                                  \
    300.0 /* stretch of 1/300 of the scale under the whole weight: quick to minimise, near enough to start from */

/* A place of the hook with the tensions that hold it. */
typedef struct ap_space_point {
    ap_v3 hook;
    double tension[AP_SPACE_LEGS_MAX];
    bool tight[AP_SPACE_LEGS_MAX];
} ap_space_point;

struct ap_space_solver {
    gsl_multimin_fdfminimizer *minimiser;
    gsl_vector *start;
    ap_space_problem problem;
};

/* U without dimensions at the true stiffness. */
double ap_space_energy(const ap_space_problem *problem, ap_v3 hook);
/* [S2] The minimiser from this start, until U is no steeper than that; the best hook it came to. */
ap_v3 ap_space_descend(ap_space_solver *solver, ap_v3 from, double steepest);
/* [S2] Newton with the tight set adjusted; false when it does not settle. */
bool ap_space_settle(ap_space_point *point, const ap_space_problem *problem, ap_v3 from);
/* Sum of forces and of moments about the centre of gravity, the larger. */
double ap_space_residual(const ap_space_problem *problem, const ap_space_point *point);
/* [S3] Least eigenvalue of the second derivative of U, and its direction; `tight` legs are springs, others are not
 * there. */
double ap_space_least_curvature(ap_v3 *direction, const ap_space_problem *problem, const ap_space_point *point);

#endif
