#include "analysis/brush_learnt.h"

enum { SCRATCH_MAX = 4 << 20 }; /* of the effects */

ap_status ap_brush_learnt(double out[AP_WOOD_BRUSH_CLASSES], const ap_roster *roster, ap_error *err) {
    const ap_density_priors *priors = &ap_density_priors_default;
    ap_density_picks picks;
    ap_density density = {0};
    ap_arena scratch;
    ap_arena_init(&scratch, SCRATCH_MAX);
    for (size_t i = 0; i < AP_WOOD_BRUSH_CLASSES; i++) {
        out[i] = NAN;
    }
    ap_status status = ap_density_picks_take(&picks, roster, 0, roster->count, err);
    if (status == AP_OK) {
        status = ap_density_fit_effects(&density, &scratch, &picks, picks.count, priors, err);
    }
    for (size_t k = 0; status == AP_OK && k < density.effect_count; k++) {
        const ap_density_effect *effect = &density.effects[k];
        if (effect->kind == AP_DENSITY_BRUSH && effect->trees >= AP_BRUSH_TREES_LEAST) {
            out[effect->key] = fmax(0, round(expm1(effect->mean) * 100) / 100);
        }
    }
    ap_density_release(&density);
    ap_density_picks_release(&picks);
    ap_arena_release(&scratch);
    return status;
}

ap_status ap_brush_learnt_read(double out[AP_WOOD_BRUSH_CLASSES], ap_book *book, ap_date until, ap_error *err) {
    ap_roster roster;
    ap_status status = ap_roster_load_wood(&roster, book, until, err);
    if (status == AP_OK) {
        status = ap_brush_learnt(out, &roster, err);
    }
    ap_roster_release(&roster);
    return status;
}
