#include "mech/peak.h"

#include "mech/impact.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;

const char *ap_peak_kind_name(ap_peak_kind kind) {
    static const char *const names[AP_PEAK_KINDS] = {"release", "swing", "drop"};
    return (unsigned)kind < AP_PEAK_KINDS ? names[kind] : "";
}

static ap_status by_drop(ap_peak *peak, const ap_peak_in *in, ap_error *err) {
    double beyond = 0.0;
    bool any = false;
    for (int i = 0; i < in->leg_count; i++) {
        const ap_peak_leg *leg = &in->legs[i];
        if (!(leg->drop_m > 0.0) || !(leg->tension_n > 0.0) || isnan(leg->stiffness_n_m))
            continue;
        ap_status status = ap_impact_drop(&peak->leg_peak_n[i], leg->tension_n, leg->drop_m, leg->stiffness_n_m, err);
        if (status != AP_OK)
            return status;
        beyond += (peak->leg_peak_n[i] - leg->tension_n) * fmax(0.0, sin(leg->angle_deg * DEGREE));
        any = true;
    }
    peak->by_n[AP_PEAK_BY_DROP] = any ? in->weight_n + beyond : NAN;
    return AP_OK;
}

ap_status ap_peak_bracket(ap_peak *out, const ap_peak_in *in, ap_error *err) {
    if (in->leg_count < 0 || in->leg_count > AP_PEAK_LEGS_MAX)
        return ap_error_set(err, AP_E_DOMAIN, "%d legs are outside 0 to %d", in->leg_count, AP_PEAK_LEGS_MAX);
    ap_peak peak = {.by_n = {NAN, NAN, NAN}, .leg_peak_n = {NAN, NAN, NAN, NAN}};
    ap_bracket release;
    ap_status status = ap_impact_preload(&release, isnan(in->preload_n) ? 0.0 : in->preload_n, in->weight_n, err);
    if (status != AP_OK)
        return status;
    peak.low_n = release.low;
    peak.by_n[AP_PEAK_BY_RELEASE] = release.high;
    if (!isnan(in->swing_deg)) {
        double factor = 1.0;
        double angle = fmin(fabs(in->swing_deg), 180.0);
        status = ap_impact_swing_body(&factor, in->gyration2_m2, in->arm_m, angle, err);
        if (status != AP_OK)
            return status;
        peak.by_n[AP_PEAK_BY_SWING] = factor * in->weight_n;
    }
    status = by_drop(&peak, in, err);
    if (status != AP_OK)
        return status;
    peak.high_n = peak.low_n;
    for (int kind = 0; kind < AP_PEAK_KINDS; kind++)
        if (peak.by_n[kind] > peak.high_n) {
            peak.high_n = peak.by_n[kind];
            peak.kind = (ap_peak_kind)kind;
        }
    *out = peak;
    return AP_OK;
}
