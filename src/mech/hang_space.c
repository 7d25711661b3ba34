#include "mech/hang_space.h"

#include <gsl/gsl_errno.h>

#include "mech/hang_space_parts.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;
/* Legs this close to a straight line have no finite tension worth printing (as in hang.c). */
static const double FLAT_TOLERANCE = 1e-6;
static const double SAME_PLACE = 1e-6; /* of the scale */
static const double STIFF = 1e5;       /* the most the minimiser takes on where softening is not wanted */
static const double UNSTABLE = -1e-7;  /* second derivative over weight and scale; rounding stays far below */

enum { STARTS_MAX = 16, MEET_STEPS_MAX = 2000 };

ap_status ap_space_solver_new(ap_space_solver **out, ap_error *err) {
    gsl_set_error_handler_off();
    *out = NULL;
    ap_space_solver *solver = calloc(1, sizeof *solver);
    if (solver) {
        solver->minimiser = gsl_multimin_fdfminimizer_alloc(gsl_multimin_fdfminimizer_vector_bfgs2, 3);
        solver->start = gsl_vector_alloc(3);
    }
    if (!solver || !solver->minimiser || !solver->start) {
        ap_space_solver_free(solver);
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the hang of a piece");
    }
    *out = solver;
    return AP_OK;
}

void ap_space_solver_free(ap_space_solver *solver) {
    if (!solver)
        return;
    if (solver->minimiser)
        gsl_multimin_fdfminimizer_free(solver->minimiser);
    gsl_vector_free(solver->start);
    free(solver);
}

static ap_v3 attach(const ap_space_leg *leg) {
    return (ap_v3){leg->at_m, leg->off_m, leg->side_m};
}

static ap_status check_piece(const ap_space_piece *piece, ap_error *err) {
    if (!(piece->weight_n > 0.0) || !isfinite(piece->weight_n))
        return ap_error_set(err, AP_E_DOMAIN, "a weight of %.6g N does not hang", piece->weight_n);
    if (!isfinite(piece->cg_m) || !isfinite(piece->cg_side_m))
        return ap_error_set(err, AP_E_DOMAIN, "the centre of gravity is not known");
    if (isnan(piece->length_m))
        return AP_OK;
    if (!(piece->length_m > 0.0) || !isfinite(piece->length_m))
        return ap_error_set(err, AP_E_DOMAIN, "a piece of %.3f m does not hang", piece->length_m);
    if (piece->cg_m < 0.0 || piece->cg_m > piece->length_m * (1.0 + 1e-9))
        return ap_error_set(err, AP_E_DOMAIN,
                            "the centre of gravity at %.3f m from the butt is not on a piece of %.3f m", piece->cg_m,
                            piece->length_m);
    return AP_OK;
}

static ap_status check_leg(const ap_space_leg *leg, int i, const ap_space_piece *piece, ap_error *err) {
    if (!isfinite(leg->at_m) || !isfinite(leg->off_m) || !isfinite(leg->side_m) || !isfinite(leg->length_m))
        return ap_error_set(err, AP_E_DOMAIN, "leg %d needs its attach point and its length", i + 1);
    if (!(leg->length_m > 0.0))
        return ap_error_set(err, AP_E_DOMAIN, "leg %d: a leg of %.3f m carries nothing", i + 1, leg->length_m);
    if (!isnan(piece->length_m) && (leg->at_m < 0.0 || leg->at_m > piece->length_m * (1.0 + 1e-9)))
        return ap_error_set(err, AP_E_DOMAIN, "leg %d is attached %.3f m from the butt: not on a piece of %.3f m",
                            i + 1, leg->at_m, piece->length_m);
    if (!(leg->stiffness_n_m > 0.0) || !isfinite(leg->stiffness_n_m))
        return ap_error_set(err, AP_E_DOMAIN, "leg %d: a stiffness of %.6g N/m is not above zero", i + 1,
                            leg->stiffness_n_m);
    if (piece->weight_n / leg->stiffness_n_m > leg->length_m)
        return ap_error_set(
            err, AP_E_DOMAIN, "leg %d: %.6g N on a leg of %.6g N/m would stretch its %.3f m by %.3f m: no sling does",
            i + 1, piece->weight_n, leg->stiffness_n_m, leg->length_m, piece->weight_n / leg->stiffness_n_m);
    return AP_OK;
}

