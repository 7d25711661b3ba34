#include <assert.h>

#include "derive/reconstruct_parts.h"

#include "mech/balance.h"
#include "mech/peak.h"

static_assert((int)AP_PEAK_RELEASE == (int)AP_PEAK_BY_RELEASE && (int)AP_PEAK_SWING == (int)AP_PEAK_BY_SWING &&
                  (int)AP_PEAK_DROP == (int)AP_PEAK_BY_DROP && (int)AP_PEAK_CAUSE_COUNT == (int)AP_PEAK_KINDS,
              "the causes are those of mech/peak.h");

const char *ap_recon_cause_name(ap_recon_cause cause) {
    return ap_peak_kind_name((ap_peak_kind)cause);
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

/* About the hook with two legs and more, about the only attach point with one. */
static void set_swing(ap_peak_in *in, const ap_recon *recon, const ap_pick *pick) {
    bool tapered = pick->butt_diameter_m > 0 && pick->tip_diameter_m >= 0;
    double length = recon->length_m.value;
    in->swing_deg = fabs(recon->turn_deg);
    in->arm_m = recon->leg_count == 1 ? hypot(recon->legs[0].at_m - recon->cg_m.value, recon->legs[0].off_m)
                                      : hypot(recon->hook_x_m - recon->cg_m.value, recon->hook_y_m);
    in->gyration2_m2 =
        tapered ? ap_balance_gyration2(pick->butt_diameter_m, pick->tip_diameter_m, length) : length * length / 12.0;
}

static void set_legs(ap_peak_in *in, const ap_recon *recon) {
    in->leg_count = recon->leg_count;
    for (int i = 0; i < recon->leg_count; i++) {
        const ap_recon_leg *leg = &recon->legs[i];
        in->legs[i] = (ap_peak_leg){leg->tension_n, leg->drop_m, leg->stiffness_n_m, leg->angle_deg};
    }
}

static double peak_share(const ap_recon *recon, const ap_derived *derived) {
    const ap_rated *cut = &derived->rated_cut;
    bool stands_in = isnan(cut->capacity_kg) && !ap_rated_is_past(cut);
    double capacity = stands_in ? derived->rated_planned.capacity_kg : cut->capacity_kg;
    double load = recon->peak_high_n / AP_STANDARD_GRAVITY + derived->rigging_kg;
    return capacity > 0 ? load / capacity : NAN;
}

void ap_recon_set_peak(ap_recon *recon, const ap_pick *pick, const ap_recon_given *given) {
    double preload_n = net_preload_kg(given) * AP_STANDARD_GRAVITY;
    ap_peak_in in = {.weight_n = recon->weight_n.value, .preload_n = preload_n, .swing_deg = NAN};
    ap_peak peak;
    ap_error ignored;
    if (isnan(in.weight_n)) {
        recon->no_peak = ap_recon_because(AP_RECON_NO_WEIGHT, 0);
        return;
    }
    recon->preload_n = (ap_recon_value){preload_n, isnan(preload_n) ? AP_ORIGIN_NONE : AP_ORIGIN_LOG};
    if (preload_n < 0.0) {
        recon->no_peak = ap_recon_because(AP_RECON_PRELOAD_BELOW, 0);
        return;
    }
    if (!recon->no_movement.no) {
        set_swing(&in, recon, pick);
        set_legs(&in, recon);
    }
    if (ap_peak_bracket(&peak, &in, &ignored) != AP_OK) {
        in.swing_deg = NAN;
        in.leg_count = 0;
        if (ap_peak_bracket(&peak, &in, &ignored) != AP_OK) {
            recon->no_peak = ap_recon_because(AP_RECON_NO_WEIGHT, 0);
            return;
        }
    }
    recon->peak_low_n = peak.low_n;
    recon->peak_high_n = peak.high_n;
    recon->peak_cause = (ap_recon_cause)peak.kind;
    for (int i = 0; i < AP_PEAK_CAUSE_COUNT; i++) {
        recon->peak_by_n[i] = peak.by_n[i];
    }
    for (int i = 0; i < recon->leg_count; i++) {
        recon->legs[i].peak_n = peak.leg_peak_n[i];
    }
    recon->peak_share = peak_share(recon, given->derived);
}
