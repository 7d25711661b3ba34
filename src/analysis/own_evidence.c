#include "analysis/own_evidence.h"

#include "book/species.h"

static bool describe(ap_evidence_item *item, const ap_density_effect *effect, const ap_density_picks *picks) {
    switch (effect->kind) {
    case AP_DENSITY_SPECIES:
        item->kind = AP_EVIDENCE_SPECIES;
        item->species_id = picks->species[effect->key]->id;
        return item->species_id < AP_SPECIES_OWN_FIRST; /* a name of one's own means nothing to others */
    case AP_DENSITY_BUTT:
        item->kind = AP_EVIDENCE_BUTT;
        return true;
    case AP_DENSITY_CONDITION:
        item->kind = AP_EVIDENCE_CONDITION;
        item->class = effect->key;
        return true;
    case AP_DENSITY_BRUSH:
        item->kind = AP_EVIDENCE_BRUSH;
        item->class = effect->key;
        return true;
    case AP_DENSITY_INSTRUMENT:
        break;
    }
    return false;
}

static void take_effect(ap_own_evidence *out, const ap_density_effect *effect, const ap_density_picks *picks) {
    ap_evidence_item item = {.trees = (int64_t)effect->trees, .picks = (int64_t)effect->picks};
    if (!describe(&item, effect, picks) || !ap_density_own(&item.log_shift, &item.se_log, effect)) {
        return;
    }
    if (effect->trees < AP_EVIDENCE_TREES_LEAST || fabs(item.log_shift) > AP_EVIDENCE_SHIFT_MAX) {
        out->held_back++;
        return;
    }
    out->items[out->count++] = item;
}

ap_status ap_own_evidence_make(ap_own_evidence *out, ap_arena *arena, const ap_roster *roster, ap_error *err) {
    ap_density_picks picks;
    ap_density density = {0};
    *out = (ap_own_evidence){0};
    ap_status status = ap_density_picks_take(&picks, roster, 0, roster->count, err);
    picks.outside_count = 0; /* E2 */
    if (status == AP_OK) {
        status = ap_density_fit(&density, arena, &picks, picks.count, &ap_density_priors_default, err);
    }
    if (status == AP_OK) {
        status = ap_density_judge(&density, arena, &picks, &ap_density_priors_default, err);
    }
    if (status == AP_OK) {
        out->items = ap_arena_alloc_array(arena, density.effect_count + 1, sizeof *out->items);
        status = ap_arena_check(arena, "the evidence", err);
    }
    for (size_t k = 0; status == AP_OK && k < density.effect_count; k++) {
        take_effect(out, &density.effects[k], &picks);
    }
    ap_density_release(&density);
    ap_density_picks_release(&picks);
    return status;
}
