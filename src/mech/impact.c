#include "mech/impact.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;

ap_status ap_impact_preload(ap_bracket *out_n, double preload_n, double weight_n, ap_error *err) {
    if (!(weight_n > 0.0) || !isfinite(weight_n))
        return ap_error_set(err, AP_E_DOMAIN, "a weight of %.6g N has no peak", weight_n);
    if (!(preload_n >= 0.0) || !isfinite(preload_n))
        return ap_error_set(err, AP_E_DOMAIN, "a preload of %.6g N on the piece is below zero: is the tare right?",
                            preload_n);
    out_n->low = fmax(preload_n, weight_n);
    out_n->high = fmax(preload_n, 2.0 * weight_n - preload_n);
    return AP_OK;
}

ap_status ap_impact_drop_factor(double *out, double drop_m, double static_stretch_m, ap_error *err) {
    if (!(drop_m >= 0.0) || !isfinite(drop_m))
        return ap_error_set(err, AP_E_DOMAIN, "a drop of %.6g m is below zero", drop_m);
    if (!(static_stretch_m > 0.0) || !isfinite(static_stretch_m))
        return ap_error_set(err, AP_E_DOMAIN, "a sling that stretches by %.6g m has no finite peak", static_stretch_m);
    *out = 1.0 + sqrt(1.0 + 2.0 * drop_m / static_stretch_m);
    return AP_OK;
}

ap_status ap_impact_drop(double *out_n, double static_tension_n, double drop_m, double stiffness_n_m, ap_error *err) {
    if (!(static_tension_n > 0.0) || !isfinite(static_tension_n))
        return ap_error_set(err, AP_E_DOMAIN, "a leg that ends with a tension of %.6g N catches nothing",
                            static_tension_n);
    if (!(stiffness_n_m > 0.0) || !isfinite(stiffness_n_m))
        return ap_error_set(err, AP_E_DOMAIN, "a leg stiffness of %.6g N/m is not above zero", stiffness_n_m);
    double factor = 0.0;
    ap_status status = ap_impact_drop_factor(&factor, drop_m, static_tension_n / stiffness_n_m, err);
    if (status == AP_OK)
        *out_n = static_tension_n * factor;
    return status;
}

ap_status ap_impact_stiffness(double *out_n_m, double load_n, double stretch_share, double length_m, ap_error *err) {
    if (!(load_n > 0.0) || !(stretch_share > 0.0) || !(length_m > 0.0) ||
        !isfinite(load_n / (stretch_share * length_m)))
        return ap_error_set(err, AP_E_DOMAIN, "a stretch of %.4g of %.4g m at %.4g N gives no stiffness", stretch_share,
                            length_m, load_n);
    *out_n_m = load_n / (stretch_share * length_m);
    return AP_OK;
}

static ap_status check_swing(double angle_deg, ap_error *err) {
    if (angle_deg >= 0.0 && angle_deg <= 180.0)
        return AP_OK;
    return ap_error_set(err, AP_E_DOMAIN, "a swing from %.4g degrees off the vertical is outside 0 to 180", angle_deg);
}

ap_status ap_impact_swing_point(double *out, double angle_deg, ap_error *err) {
    ap_status status = check_swing(angle_deg, err);
    if (status == AP_OK)
        *out = 3.0 - 2.0 * cos(angle_deg * DEGREE);
    return status;
}

ap_status ap_impact_swing_body(double *out, double gyration2_m2, double arm_m, double angle_deg, ap_error *err) {
    ap_status status = check_swing(angle_deg, err);
    if (status != AP_OK)
        return status;
    if (!(gyration2_m2 >= 0.0) || !(arm_m >= 0.0) || !(gyration2_m2 + arm_m * arm_m > 0.0) ||
        !isfinite(gyration2_m2 + arm_m))
        return ap_error_set(err, AP_E_DOMAIN, "an arm of %.4g m with a gyration of %.4g m2 does not swing", arm_m,
                            gyration2_m2);
    double arm2 = arm_m * arm_m;
    *out = 1.0 + 2.0 * arm2 * (1.0 - cos(angle_deg * DEGREE)) / (gyration2_m2 + arm2);
    return AP_OK;
}

ap_status ap_impact_swing_rod(double *out, double length_m, double arm_m, double angle_deg, ap_error *err) {
    if (!(length_m > 0.0) || !isfinite(length_m))
        return ap_error_set(err, AP_E_DOMAIN, "a length of %.6g m does not swing", length_m);
    return ap_impact_swing_body(out, length_m * length_m / 12.0, arm_m, angle_deg, err);
}

double ap_impact_chord(double distance_m, double turn_deg) {
    return 2.0 * distance_m * fabs(sin(turn_deg * DEGREE / 2.0));
}
