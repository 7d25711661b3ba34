#include "analysis/recon_interval.h"

#include "stats/prng.h"

enum { SEED = 20261101 };

typedef struct sampler {
    const ap_pick *middle;
    const ap_species *species;
    const ap_company *company;
    const ap_interval_range *ranges;
    size_t count;
    ap_recon_interval *out;
    size_t up, moved; /* of the draws */
} sampler;

static void reconstruct(ap_recon *out, const sampler *it, const ap_pick *pick) {
    ap_derived derived;
    ap_wood wood;
    ap_wood_given wood_given = AP_WOOD_GIVEN_NOTHING;
    wood_given.species = it->species;
    ap_derive(&derived, pick, it->company);
    ap_wood_work_out(&wood, pick, &wood_given, it->company);
    ap_recon_given given = AP_RECON_GIVEN(&derived, it->company);
    given.wood = &wood;
    ap_reconstruct(out, pick, &given);
}

static void values_of(double values[AP_INTERVAL_FIGURES], const ap_recon *r) {
    bool moved = !r->no_movement.no;
    bool hung = !r->no_hang.no;
    values[AP_INTERVAL_TURN_DEG] = moved ? r->turn_deg : NAN;
    values[AP_INTERVAL_BUTT_UP_M] = moved ? r->butt_up_m : NAN;
    values[AP_INTERVAL_BUTT_MOVE_M] = moved ? r->butt_move_m : NAN;
    values[AP_INTERVAL_TIP_UP_M] = moved ? r->tip_up_m : NAN;
    values[AP_INTERVAL_LEG_1_N] = hung && r->leg_count > 0 ? r->legs[0].tension_n : NAN;
    values[AP_INTERVAL_LEG_2_N] = hung && r->leg_count > 1 ? r->legs[1].tension_n : NAN;
    values[AP_INTERVAL_WORST_USE] = hung ? r->worst_use : NAN;
    values[AP_INTERVAL_PEAK_N] = r->no_peak.no ? NAN : r->peak_high_n;
    values[AP_INTERVAL_HOOK_KG] = r->hook_load_kg;
    values[AP_INTERVAL_CAPACITY_SHARE] = r->capacity_share;
}

static void widen(ap_told_span *span, double value) {
    if (isnan(value)) {
        return;
    }
    span->low = span->met ? fmin(span->low, value) : value;
    span->high = span->met ? fmax(span->high, value) : value;
    span->met++;
}

static void set_value(ap_pick *pick, const ap_interval_range *range, double value) {
    *(double *)ap_pick_at(pick, range->column) = value;
}

/* One combination; true when it had a movement. */
static bool take(sampler *it, const ap_pick *pick, bool is_draw) {
    ap_recon recon;
    double values[AP_INTERVAL_FIGURES];
    reconstruct(&recon, it, pick);
    values_of(values, &recon);
    for (int i = 0; i < AP_INTERVAL_FIGURES; i++) {
        widen(&it->out->figure[i], values[i]);
    }
    bool moved = !recon.no_movement.no;
    it->out->without += !moved;
    it->moved += is_draw && moved;
    it->up += is_draw && moved && recon.butt_up_m > 0;
    return moved;
}

static void take_corners(sampler *it) {
    it->out->corners = (size_t)1 << it->count;
    for (size_t corner = 0; corner < it->out->corners; corner++) {
        ap_pick pick = *it->middle;
        for (size_t i = 0; i < it->count; i++) {
            set_value(&pick, &it->ranges[i], corner >> i & 1 ? it->ranges[i].high : it->ranges[i].low);
        }
        (void)take(it, &pick, false);
    }
}

static void take_draws(sampler *it) {
    ap_prng prng;
    ap_prng_init(&prng, SEED, 1);
    it->out->draws = AP_INTERVAL_DRAWS;
    for (size_t draw = 0; draw < it->out->draws; draw++) {
        ap_pick pick = *it->middle;
        for (size_t i = 0; i < it->count; i++) {
            double low = it->ranges[i].low;
            set_value(&pick, &it->ranges[i], low + (it->ranges[i].high - low) * ap_prng_uniform(&prng));
        }
        (void)take(it, &pick, true);
    }
    double n = (double)it->moved;
    it->out->butt_up = it->moved ? (double)it->up / n : NAN;
    it->out->butt_up_se = it->moved ? sqrt(it->out->butt_up * (1 - it->out->butt_up) / n) : NAN;
}

ap_status ap_recon_interval_read(ap_recon_interval *out, const ap_pick *middle, const ap_species *species,
                                 const ap_company *company, const ap_interval_range *ranges, size_t count,
                                 ap_error *err) {
    ap_recon_interval interval = {.butt_up = NAN, .butt_up_se = NAN};
    ap_recon recon;
    double values[AP_INTERVAL_FIGURES];
    if (count > AP_INTERVAL_RANGES) {
        return ap_error_set(err, AP_E_LIMIT, "more than %d ranges in one reconstruction", (int)AP_INTERVAL_RANGES);
    }
    sampler it = {middle, species, company, ranges, count, &interval, 0, 0};
    for (int i = 0; i < AP_INTERVAL_FIGURES; i++) {
        interval.figure[i] = (ap_told_span){NAN, NAN, NAN, 0};
    }
    reconstruct(&recon, &it, middle);
    values_of(values, &recon);
    for (int i = 0; i < AP_INTERVAL_FIGURES; i++) {
        interval.figure[i].middle = values[i];
        widen(&interval.figure[i], values[i]);
    }
    if (count && count <= AP_INTERVAL_CORNER_RANGES) {
        take_corners(&it);
    }
    if (count) {
        take_draws(&it);
    }
    *out = interval;
    return AP_OK;
}
