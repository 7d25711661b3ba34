#include <assert.h>

#include "derive/reconstruct_parts.h"

#include "mech/hang_space.h"

/* Raise it whenever the same inputs may give another result: what was kept before is then worked out again. */
static const uint64_t METHOD = 1;

enum { V_INCLINATION, V_ROLL, V_HOOK_X, V_HOOK_Y, V_HOOK_SIDE, V_OTHER, V_RESIDUAL, V_LEGS, V_PER_LEG = 3 };
static_assert(V_LEGS + V_PER_LEG * AP_LEG_MAX == AP_RECON_KEPT_VALUES, "a place for every value kept");

bool ap_recon_wants_solver(const ap_pick *pick) {
    int carrying = 0;
    bool side = !isnan(pick->side_offset_m) && pick->side_offset_m != 0.0;
    for (int i = 0; i < pick->leg_count; i++) {
        bool carries = ap_recon_leg_carries(&pick->legs[i]);
        carrying += carries;
        side = side || (carries && !isnan(pick->legs[i].side_m) && pick->legs[i].side_m != 0.0);
    }
    return carrying > 2 || (side && carrying > 0);
}

/* FNV-1a, 64 bits (Fowler, Noll, Vo; public domain), over the numbers as they lie in memory. */
static uint64_t mix(uint64_t hash, const void *bytes, size_t size) {
    const unsigned char *at = bytes;
    for (size_t i = 0; i < size; i++) {
        hash = (hash ^ at[i]) * UINT64_C(1099511628211);
    }
    return hash;
}

static uint64_t fingerprint_of(const ap_space_leg *legs, int count, const ap_space_piece *piece) {
    uint64_t hash = mix(UINT64_C(14695981039346656037), &METHOD, sizeof METHOD);
    const double of_piece[] = {piece->weight_n, piece->cg_m, piece->cg_side_m, piece->length_m};
    hash = mix(hash, of_piece, sizeof of_piece);
    for (int i = 0; i < count; i++) {
        const double of_leg[] = {legs[i].at_m, legs[i].off_m, legs[i].side_m, legs[i].length_m, legs[i].stiffness_n_m};
        hash = mix(hash, of_leg, sizeof of_leg);
    }
    return hash;
}

static void take(ap_recon *recon, const double v[AP_RECON_KEPT_VALUES]) {
    recon->inclination_deg = v[V_INCLINATION];
    recon->roll_deg = v[V_ROLL];
    recon->hook_x_m = v[V_HOOK_X];
    recon->hook_y_m = v[V_HOOK_Y];
    recon->hook_side_m = v[V_HOOK_SIDE];
    recon->other_deg = v[V_OTHER];
    recon->residual_n = v[V_RESIDUAL];
    recon->elastic = true;
    recon->cg_outside = recon->leg_count > 1 && (recon->cg_m.value < recon->legs[0].at_m ||
                                                 recon->cg_m.value > recon->legs[recon->leg_count - 1].at_m);
    for (int i = 0; i < recon->leg_count; i++) {
        const double *leg = &v[V_LEGS + V_PER_LEG * i];
        ap_recon_set_leg(recon, i, leg[0], leg[1], leg[2], leg[0] > 0);
    }
}

static void write_down(double v[AP_RECON_KEPT_VALUES], const ap_space_hang *hang, int count) {
    const ap_space_rest *rest = &hang->rest[0];
    for (int i = 0; i < AP_RECON_KEPT_VALUES; i++) {
        v[i] = NAN;
    }
    v[V_INCLINATION] = rest->inclination_deg;
    v[V_ROLL] = rest->roll_deg;
    v[V_HOOK_X] = rest->hook_x_m;
    v[V_HOOK_Y] = rest->hook_y_m;
    v[V_HOOK_SIDE] = rest->hook_side_m;
    v[V_OTHER] = hang->count > 1 ? hang->rest[1].inclination_deg : NAN;
    v[V_RESIDUAL] = rest->residual_n;
    for (int i = 0; i < count; i++) {
        double *leg = &v[V_LEGS + V_PER_LEG * i];
        leg[0] = rest->tension_n[i];
        leg[1] = rest->leg_angle_deg[i];
        leg[2] = rest->slack_m[i];
    }
}

/* Are these numbers a rest of this piece on these legs? Each leg pulls by its stretch, and the pulls together carry the weight
 * straight up from the centre of gravity to the hook, all in the piece's frame. */