static ap_status check_pair(const ap_space_leg *legs, int i, int k, double scale_m, ap_error *err) {
    double spacing = ap_v3_norm(ap_v3_sub(attach(&legs[i]), attach(&legs[k])));
    if (spacing <= SAME_PLACE * scale_m)
        return ap_error_set(err, AP_E_DOMAIN,
                            "legs %d and %d are both attached %.3f m from the butt: give two legs in one place as one",
                            i + 1, k + 1, legs[i].at_m);
    double reach = legs[i].length_m + legs[k].length_m;
    if (reach <= spacing * (1.0 + FLAT_TOLERANCE))
        return ap_error_set(err, AP_E_DOMAIN,
                            "legs of %.3f m and %.3f m cannot meet over attach points %.3f m apart: %.3f m are missing",
                            legs[i].length_m, legs[k].length_m, spacing, spacing - reach);
    return AP_OK;
}

/* Three and more legs can each reach every other and still have no place in common: a point is moved to the nearest
 * place the worst-served leg reaches, again and again; where none is common to all, something stays missing. */
static ap_status check_meeting(const ap_space_problem *p, double scale_m, ap_error *err) {
    ap_v3 h = {0.0, 0.0, 0.0};
    for (int i = 0; i < p->count; i++)
        h = ap_v3_along(h, 1.0 / p->count, p->at[i]);
    double missing = 0.0;
    int worst = -1;
    for (int step = 0; step < MEET_STEPS_MAX; step++) {
        missing = FLAT_TOLERANCE;
        worst = -1;
        for (int i = 0; i < p->count; i++) {
            double short_by = ap_v3_norm(ap_v3_sub(h, p->at[i])) - p->length[i];
            if (short_by > missing) {
                missing = short_by;
                worst = i;
            }
        }
        if (worst < 0)
            return AP_OK;
        ap_v3 d = ap_v3_sub(p->at[worst], h);
        h = ap_v3_along(h, missing / ap_v3_norm(d), d);
    }
    if (missing < 1e-4)
        return AP_OK;
    return ap_error_set(err, AP_E_DOMAIN,
                        "the %d legs cannot meet in one hook: where the others do, leg %d (%.3f m) is %.3f m short",
                        p->count, worst + 1, p->length[worst] * scale_m, missing * scale_m);
}

static double scale_of(const ap_space_leg *legs, int count, const ap_space_piece *piece) {
    double scale_m = 0.0;
    ap_v3 cg = {piece->cg_m, 0.0, piece->cg_side_m};
    for (int i = 0; i < count; i++) {
        scale_m = fmax(scale_m, legs[i].length_m);
        scale_m = fmax(scale_m, ap_v3_norm(ap_v3_sub(attach(&legs[i]), cg)));
    }
    return scale_m;
}

static ap_status check_all(double *out_scale_m, const ap_space_leg *legs, int count, const ap_space_piece *piece,
                           ap_error *err) {
    if (count < 1 || count > AP_SPACE_LEGS_MAX)
        return ap_error_set(err, AP_E_DOMAIN, "%d legs are outside 1 to %d", count, AP_SPACE_LEGS_MAX);
    ap_status status = check_piece(piece, err);
    for (int i = 0; i < count && status == AP_OK; i++)
        status = check_leg(&legs[i], i, piece, err);
    if (status != AP_OK)
        return status;
    double scale_m = scale_of(legs, count, piece);
    for (int i = 0; i < count; i++)
        for (int k = i + 1; k < count && status == AP_OK; k++)
            status = check_pair(legs, i, k, scale_m, err);
    ap_v3 cg = {piece->cg_m, 0.0, piece->cg_side_m};
    if (status == AP_OK && count == 1 && ap_v3_norm(ap_v3_sub(attach(&legs[0]), cg)) <= SAME_PLACE * scale_m)
        return ap_error_set(
            err, AP_E_DOMAIN,
            "the only leg is attached at the centre of gravity (%.3f m): it carries the whole weight, and the "
            "piece hangs at any inclination",
            piece->cg_m);
    *out_scale_m = scale_m;
    return status;
}

