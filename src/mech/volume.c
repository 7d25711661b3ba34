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

static const char *const rule_names[] = {"none", "conic", "Newton", "Smalian", "Huber", "neiloid"};
enum { RULES = sizeof rule_names / sizeof rule_names[0] };

const char *ap_volume_rule_name(ap_volume_rule rule) {
    return (unsigned)rule < RULES ? rule_names[rule] : "none";
}

ap_volume_rule ap_volume_rule_find(ap_str name) {
    for (int i = AP_VOLUME_CONIC; i < RULES; i++) {
        if (ap_str_equal_nocase(name, ap_str_from(rule_names[i])))
            return (ap_volume_rule)i;
    }
    return AP_VOLUME_NONE;
}

static bool is_length(double x) {
    return x > 0.0 && isfinite(x);
}

/* A tie of two readings is not decided by a conversion of units. */
static bool thicker(double a, double b) {
    return a > b * (1.0 + 1e-9);
}

static ap_volume_fault missing(const ap_stem *stem, ap_volume_rule rule) {
    bool ends = rule != AP_VOLUME_HUBER;
    if (isnan(stem->length_m))
        return AP_VOLUME_NO_LENGTH;
    if (ends && isnan(stem->butt_diameter_m))
        return AP_VOLUME_NO_BUTT;
    if (ends && isnan(stem->tip_diameter_m))
        return AP_VOLUME_NO_TIP;
    bool mid = rule == AP_VOLUME_HUBER || rule == AP_VOLUME_NEWTON;
    return mid && isnan(stem->mid_diameter_m) ? AP_VOLUME_NO_MID : AP_VOLUME_FINE;
}

ap_volume_fault ap_volume_check(const ap_stem *stem, ap_volume_rule rule) {
    double butt = stem->butt_diameter_m;
    double mid = stem->mid_diameter_m;
    double tip = stem->tip_diameter_m;
    ap_volume_fault fault = missing(stem, rule);
    if (fault != AP_VOLUME_FINE)
        return fault;
    if (!is_length(stem->length_m))
        return AP_VOLUME_BAD_LENGTH;
    if (!isnan(butt) && !is_length(butt))
        return AP_VOLUME_BAD_BUTT;
    if (!isnan(mid) && !is_length(mid))
        return AP_VOLUME_BAD_MID;
    if (!isnan(tip) && !(tip >= 0.0 && isfinite(tip)))
        return AP_VOLUME_BAD_TIP;
    if (thicker(tip, butt))
        return AP_VOLUME_TIP_THICKER;
    if (thicker(mid, butt))
        return AP_VOLUME_MID_THICKER;
    return thicker(tip, mid) ? AP_VOLUME_MID_THINNER : AP_VOLUME_FINE;
}

const char *ap_volume_fault_text(ap_volume_fault fault) {
    static const char *const texts[] = {
        "",
        "no length is recorded",
        "no butt diameter is recorded",
        "no tip diameter is recorded",
        "no mid diameter is recorded",
        "a length must be above zero",
        "a butt diameter must be above zero",
        "a mid diameter must be above zero",
        "a tip diameter cannot be below zero",
        "the tip is thicker than the butt: are they swapped?",
        "the middle is thicker than the butt",
        "the middle is thinner than the tip",
    };
    return (unsigned)fault < sizeof texts / sizeof texts[0] ? texts[fault] : "";
}

static ap_status refuse(const ap_stem *stem, ap_volume_fault fault, ap_error *err) {
    double butt = stem->butt_diameter_m;
    double mid = stem->mid_diameter_m;
    double tip = stem->tip_diameter_m;
    switch (fault) {
    case AP_VOLUME_FINE:
        return AP_OK;
    case AP_VOLUME_BAD_LENGTH:
        return ap_error_set(err, AP_E_DOMAIN, "a length of %.6g m gives no volume", stem->length_m);
    case AP_VOLUME_BAD_BUTT:
        return ap_error_set(err, AP_E_DOMAIN, "a butt diameter of %.6g m gives no volume", butt);
    case AP_VOLUME_BAD_MID:
        return ap_error_set(err, AP_E_DOMAIN, "a mid diameter of %.6g m gives no volume", mid);
    case AP_VOLUME_BAD_TIP:
        return ap_error_set(err, AP_E_DOMAIN, "a tip diameter of %.6g m gives no volume", tip);
    case AP_VOLUME_TIP_THICKER:
        return ap_error_set(err, AP_E_DOMAIN, "the tip (%.3f m) is thicker than the butt (%.3f m): are they swapped?",
                            tip, butt);
    case AP_VOLUME_MID_THICKER:
        return ap_error_set(err, AP_E_DOMAIN, "the middle (%.3f m) is thicker than the butt (%.3f m)", mid, butt);
    case AP_VOLUME_MID_THINNER:
        return ap_error_set(err, AP_E_DOMAIN, "the middle (%.3f m) is thinner than the tip (%.3f m)", mid, tip);
    default:
        return ap_error_set(err, AP_E_DOMAIN, "%s: the volume needs it", ap_volume_fault_text(fault));
    }
}

