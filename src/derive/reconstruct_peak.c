#include "derive/reconstruct_parts.h"

#include "mech/balance.h"
#include "mech/impact.h"
#include "mech/sling.h"

/* A basket counts here as one part: the angle between its parts is not logged. */
double ap_recon_hitch_factor(int hitch) {
    return fmin(ap_sling_hitch_factor(hitch, 0), 1.0);
}

const char *ap_recon_cause_name(ap_recon_cause cause) {
    static const char *const names[AP_PEAK_CAUSE_COUNT] = {"release", "swing", "drop"};
    return (unsigned)cause < AP_PEAK_CAUSE_COUNT ? names[cause] : "";
}

/* The line's pull on the piece before the cut: the logged (or corrected) preload, less block and slings when weights are gross. NaN
 * when it is not logged or its meaning is not known. */
static double net_preload_kg(const ap_recon_given *given) {
    int basis = given->derived->weighed_as;
    if (basis == AP_WEIGHED_AS_GROSS) {
        return given->derived->preload_kg - given->derived->rigging_kg;
    }
    return basis == AP_WEIGHED_AS_NET ? given->derived->preload_kg : NAN;
}

static void worst(ap_recon *recon, double high_n, ap_recon_cause cause) {
    if (high_n > recon->peak_high_n) {
        recon->peak_high_n = high_n;
        recon->peak_cause = cause;
    }
}

static double swing_factor(const ap_recon *recon, const ap_pick *pick) {
    double arm = recon->leg_count == 1 ? hypot(recon->legs[0].at_m - recon->cg_m.value, recon->legs[0].off_m)
                                       : hypot(recon->hook_x_m - recon->cg_m.value, recon->hook_y_m);
    bool tapered = pick->butt_diameter_m > 0 && pick->tip_diameter_m >= 0;
    double length = recon->length_m.value;
    double gyration2 =
        tapered ? ap_balance_gyration2(pick->butt_diameter_m, pick->tip_diameter_m, length) : length * length / 12.0;
    double factor = 1.0;
    ap_error ignored;
    return ap_impact_swing_body(&factor, gyration2, arm, fabs(recon->turn_deg), &ignored) == AP_OK ? factor : 1.0;
}

void ap_recon_set_peak(ap_recon *recon, const ap_pick *pick, const ap_recon_given *given) {
    double weight = recon->weight_n.value;
    double preload_kg = net_preload_kg(given);
    ap_bracket bracket = {weight, 2.0 * weight};
    ap_error ignored;
    if (isnan(weight)) {
        recon->no_peak = (ap_recon_reason){.no = AP_RECON_NO_WEIGHT};
        return;
    }
    recon->preload_n = (ap_recon_value){preload_kg * AP_STANDARD_GRAVITY, AP_ORIGIN_NONE};
    if (!isnan(preload_kg)) {
        recon->preload_n.from = AP_ORIGIN_LOG;
        if (ap_impact_preload(&bracket, recon->preload_n.value, weight, &ignored) != AP_OK) {
            recon->no_peak = (ap_recon_reason){.no = AP_RECON_PRELOAD_BELOW};
            return;
        }
    }
    recon->peak_low_n = bracket.low;
    recon->peak_high_n = bracket.high;
    recon->peak_cause = AP_PEAK_RELEASE;
    if (!recon->no_movement.no) {
        worst(recon, weight * swing_factor(recon, pick), AP_PEAK_SWING);
    }
    const ap_rated *cut = &given->derived->rated_cut;
    bool stands_in = isnan(cut->capacity_kg) && !ap_rated_is_past(cut);
    double capacity = stands_in ? given->derived->rated_planned.capacity_kg : cut->capacity_kg;
    recon->peak_share = (recon->peak_high_n / AP_STANDARD_GRAVITY + given->derived->rigging_kg) / capacity;
    if (!isfinite(recon->peak_share)) {
        recon->peak_share = NAN;
    }
}