/* The line through centre of gravity and attach points, when there is one. */
static ap_v3 common_line(const ap_space_problem *p) {
    ap_v3 far = {0.0, 0.0, 0.0};
    for (int i = 0; i < p->count; i++) {
        ap_v3 d = ap_v3_sub(p->at[i], p->cg);
        far = ap_v3_norm(d) > ap_v3_norm(far) ? d : far;
    }
    double n = ap_v3_norm(far);
    return (ap_v3){far.x / n, far.y / n, far.z / n};
}

static void use_stiffness(ap_space_problem *p, double most) {
    for (int i = 0; i < p->count; i++)
        p->used[i] = fmin(p->stiffness[i], most);
}

static void make_problem(ap_space_problem *p, const ap_space_leg *legs, int count, const ap_space_piece *piece,
                         double scale_m) {
    memset(p, 0, sizeof *p);
    p->count = count;
    /* The centre of gravity is the origin: differences of large places from the butt lose no digits. */
    for (int i = 0; i < count; i++) {
        p->at[i] = (ap_v3){(legs[i].at_m - piece->cg_m) / scale_m, legs[i].off_m / scale_m,
                           (legs[i].side_m - piece->cg_side_m) / scale_m};
        p->length[i] = legs[i].length_m / scale_m;
        p->stiffness[i] = legs[i].stiffness_n_m * scale_m / piece->weight_n;
    }
    use_stiffness(p, AP_SPACE_SOFT);
    ap_v3 line = common_line(p);
    p->collinear = true;
    for (int i = 0; i < count; i++)
        p->collinear = p->collinear && ap_v3_norm(ap_v3_cross(p->at[i], line)) <= 1e-9;
}

/* Where two legs without stretch are both straight: the place on their circle furthest from the centre of gravity. */
static bool corner(ap_v3 *out, const ap_space_problem *p, int i, int k) {
    ap_v3 span = ap_v3_sub(p->at[k], p->at[i]);
    double s = ap_v3_norm(span);
    double l1 = p->length[i];
    double l2 = p->length[k];
    if (fabs(l1 - l2) >= s)
        return false;
    ap_v3 e = {span.x / s, span.y / s, span.z / s};
    double along = ((l1 - l2) * (l1 + l2) + s * s) / (2.0 * s);
    ap_v3 foot = ap_v3_along(p->at[i], along, e);
    ap_v3 away = ap_v3_along(p->at[i], -ap_v3_dot(p->at[i], e), e);
    if (ap_v3_norm(away) < 1e-6)
        away = ap_v3_along((ap_v3){0.0, 1.0, 0.0}, -e.y, e);
    double n = ap_v3_norm(away);
    if (n < 1e-6)
        return false;
    *out = ap_v3_along(foot, sqrt(fmax(0.0, (l1 - along) * (l1 + along))) / n, away);
    return true;
}

/* With the legs at hand, could the hook stand there? A leg that would be overlong by more than a twentieth says no: then
 * nothing rests near it, and a start there only costs time. */
static bool in_reach(const ap_space_problem *p, ap_v3 hook) {
    for (int i = 0; i < p->count; i++)
        if (ap_v3_norm(ap_v3_sub(hook, p->at[i])) > p->length[i] + 0.05)
            return false;
    return true;
}

/* Above each attach point on the line from the centre of gravity (where the piece hangs from that leg alone), where
 * two legs meet, over the middle, and to all four sides of it. */
