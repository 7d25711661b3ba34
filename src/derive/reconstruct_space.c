#include "derive/reconstruct_parts.h"

#include "mech/hang_space.h"

static void take_rest(ap_recon *recon, const ap_space_hang *hang) {
    const ap_space_rest *rest = &hang->rest[0];
    recon->inclination_deg = rest->inclination_deg;
    recon->hook_x_m = rest->hook_x_m;
    recon->hook_y_m = rest->hook_y_m;
    recon->hook_side_m = rest->hook_side_m;
    recon->roll_deg = rest->roll_deg;
    recon->other_deg = hang->count > 1 ? hang->rest[1].inclination_deg : NAN;
    recon->residual_n = rest->residual_n;
    recon->elastic = true;
    recon->cg_outside = recon->leg_count > 1 && (recon->cg_m.value < recon->legs[0].at_m ||
                                                 recon->cg_m.value > recon->legs[recon->leg_count - 1].at_m);
    for (int i = 0; i < recon->leg_count; i++) {
        ap_recon_set_leg(recon, i, rest->tension_n[i], rest->leg_angle_deg[i], rest->slack_m[i], rest->tight[i]);
    }
}

ap_recon_reason ap_recon_hang_in_space(ap_recon *recon, const ap_pick *pick, struct ap_space_solver *solver) {
    ap_space_leg legs[AP_LEG_MAX];
    ap_space_hang hang;
    ap_space_solver *own = NULL;
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
    ap_status status = solver ? AP_OK : ap_space_solver_new(&own, &err);
    if (status == AP_OK) {
        status = ap_hang_space(&hang, solver ? solver : own, legs, recon->leg_count, &piece, &err);
    }
    if (status == AP_OK) {
        take_rest(recon, &hang);
    }
    ap_space_solver_free(own);
    return status == AP_OK ? ap_recon_said() : ap_recon_clash(&err);
}
