#include "mech/volume.h"

static const double PI = 3.14159265358979323846;

static double area(double diameter_m) {
    return PI / 4.0 * diameter_m * diameter_m;
}

double ap_volume_conic(double butt_diameter_m, double tip_diameter_m, double length_m) {
    double b = butt_diameter_m;
    double t = tip_diameter_m;
    return PI / 12.0 * length_m * (b * b + b * t + t * t);
}

double ap_volume_smalian(double butt_diameter_m, double tip_diameter_m, double length_m) {
    return length_m * (area(butt_diameter_m) + area(tip_diameter_m)) / 2.0;
}

double ap_volume_huber(double mid_diameter_m, double length_m) {
    return length_m * area(mid_diameter_m);
}

double ap_volume_newton(double butt_diameter_m, double mid_diameter_m, double tip_diameter_m, double length_m) {
    return length_m * (area(butt_diameter_m) + 4.0 * area(mid_diameter_m) + area(tip_diameter_m)) / 6.0;
}

double ap_volume_neiloid(double butt_diameter_m, double tip_diameter_m, double length_m) {
    double b = area(butt_diameter_m);
    double t = area(tip_diameter_m);
    return length_m / 4.0 * (b + cbrt(b * b * t) + cbrt(b * t * t) + t);
}

const char *ap_volume_rule_name(ap_volume_rule rule) {
    static const char *const names[] = {"none", "conic", "Newton", "Smalian", "Huber", "neiloid"};
    return (unsigned)rule < sizeof names / sizeof names[0] ? names[rule] : "none";
}

static ap_status check_ends(const ap_stem *stem, ap_error *err) {
    if (isnan(stem->length_m))
        return ap_error_set(err, AP_E_DOMAIN, "no length is recorded: the volume needs it");
    if (isnan(stem->butt_diameter_m) || isnan(stem->tip_diameter_m))
        return ap_error_set(err, AP_E_DOMAIN, "no %s diameter is recorded: the volume needs both ends",
                            isnan(stem->butt_diameter_m) ? "butt" : "tip");
    if (!(stem->length_m > 0.0) || !isfinite(stem->length_m))
        return ap_error_set(err, AP_E_DOMAIN, "a length of %.6g m gives no volume", stem->length_m);
    if (!(stem->butt_diameter_m > 0.0) || !isfinite(stem->butt_diameter_m))
        return ap_error_set(err, AP_E_DOMAIN, "a butt diameter of %.6g m gives no volume", stem->butt_diameter_m);
    if (!(stem->tip_diameter_m >= 0.0) || !isfinite(stem->tip_diameter_m))
        return ap_error_set(err, AP_E_DOMAIN, "a tip diameter of %.6g m gives no volume", stem->tip_diameter_m);
    if (stem->tip_diameter_m > stem->butt_diameter_m * (1.0 + 1e-9))
        return ap_error_set(err, AP_E_DOMAIN, "the tip (%.3f m) is thicker than the butt (%.3f m): are they swapped?",
                            stem->tip_diameter_m, stem->butt_diameter_m);
    return AP_OK;
}

static ap_status check_mid(const ap_stem *stem, ap_error *err) {
    double mid = stem->mid_diameter_m;
    if (isnan(mid))
        return AP_OK;
    if (!(mid > 0.0) || !isfinite(mid))
        return ap_error_set(err, AP_E_DOMAIN, "a mid diameter of %.6g m gives no volume", mid);
    if (mid > stem->butt_diameter_m * (1.0 + 1e-9))
        return ap_error_set(err, AP_E_DOMAIN, "the middle (%.3f m) is thicker than the butt (%.3f m)", mid,
                            stem->butt_diameter_m);
    if (mid < stem->tip_diameter_m * (1.0 - 1e-9))
        return ap_error_set(err, AP_E_DOMAIN, "the middle (%.3f m) is thinner than the tip (%.3f m)", mid,
                            stem->tip_diameter_m);
    return AP_OK;
}

static double volume_of(const ap_stem *stem) {
    if (isnan(stem->mid_diameter_m))
        return ap_volume_conic(stem->butt_diameter_m, stem->tip_diameter_m, stem->length_m);
    return ap_volume_newton(stem->butt_diameter_m, stem->mid_diameter_m, stem->tip_diameter_m, stem->length_m);
}

double ap_volume_reading_error(const ap_stem *stem, double diameter_step_m, double length_step_m) {
    double half = diameter_step_m / 2.0;
    ap_stem larger = {stem->length_m + length_step_m / 2.0, stem->butt_diameter_m + half, stem->mid_diameter_m + half,
                      stem->tip_diameter_m + half};
    return volume_of(&larger) / volume_of(stem) - 1.0;
}

ap_status ap_volume_stem(ap_volume *out, const ap_stem *stem, bool butt_piece, ap_error *err) {
    ap_status status = check_ends(stem, err);
    if (status == AP_OK)
        status = check_mid(stem, err);
    if (status != AP_OK)
        return status;

    /* Crews read a tape to an inch or so and a length to half a foot: the default when the written precision is unknown. */
    static const double INCH = 0.0254;
    static const double HALF_FOOT = 0.1524;
    bool has_mid = !isnan(stem->mid_diameter_m);
    *out = (ap_volume){
        .volume_m3 = volume_of(stem),
        .rule = has_mid ? AP_VOLUME_NEWTON : AP_VOLUME_CONIC,
        .butt_flare_unmeasured = butt_piece && !has_mid,
        .reading_error = ap_volume_reading_error(stem, INCH, HALF_FOOT),
    };
    return AP_OK;
}