static int make_starts(ap_v3 starts[STARTS_MAX], const ap_space_problem *p) {
    int n = 0;
    ap_v3 middle = {0.0, 0.0, 0.0};
    double mean = 0.0;
    bool flat = true;
    for (int i = 0; i < p->count; i++) {
        middle = ap_v3_along(middle, 1.0 / p->count, p->at[i]);
        mean += p->length[i] / p->count;
        flat = flat && p->at[i].z == 0.0;
    }
    starts[n++] = (ap_v3){middle.x, middle.y + mean, middle.z};
    for (int i = 0; i < p->count; i++) {
        double arm = ap_v3_norm(p->at[i]);
        ap_v3 over = ap_v3_along(p->at[i], arm > 1e-9 ? p->length[i] / arm : 0.0, p->at[i]);
        if (arm > 1e-9 && in_reach(p, over))
            starts[n++] = over;
    }
    for (int i = 0; i < p->count; i++)
        for (int k = i + 1; k < p->count; k++)
            n += corner(&starts[n], p, i, k) && in_reach(p, starts[n]);
    starts[n++] = (ap_v3){middle.x + 0.8 * mean, middle.y + 0.6 * mean, middle.z};
    starts[n++] = (ap_v3){middle.x - 0.8 * mean, middle.y + 0.6 * mean, middle.z};
    if (!flat) {
        starts[n++] = (ap_v3){middle.x, middle.y + 0.6 * mean, middle.z + 0.8 * mean};
        starts[n++] = (ap_v3){middle.x, middle.y + 0.6 * mean, middle.z - 0.8 * mean};
    }
    return n;
}

/* Any roll about the common line is a rest: the one with the hook side up is shown. */
static void turn_upright(ap_space_point *point, const ap_space_problem *p) {
    ap_v3 line = common_line(p);
    double along = ap_v3_dot(point->hook, line);
    ap_v3 across = ap_v3_along(point->hook, -along, line);
    ap_v3 up = ap_v3_along((ap_v3){0.0, 1.0, 0.0}, -line.y, line);
    double length = ap_v3_norm(up);
    if (length < 1e-9)
        return;
    ap_v3 foot = {along * line.x, along * line.y, along * line.z};
    point->hook = ap_v3_along(foot, ap_v3_norm(across) / length, up);
}

static bool same_rest(const ap_space_point *a, const ap_space_point *b) {
    return ap_v3_norm(ap_v3_sub(a->hook, b->hook)) <= SAME_PLACE;
}

typedef struct found {
    ap_space_point point[AP_SPACE_RESTS_MAX];
    double energy[AP_SPACE_RESTS_MAX];
    size_t count;
    bool below; /* a rest was dropped because its hook lies on the far side */
    double below_by;
} found;

static void keep(found *rests, const ap_space_problem *p, const ap_space_point *rest) {
    ap_space_point turned = *rest;
    const ap_space_point *point = &turned;
    if (p->collinear)
        turn_upright(&turned, p);
    if (point->hook.y < -1e-7) {
        rests->below = true;
        rests->below_by = -point->hook.y;
        return;
    }
    for (size_t i = 0; i < rests->count; i++)
        if (same_rest(&rests->point[i], point))
            return;
    double energy = ap_space_energy(p, point->hook);
    size_t at = rests->count;
    while (at > 0 && rests->energy[at - 1] > energy)
        at--;
    if (at == AP_SPACE_RESTS_MAX)
        return;
    if (rests->count < AP_SPACE_RESTS_MAX)
        rests->count++;
    for (size_t i = rests->count - 1; i > at; i--) {
        rests->point[i] = rests->point[i - 1];
        rests->energy[i] = rests->energy[i - 1];
    }
    rests->point[at] = *point;
    rests->energy[at] = energy;
}

static bool rest_near(ap_space_point *point, ap_v3 *way, double *least, ap_space_solver *solver, ap_v3 start,
                      double steepest) {
    ap_v3 soft = ap_space_descend(solver, start, steepest);
    if (!ap_space_settle(point, &solver->problem, soft))
        return false;
    *least = ap_space_least_curvature(way, &solver->problem, point);
    return true;
}

/* Follows a start to its rest. An unstable balance is left to both sides, on nearly true springs: softened ones may
 * have been what balanced it. */
static void follow(found *rests, ap_space_solver *solver, ap_v3 start, double steepest) {
    ap_space_problem *p = &solver->problem;
    ap_space_point point;
    ap_v3 way;
    double least = 0.0;
    if (!rest_near(&point, &way, &least, solver, start, steepest))
        return;
    if (least >= UNSTABLE) {
        keep(rests, p, &point);
        return;
    }
    use_stiffness(p, STIFF);
    for (int side = -1; side <= 1; side += 2) {
        ap_space_point left;
        ap_v3 unused;
        if (rest_near(&left, &unused, &least, solver, ap_v3_along(point.hook, 0.05 * side, way), 1e-4) &&
            least >= UNSTABLE)
            keep(rests, p, &left);
    }
    use_stiffness(p, AP_SPACE_SOFT);
}

