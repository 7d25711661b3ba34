#include "mech/balance.h"

double ap_balance_frustum(double butt_diameter_m, double tip_diameter_m, double length_m) {
    double b = butt_diameter_m;
    double t = tip_diameter_m;
    return length_m * (b * b + 2.0 * b * t + 3.0 * t * t) / (4.0 * (b * b + b * t + t * t));
}

ap_status ap_balance_stem(double *out_m, const ap_stem *stem, ap_error *err) {
    ap_volume volume;
    ap_status status = ap_volume_stem(&volume, stem, false, err);
    if (status != AP_OK)
        return status;
    if (volume.rule == AP_VOLUME_CONIC) {
        *out_m = ap_balance_frustum(stem->butt_diameter_m, stem->tip_diameter_m, stem->length_m);
        return AP_OK;
    }
    /* x A(x) is a cubic when the area is quadratic, so Simpson's rule is exact. */
    double b = stem->butt_diameter_m * stem->butt_diameter_m;
    double m = stem->mid_diameter_m * stem->mid_diameter_m;
    double t = stem->tip_diameter_m * stem->tip_diameter_m;
    *out_m = stem->length_m * (2.0 * m + t) / (b + 4.0 * m + t);
    return AP_OK;
}

static ap_status check_share(double share, ap_error *err) {
    if (share >= 0.0 && share < 1.0)
        return AP_OK;
    return ap_error_set(err, AP_E_DOMAIN, "a brush share of %.4g of the weight is outside 0 to below 1", share);
}

ap_status ap_balance_with_brush(double *out_m, double stem_cg_m, double brush_share, double brush_at_m, ap_error *err) {
    ap_status status = check_share(brush_share, err);
    if (status != AP_OK)
        return status;
    if (!isfinite(stem_cg_m) || !isfinite(brush_at_m))
        return ap_error_set(err, AP_E_DOMAIN, "the balance of stem (%.4g m) and brush (%.4g m) needs both", stem_cg_m,
                            brush_at_m);
    *out_m = (1.0 - brush_share) * stem_cg_m + brush_share * brush_at_m;
    return AP_OK;
}

ap_status ap_balance_allowance(double *out, double brush_share, ap_error *err) {
    ap_status status = check_share(brush_share, err);
    if (status == AP_OK)
        *out = brush_share / (1.0 - brush_share);
    return status;
}

ap_status ap_balance_share(double *out, double brush_allowance, ap_error *err) {
    if (!(brush_allowance >= 0.0) || !isfinite(brush_allowance))
        return ap_error_set(err, AP_E_DOMAIN, "a brush allowance of %.4g is below zero", brush_allowance);
    *out = brush_allowance / (1.0 + brush_allowance);
    return AP_OK;
}

double ap_balance_gyration2(double butt_diameter_m, double tip_diameter_m, double length_m) {
    /* Moments of the area (R + (r - R) t)^2 over t = 0..1, and of its fourth power for the discs. */
    double b = butt_diameter_m / 2.0;
    double t = tip_diameter_m / 2.0;
    double mass = (b * b + b * t + t * t) / 3.0;
    double first = (b * b + 2.0 * b * t + 3.0 * t * t) / 12.0;
    double second = (b * b + 3.0 * b * t + 6.0 * t * t) / 30.0;
    double fourth = (b * b * b * b + b * b * b * t + b * b * t * t + b * t * t * t + t * t * t * t) / 5.0;
    double centre = first / mass;
    return length_m * length_m * (second / mass - centre * centre) + fourth / (4.0 * mass);
}

ap_status ap_balance_split(double *out_share_1, double arm_1_m, double arm_2_m, ap_error *err) {
    if (!(arm_1_m >= 0.0) || !(arm_2_m >= 0.0) || !(arm_1_m + arm_2_m > 0.0) || !isfinite(arm_1_m + arm_2_m))
        return ap_error_set(err, AP_E_DOMAIN, "arms of %.4g and %.4g m do not hold the load between them", arm_1_m,
                            arm_2_m);
    *out_share_1 = arm_2_m / (arm_1_m + arm_2_m);
    return AP_OK;
}
