#include "analysis/density_study.h"

ap_status ap_density_study_run(ap_density_study *out, ap_arena *arena, const ap_roster *roster, uint32_t only,
                               ap_error *err) {
    const ap_density_priors *priors = &ap_density_priors_default;
    *out = (ap_density_study){.roster = roster};
    ap_status status = ap_density_picks_take(&out->picks, roster, 0, roster->count, err);
    if (status == AP_OK) {
        status = ap_density_fit(&out->density, arena, &out->picks, out->picks.count, priors, err);
    }
    if (status == AP_OK) {
        status = ap_density_judge(&out->density, arena, &out->picks, priors, err);
    }
    if (status == AP_OK) {
        status = ap_reestimate_run(&out->plans, arena, roster, &out->picks, &out->density, priors, only, err);
    }
    return status;
}

void ap_density_study_release(ap_density_study *study) {
    ap_density_picks_release(&study->picks);
    ap_density_release(&study->density);
}

double ap_density_of(const ap_species *species, double shift) {
    return species->density_kg_m3 * exp(shift);
}