static void fill(ap_space_rest *out, const ap_space_problem *p, const ap_space_point *point, double energy,
                 const ap_space_leg *legs, const ap_space_piece *piece, double scale_m) {
    double depth = ap_v3_norm(point->hook);
    ap_v3 up = {point->hook.x / depth, point->hook.y / depth, point->hook.z / depth};
    double level = hypot(up.y, up.z);
    ap_space_rest rest = {
        .inclination_deg = atan2(up.x, level) / DEGREE,
        .roll_deg = level > 1e-7 ? atan2(up.z, up.y) / DEGREE : NAN,
        .hook_x_m = piece->cg_m + point->hook.x * scale_m,
        .hook_y_m = point->hook.y * scale_m,
        .hook_side_m = piece->cg_side_m + point->hook.z * scale_m,
        .depth_m = depth * scale_m,
        .rolls_freely = p->collinear && level > 1e-7,
        .energy_j = energy * piece->weight_n * scale_m,
        .residual_n = ap_space_residual(p, point) * piece->weight_n,
    };
    for (int i = 0; i < p->count; i++) {
        ap_v3 d = ap_v3_sub(point->hook, p->at[i]);
        double distance = ap_v3_norm(d);
        double upright = ap_v3_dot(d, up);
        rest.tight[i] = point->tight[i] && point->tension[i] > 0.0;
        rest.tension_n[i] = rest.tight[i] ? point->tension[i] * piece->weight_n : 0.0;
        rest.loaded_length_m[i] = legs[i].length_m + rest.tension_n[i] / legs[i].stiffness_n_m;
        rest.slack_m[i] = rest.tight[i] ? 0.0 : fmax(0.0, (p->length[i] - distance) * scale_m);
        rest.leg_angle_deg[i] = atan2(upright, sqrt(fmax(0.0, distance * distance - upright * upright))) / DEGREE;
    }
    *out = rest;
}

ap_status ap_hang_space(ap_space_hang *out, ap_space_solver *solver, const ap_space_leg *legs, int count,
                        const ap_space_piece *piece, ap_error *err) {
    double scale_m = 0.0;
    ap_status status = check_all(&scale_m, legs, count, piece, err);
    if (status != AP_OK)
        return status;
    ap_space_problem *p = &solver->problem;
    make_problem(p, legs, count, piece, scale_m);
    if (count > 2)
        status = check_meeting(p, scale_m, err);
    if (status != AP_OK)
        return status;

    ap_v3 starts[STARTS_MAX];
    int start_count = make_starts(starts, p);
    found rests = {0};
    for (int i = 0; i < start_count; i++)
        follow(&rests, solver, starts[i], 1e-2);
    /* Nearly flat: an attach point beside the centre of gravity. */
    for (int i = 0; i < start_count && rests.count == 0; i++)
        follow(&rests, solver, starts[i], 1e-7);
    if (rests.count == 0 && rests.below)
        return ap_error_set(err, AP_E_DOMAIN, "the hook would lie %.3f m below the axis of the piece",
                            rests.below_by * scale_m);
    if (rests.count == 0)
        return ap_error_set(err, AP_E_DOMAIN,
                            "no place at rest was found for these %d legs: the set-up is outside what the model can "
                            "describe",
                            count);
    for (size_t i = 0; i < rests.count; i++)
        fill(&out->rest[i], p, &rests.point[i], rests.energy[i], legs, piece, scale_m);
    out->count = rests.count;
    return AP_OK;
}

void ap_hang_space_up(double up[3], const ap_space_rest *rest, const ap_space_piece *piece) {
    up[0] = (rest->hook_x_m - piece->cg_m) / rest->depth_m;
    up[1] = rest->hook_y_m / rest->depth_m;
    up[2] = (rest->hook_side_m - piece->cg_side_m) / rest->depth_m;
}