static bool balances(const double v[AP_RECON_KEPT_VALUES], const ap_space_leg *legs, int count,
                     const ap_space_piece *piece) {
    static const double PART = 1e-6; /* of the weight; the solver leaves 1e-9 */
    const double hook[3] = {v[V_HOOK_X], v[V_HOOK_Y], v[V_HOOK_SIDE]};
    const double up[3] = {hook[0] - piece->cg_m, hook[1], hook[2] - piece->cg_side_m};
    double depth = sqrt(up[0] * up[0] + up[1] * up[1] + up[2] * up[2]);
    double sum[3] = {0};
    bool good = depth > 0 && isfinite(depth) && isfinite(v[V_INCLINATION]) && v[V_RESIDUAL] >= 0 &&
                v[V_RESIDUAL] < PART * piece->weight_n;
    for (int i = 0; i < count && good; i++) {
        const double d[3] = {hook[0] - legs[i].at_m, hook[1] - legs[i].off_m, hook[2] - legs[i].side_m};
        double distance = sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2]);
        double pull = fmax(0.0, distance - legs[i].length_m) * legs[i].stiffness_n_m;
        double tension = v[V_LEGS + V_PER_LEG * i];
        double rounding = 1e-12 * legs[i].stiffness_n_m * (distance + legs[i].length_m);
        good = fabs(tension - pull) <= PART * piece->weight_n + rounding && tension >= 0 &&
               isfinite(v[V_LEGS + V_PER_LEG * i + 1]) && v[V_LEGS + V_PER_LEG * i + 2] >= 0;
        for (int k = 0; k < 3; k++) {
            sum[k] += tension > 0 ? tension * d[k] / distance : 0.0;
        }
    }
    for (int k = 0; k < 3 && good; k++) {
        good = fabs(sum[k] - piece->weight_n * up[k] / depth) <= PART * piece->weight_n;
    }
    return good && fabs(sin(v[V_INCLINATION] * 3.14159265358979323846 / 180.0) - up[0] / depth) <= PART;
}

static ap_status solve(double v[AP_RECON_KEPT_VALUES], struct ap_space_solver *solver, const ap_space_leg *legs,
                       int count, const ap_space_piece *piece, ap_error *err) {
    ap_space_hang hang;
    ap_space_solver *own = NULL;
    ap_status status = solver ? AP_OK : ap_space_solver_new(&own, err);
    if (status == AP_OK) {
        status = ap_hang_space(&hang, solver ? solver : own, legs, count, piece, err);
    }
    if (status == AP_OK) {
        write_down(v, &hang, count);
    }
    ap_space_solver_free(own);
    return status;
}

ap_recon_reason ap_recon_hang_in_space(ap_recon *recon, const ap_pick *pick, const ap_recon_given *given) {
    ap_space_leg legs[AP_LEG_MAX] = {0};
    double values[AP_RECON_KEPT_VALUES];
    ap_recon_kept *kept = given->kept;
    ap_error err = {0};
    if (isnan(recon->weight_n.value)) {
        return ap_recon_because(AP_RECON_NO_WEIGHT, 0);
    }
    for (int i = 0; i < recon->leg_count; i++) {
        const ap_recon_leg *leg = &recon->legs[i];
        if (isnan(leg->stiffness_n_m)) {
            return ap_recon_because(AP_RECON_NO_STIFFNESS, leg->number);
        }
        legs[i] = (ap_space_leg){leg->at_m, leg->off_m, leg->side_m, leg->length_m, leg->stiffness_n_m};
    }
    const ap_space_piece piece = {recon->weight_n.value, recon->cg_m.value,
                                  isnan(pick->side_offset_m) ? 0.0 : pick->side_offset_m, recon->length_m.value};
    uint64_t fingerprint = fingerprint_of(legs, recon->leg_count, &piece);
    if (kept && kept->present && kept->fingerprint == fingerprint &&
        balances(kept->values, legs, recon->leg_count, &piece)) {
        take(recon, kept->values);
        return ap_recon_said();
    }
    if (solve(values, given->solver, legs, recon->leg_count, &piece, &err) != AP_OK) {
        return ap_recon_clash(&err);
    }
    if (kept) {
        *kept = (ap_recon_kept){.present = true, .fresh = true, .fingerprint = fingerprint};
        memcpy(kept->values, values, sizeof values);
    }
    take(recon, values);
    return ap_recon_said();
}
