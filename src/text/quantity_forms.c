/* Mixed fractions and compounds of two units, by pattern. */
#include "text/pattern.h"
#include "text/quantity_parts.h"

/* Sets of names: w whole, n/d fraction, u unit; a u major part, b v minor part. Blanks are single by now. */
static const char fraction_form[] =
    "^(?:(?<w>\\d{1,6}+)(?: |\\ ?-\\ ?))?(?<n>\\d{1,3}+)\\ ?/\\ ?(?<d>\\d{1,3}+)\\ ?(?<u>[^\\d/].*+)?$";
static const char compound_form[] =
    "^(?<a>\\d[\\d.,]*+)\\ ?(?<u>'|[^\\W\\d_][^\\d'\"#,&-]*?|\\#)\\ ?(?:[,&-]\\ ?|and\\ )?+"
    "(?<b>\\d++(?:[.,]\\d++)?+(?!\\ ?/))?(?:(?<=\\d)(?:\\ |\\ ?-\\ ?))?"
    "(?:(?<!\\d)(?<n>\\d{1,3}+)\\ ?/\\ ?(?<d>\\d{1,3}+))?\\ ?(?<v>\"|[^\\W\\d_][^\\d/]*+)?$";

static ap_pattern *forms[2];

void ap_quantity_release(void) {
    for (size_t i = 0; i < 2; i++) {
        ap_pattern_free(forms[i]);
        forms[i] = NULL;
    }
}

static bool match(ap_pattern **form, const char *pattern, ap_str text) {
    bool found = false;
    if (!*form && ap_pattern_new(form, ap_str_from(pattern), "", NULL) != AP_OK) {
        return false;
    }
    return ap_pattern_match(&found, *form, text, 0, NULL) == AP_OK && found;
}

static double whole_of(ap_str digits) {
    double value = 0.0;
    for (size_t i = 0; i < digits.len; i++) {
        value = value * 10.0 + (digits.ptr[i] - '0');
    }
    return value;
}

/* A proper fraction of a ruler or a tape: halves to sixty-fourths; thirds too, read to the half they lie within. */
static bool read_fraction(double *value, uint8_t *quantum, ap_str over, ap_str under) {
    double n = whole_of(over);
    double d = whole_of(under);
    if (n >= d || n < 1.0) {
        return false;
    }
    *value = n / d;
    for (int k = 1; k <= 6; k++) {
        if (d == ldexp(1.0, k)) {
            *quantum = (uint8_t)(32 + k);
            return true;
        }
    }
    *quantum = 32 + 1;
    return d == 3.0;
}

static bool read_mixed(ap_reading *out, ap_str text) {
    if (!memchr(text.ptr, '/', text.len) || !match(&forms[0], fraction_form, text)) {
        return false;
    }
    ap_str unit = ap_pattern_named(forms[0], "u");
    double part = 0.0;
    if (!read_fraction(&part, &out->quantum, ap_pattern_named(forms[0], "n"), ap_pattern_named(forms[0], "d"))) {
        return false;
    }
    out->major = whole_of(ap_pattern_named(forms[0], "w")) + part;
    out->unit = AP_UNIT_NONE;
    return unit.len == 0 || ap_unit_word(&out->unit, unit);
}

double ap_compound_ratio(ap_unit major, ap_unit minor) {
    static const struct {
        ap_unit major, minor;
        double ratio;
    } pairs[] = {
        {AP_UNIT_FT, AP_UNIT_IN, 12.0},         {AP_UNIT_YD, AP_UNIT_FT, 3.0},
        {AP_UNIT_M, AP_UNIT_CM, 100.0},         {AP_UNIT_M, AP_UNIT_MM, 1000.0},
        {AP_UNIT_LB, AP_UNIT_OZ, 16.0},         {AP_UNIT_US_TON, AP_UNIT_LB, 2000.0},
        {AP_UNIT_LONG_TON, AP_UNIT_LB, 2240.0}, {AP_UNIT_TONNE, AP_UNIT_KG, 1000.0},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        if (pairs[i].major == major && pairs[i].minor == minor) {
            return pairs[i].ratio;
        }
    }
    return 0.0;
}

/* The minor part: a number, a fraction or both. */
static bool read_minor(ap_reading *out, char decimal) {
    ap_str minor = ap_pattern_named(forms[1], "b");
    ap_str under = ap_pattern_named(forms[1], "d");
    ap_decimal number = {0};
    double part = 0.0;
    if (minor.len == 0 && under.len == 0) {
        return false;
    }
    if (minor.len > 0 && (ap_decimal_scan(&number, minor, decimal) != AP_DECIMAL_READ || number.len != minor.len)) {
        return false;
    }
    out->quantum = number.decimals;
    if (under.len > 0) {
        if (number.decimals > 0 || !read_fraction(&part, &out->quantum, ap_pattern_named(forms[1], "n"), under)) {
            return false;
        }
    }
    out->minor = number.value + part;
    return true;
}

static bool read_compound(ap_reading *out, ap_str text, char decimal) {
    if (!match(&forms[1], compound_form, text)) {
        return false;
    }
    ap_str major = ap_pattern_named(forms[1], "a");
    ap_str minor_unit = ap_pattern_named(forms[1], "v");
    ap_decimal number;
    if (ap_decimal_scan(&number, major, decimal) != AP_DECIMAL_READ || number.len != major.len || number.decimals > 0) {
        return false;
    }
    out->major = number.value;
    if (!ap_unit_word(&out->unit, ap_pattern_named(forms[1], "u")) || !read_minor(out, decimal)) {
        return false;
    }
    /* 18' 6 can only mean inches. */
    out->minor_unit = out->unit == AP_UNIT_FT ? AP_UNIT_IN : AP_UNIT_NONE;
    return minor_unit.len > 0 ? ap_unit_word(&out->minor_unit, minor_unit) : out->minor_unit != AP_UNIT_NONE;
}

bool ap_quantity_read_form(ap_reading *out, ap_str text, const ap_quantity_rules *rules) {
    *out = (ap_reading){0};
    if (read_mixed(out, text)) {
        return true;
    }
    *out = (ap_reading){0};
    if (!read_compound(out, text, rules->decimal)) {
        return false;
    }
    ap_unit unit = out->unit == AP_UNIT_TON ? rules->ton : out->unit;
    return unit == AP_UNIT_NONE || ap_compound_ratio(unit, out->minor_unit) > 0.0;
}