static double volume_of(const ap_stem *stem, ap_volume_rule rule) {
    double butt = stem->butt_diameter_m;
    double tip = stem->tip_diameter_m;
    switch (rule) {
    case AP_VOLUME_NEWTON:
        return ap_volume_newton(butt, stem->mid_diameter_m, tip, stem->length_m);
    case AP_VOLUME_SMALIAN:
        return ap_volume_smalian(butt, tip, stem->length_m);
    case AP_VOLUME_HUBER:
        return ap_volume_huber(stem->mid_diameter_m, stem->length_m);
    case AP_VOLUME_NEILOID:
        return ap_volume_neiloid(butt, tip, stem->length_m);
    default:
        return ap_volume_conic(butt, tip, stem->length_m);
    }
}

static ap_volume_rule rule_of_choice(const ap_stem *stem) {
    return isnan(stem->mid_diameter_m) ? AP_VOLUME_CONIC : AP_VOLUME_NEWTON;
}

static double reading_error(const ap_stem *stem, ap_volume_rule rule, double diameter_step_m, double length_step_m) {
    double half = diameter_step_m / 2.0;
    ap_stem larger = {stem->length_m + length_step_m / 2.0, stem->butt_diameter_m + half, stem->mid_diameter_m + half,
                      stem->tip_diameter_m + half};
    return volume_of(&larger, rule) / volume_of(stem, rule) - 1.0;
}

double ap_volume_reading_error(const ap_stem *stem, double diameter_step_m, double length_step_m) {
    return reading_error(stem, rule_of_choice(stem), diameter_step_m, length_step_m);
}

double ap_volume_reading_sd(const ap_stem *stem, double diameter_step_m, double length_step_m) {
    double b = stem->butt_diameter_m;
    double m = stem->mid_diameter_m;
    double t = stem->tip_diameter_m;
    /* d(ln V) by each diameter: both formulas are a quadratic form q of the diameters times K L. */
    bool newton = rule_of_choice(stem) == AP_VOLUME_NEWTON;
    double q = newton ? b * b + 4.0 * m * m + t * t : b * b + b * t + t * t;
    double by_butt = (newton ? 2.0 * b : 2.0 * b + t) / q;
    double by_mid = newton ? 8.0 * m / q : 0.0;
    double by_tip = (newton ? 2.0 * t : b + 2.0 * t) / q;
    double diameters = by_butt * by_butt + by_mid * by_mid + by_tip * by_tip;
    double length = length_step_m / stem->length_m;
    return sqrt((diameters * diameter_step_m * diameter_step_m + length * length) / 12.0);
}

ap_status ap_volume_by(ap_volume *out, const ap_stem *stem, ap_volume_rule rule, bool butt_piece, ap_error *err) {
    ap_status status = refuse(stem, ap_volume_check(stem, rule), err);
    if (status != AP_OK)
        return status;
    ap_volume_rule used = rule == AP_VOLUME_NONE ? rule_of_choice(stem) : rule;
    bool middle_counts = used == AP_VOLUME_NEWTON || used == AP_VOLUME_HUBER;
    *out = (ap_volume){
        .volume_m3 = volume_of(stem, used),
        .rule = used,
        .butt_flare_unmeasured = butt_piece && !middle_counts,
        .reading_error = reading_error(stem, used, AP_DIAMETER_STEP_M, AP_LENGTH_STEP_M),
    };
    return AP_OK;
}

ap_status ap_volume_stem(ap_volume *out, const ap_stem *stem, bool butt_piece, ap_error *err) {
    return ap_volume_by(out, stem, AP_VOLUME_NONE, butt_piece, err);
}
