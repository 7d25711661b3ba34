#include "analysis/factors.h"

ap_status ap_factors_work_out(ap_factors *out, ap_arena *arena, const ap_roster *roster, ap_date until, const ap_by *by,
                              size_t by_count, ap_error *err) {
    *out = (ap_factors){.until = until};
    size_t first;
    size_t end;
    ap_pooled_picks picks = {0};
    ap_roster_slice(roster, AP_DATE_NONE, until, &first, &end);
    if (until == AP_DATE_NONE && end > 0) {
        out->until = roster->facts[end - 1].date;
    }
    ap_status status = ap_pooled_picks_take(&picks, roster, 0, end, err);
    if (status == AP_OK) {
        out->picks = picks.count;
        status = ap_pooled_fit(&out->now, arena, &picks, by, by_count, err);
    }
    if (status == AP_OK && out->until != AP_DATE_NONE) {
        out->before_until = ap_month_first(ap_month_index(out->until)) - 1;
        ap_pooled_picks before = {picks.items, 0, picks.cut_labels};
        while (before.count < picks.count && roster->facts[picks.items[before.count].fact].date <= out->before_until) {
            before.count++;
        }
        status = ap_pooled_fit(&out->before, arena, &before, by, by_count, err);
    }
    if (status == AP_OK) {
        status = ap_proof_run(&out->proof, arena, roster, &picks, by, by_count, err);
    }
    ap_pooled_picks_release(&picks);
    return status;
}

static const ap_pooled_bound *bound_of(const ap_factors *factors, const ap_fact *fact) {
    const ap_pooled_level *level = &factors->now.level[0];
    uint32_t key[AP_WEIGHTS_BY_MAX] = {0};
    for (size_t k = 0; k < level->by_count; k++) {
        key[k] = fact->group[level->by[k]];
    }
    return ap_pooled_bound_for(&factors->now, key);
}

void ap_factors_against(ap_against *out, const ap_factors *factors, const ap_roster *roster, double share) {
    size_t first;
    size_t end;
    *out = (ap_against){0};
    ap_roster_slice(roster, AP_DATE_NONE, factors->until, &first, &end);
    for (size_t i = 0; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        const ap_pooled_bound *bound = bound_of(factors, fact);
        double hook = fact->planned_net_kg + (double)fact->rigging_kg;
        if (!bound || isnan(fact->share_planned) || !(hook > 0)) {
            continue;
        }
        double with = fact->planned_net_kg * bound->planning + (double)fact->rigging_kg;
        double lifted = ap_fact_share_worst(fact);
        out->judged++;
        out->planned += ap_over(fact->share_planned, share);
        out->factored += ap_over(fact->share_planned * with / hook, share);
        out->weighed += isnan(lifted) ? 0 : 1;
        out->lifted += ap_over(lifted, share); /* false for NaN */
    }
}
