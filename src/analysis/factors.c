#include "analysis/factors.h"

#include "analysis/pooled_private.h"

static ap_status fit_first(ap_pooled *out, ap_arena *arena, pooled_parts *parts, size_t count, ap_error *err) {
    pooled_sums *sums = NULL;
    ap_status status = pooled_parts_first(&sums, parts, count, err);
    return status == AP_OK ? pooled_fit(out, arena, sums, err) : status;
}

/* The picks rise in date: the proof's months first, then the month before, then all, in one go. */
static ap_status work_out(ap_factors *out, ap_arena *arena, const ap_roster *roster, const pooled_plan *plan,
                          ap_error *err) {
    pooled_parts parts;
    const ap_pooled_picks *picks = plan->picks;
    ap_status status = pooled_parts_make(&parts, plan, proof_folds(roster, picks->count), err);
    if (status == AP_OK) {
        status = proof_roll(&out->proof, arena, roster, &parts, err);
    }
    if (status == AP_OK && out->until != AP_DATE_NONE) {
        size_t before = parts.part[0].count; /* dated before the first day of a month that has picks */
        out->before_until = ap_month_first(ap_month_index(out->until)) - 1;
        while (before < picks->count && roster->facts[picks->items[before].fact].date <= out->before_until) {
            before++;
        }
        status = fit_first(&out->before, arena, &parts, before, err);
    }
    if (status == AP_OK) {
        status = fit_first(&out->now, arena, &parts, picks->count, err);
    }
    if (status == AP_OK) {
        status = proof_leave_out(&out->proof, arena, roster, &parts, err);
    }
    pooled_parts_release(&parts);
    return status;
}

ap_status ap_factors_work_out(ap_factors *out, ap_arena *arena, const ap_roster *roster, ap_date until, const ap_by *by,
                              size_t by_count, ap_error *err) {
    *out = (ap_factors){.until = until};
    size_t first;
    size_t end;
    ap_pooled_picks picks = {0};
    pooled_plan plan = {0};
    ap_roster_slice(roster, AP_DATE_NONE, until, &first, &end);
    if (until == AP_DATE_NONE && end > 0) {
        out->until = roster->facts[end - 1].date;
    }
    ap_status status = ap_pooled_picks_take(&picks, roster, 0, end, err);
    if (status == AP_OK) {
        out->picks = picks.count;
        status = pooled_plan_make(&plan, &picks, by, by_count, err);
    }
    if (status == AP_OK) {
        status = work_out(out, arena, roster, &plan, err);
    }
    pooled_plan_release(&plan);
    ap_pooled_picks_release(&picks);
    return status;
}

static const ap_pooled_bound *bound_of(const ap_factors *factors, const ap_fact *fact) {
    const ap_pooled_level *level = &factors->now.level[0];
    uint32_t key[AP_WEIGHTS_BY_MAX] = {0};
    for (size_t k = 0; k < level->by_count; k++) {
        key[k] = ap_fact_group(fact, level->by[k]);
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
