#include "mech/sling.h"

#include "base/units.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;

ap_status ap_sling_angle_factor(double *out, double angle_deg, ap_error *err) {
    if (!(angle_deg > 0.0) || !(angle_deg <= 90.0))
        return ap_error_set(err, AP_E_DOMAIN, "a leg at %.4g degrees above the horizontal carries nothing", angle_deg);
    *out = 1.0 / sin(angle_deg * DEGREE);
    return AP_OK;
}

ap_status ap_sling_length_factor(double *out, double length_m, double height_m, ap_error *err) {
    if (!(height_m > 0.0) || !isfinite(length_m) || !(length_m >= height_m))
        return ap_error_set(err, AP_E_DOMAIN, "a leg of %.4g m cannot span a height of %.4g m", length_m, height_m);
    *out = length_m / height_m;
    return AP_OK;
}

bool ap_sling_is_flat(double angle_deg) {
    return angle_deg < AP_SLING_FLAT_DEG * (1.0 - 1e-9);
}

ap_status ap_sling_choke_factor(double *out, double choke_angle_deg, ap_error *err) {
    if (!(choke_angle_deg >= 0.0) || !(choke_angle_deg <= 180.0))
        return ap_error_set(err, AP_E_DOMAIN, "an angle of choke of %.4g degrees is outside 0 to 180", choke_angle_deg);
    double a = choke_angle_deg;
    *out = a > 120.0 ? 1.0 : a >= 90.0 ? 0.87 : a >= 60.0 ? 0.74 : a >= 30.0 ? 0.62 : 0.49;
    return AP_OK;
}

double ap_sling_hitch_factor(int hitch, int kind) {
    switch (hitch) {
    case AP_HITCH_CHOKER:
        return kind == AP_LEG_KIND_ROUND ? 0.80 : 0.75;
    case AP_HITCH_COW:
        return 0.75;
    case AP_HITCH_TIMBER:
        return 0.65;
    case AP_HITCH_BASKET:
        return 2.0;
    default:
        return 1.0;
    }
}

const char *ap_sling_hitch_source(int hitch) {
    switch (hitch) {
    case AP_HITCH_CHOKER:
        return "rigging handouts; 0.80 for textile slings by EN 1492, read at second hand";
    case AP_HITCH_COW:
    case AP_HITCH_TIMBER:
        return "common practice, no source: a company enters its own";
    case AP_HITCH_BASKET:
        return "web sling user manual, both parts upright";
    default:
        return "straight pull";
    }
}

static ap_status check_legs(int legs, ap_error *err) {
    if (legs >= 1 && legs <= 4)
        return AP_OK;
    return ap_error_set(err, AP_E_DOMAIN, "%d legs are outside 1 to 4", legs);
}

ap_status ap_sling_equal_tension(double *out_n, double weight_n, int legs, double angle_deg, ap_error *err) {
    double factor = 0.0;
    ap_status status = check_legs(legs, err);
    if (status == AP_OK)
        status = ap_sling_angle_factor(&factor, angle_deg, err);
    if (status != AP_OK)
        return status;
    if (!(weight_n > 0.0) || !isfinite(weight_n))
        return ap_error_set(err, AP_E_DOMAIN, "a weight of %.6g N gives no tension", weight_n);
    *out_n = weight_n * factor / legs;
    return AP_OK;
}

int ap_sling_legs_carrying(int legs) {
    return legs >= 4 ? 2 : legs;
}

ap_status ap_sling_en13414_factor(double *out, int legs, double from_vertical_deg, ap_error *err) {
    ap_status status = check_legs(legs, err);
    if (status != AP_OK)
        return status;
    if (legs == 1) {
        *out = 1.0;
        return AP_OK;
    }
    if (!(from_vertical_deg >= 0.0) || !(from_vertical_deg <= 60.0 * (1.0 + 1e-9)))
        return ap_error_set(err, AP_E_DOMAIN, "the table ends at 60 degrees from the vertical; the leg is at %.4g",
                            from_vertical_deg);
    bool steep = from_vertical_deg <= 45.0 * (1.0 + 1e-9);
    *out = legs == 2 ? (steep ? 1.4 : 1.0) : (steep ? 2.1 : 1.5);
    return AP_OK;
}

ap_status ap_sling_use(double *out_share, double tension_n, double wll_kg, double hitch_factor, double choke_factor,
                       double company_factor, ap_error *err) {
    if (!(tension_n >= 0.0) || !isfinite(tension_n))
        return ap_error_set(err, AP_E_DOMAIN, "a tension of %.6g N is below zero: the leg is slack", tension_n);
    if (!(wll_kg > 0.0) || !isfinite(wll_kg))
        return ap_error_set(err, AP_E_DOMAIN, "a working load limit of %.6g kg is not above zero", wll_kg);
    double factors = hitch_factor * choke_factor * company_factor;
    if (!(hitch_factor > 0.0) || !(choke_factor > 0.0) || !(company_factor > 0.0) || !isfinite(factors))
        return ap_error_set(err, AP_E_DOMAIN, "factors %.4g (hitch), %.4g (choke), %.4g (company) must be above zero",
                            hitch_factor, choke_factor, company_factor);
    *out_share = tension_n / (wll_kg * AP_STANDARD_GRAVITY * factors);
    return AP_OK;
}
