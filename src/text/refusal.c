/* Why a cell is not one quantity, in the crew's words. */
#include "text/quantity_parts.h"

const char *ap_dim_noun(ap_dim dim) {
    static const char *const nouns[AP_DIM_COUNT] = {
        [AP_DIM_NONE] = "a number",   [AP_DIM_LENGTH] = "a length",   [AP_DIM_LOAD] = "a weight",
        [AP_DIM_ANGLE] = "an angle",  [AP_DIM_SHARE] = "a share",     [AP_DIM_FORCE] = "a load",
        [AP_DIM_VOLUME] = "a volume", [AP_DIM_DENSITY] = "a density",
    };
    return nouns[(unsigned)dim < AP_DIM_COUNT ? dim : AP_DIM_NONE];
}

const char *ap_remedy(ap_dim dim) {
    static const char *const remedies[AP_DIM_COUNT] = {
        [AP_DIM_NONE] = "write one number",
        [AP_DIM_LENGTH] = "write one number with its unit, such as 18 ft 6 in",
        [AP_DIM_LOAD] = "write one number with its unit, such as 4,850 lb",
        [AP_DIM_ANGLE] = "write one number of degrees, such as 45 deg",
        [AP_DIM_SHARE] = "write one share, such as 15 % or 0.15",
        [AP_DIM_FORCE] = "write one load with its unit, such as 6,400 lb or 28 kN",
        [AP_DIM_VOLUME] = "write one number with its unit, such as 85 ft3",
        [AP_DIM_DENSITY] = "write one number with its unit, such as 62 lb/ft3",
    };
    return remedies[(unsigned)dim < AP_DIM_COUNT ? dim : AP_DIM_NONE];
}

bool ap_refuse(ap_refusal *why, const char *remedy, const char *format, ...) {
    va_list args;
    va_start(args, format);
    vsnprintf(why->reason, sizeof why->reason, format, args);
    va_end(args);
    snprintf(why->remedy, sizeof why->remedy, "%s", remedy);
    return false;
}

bool ap_refuse_number(ap_refusal *why, const char *shown, const ap_decimal *number, ap_decimal_end end,
                      const ap_quantity_rules *rules) {
    if (end == AP_DECIMAL_TWO) {
        return ap_refuse(why, "say whether the file's decimal mark is a point or a comma, or leave out thousands marks",
                         "%s has two readings: %.15g and %.15g", shown, number->value, number->other);
    }
    if (end == AP_DECIMAL_CONTRARY) {
        return ap_refuse(why, ap_remedy(rules->dim),
                         "%s is not %s as this file writes numbers: its decimal mark is a %s", shown,
                         ap_dim_noun(rules->dim), rules->decimal == ',' ? "comma" : "point");
    }
    return ap_refuse(why, ap_remedy(rules->dim), "%s is not %s: its marks do not part it into thousands", shown,
                     ap_dim_noun(rules->dim));
}

static bool has_any_word(const ap_spelling *plain, const char *const *words) {
    for (; *words; words++) {
        if (ap_spelling_has_word(plain, *words)) {
            return true;
        }
    }
    return false;
}

static bool has_digit(const ap_spelling *plain) {
    return strpbrk(plain->text, "0123456789") != NULL;
}

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/* A dash, a slash or two full stops with digits somewhere on both sides. */
static bool is_range(const ap_spelling *plain) {
    bool before = false;
    bool between = false;
    for (size_t i = 0; i < plain->len; i++) {
        char c = plain->text[i];
        if (is_digit(c) && between) {
            return true;
        }
        before = before || is_digit(c);
        between = between || (before && (c == '-' || c == '/' || (c == '.' && plain->text[i + 1] == '.')));
    }
    return false;
}

static bool is_power_of_ten(const ap_spelling *plain) {
    for (size_t i = 1; i + 1 < plain->len; i++) {
        const char *c = plain->text + i;
        if ((*c == 'e' || *c == 'E') && is_digit(c[-1]) &&
            (is_digit(c[1]) || ((c[1] == '+' || c[1] == '-') && is_digit(c[2])))) {
            return true;
        }
    }
    return false;
}

static const char *explain(const ap_spelling *plain) {
    static const char *const uncertain[] = {"approx",  "approximately", "about",     "around",   "circa", "ca",
                                            "roughly", "est",           "estimated", "estimate", "guess", "guessed",
                                            "maybe",   "or so",         "ish",       "probably", NULL};
    static const char *const bounds[] = {"max",  "maximum", "min",       "minimum",   "up to", "at least", "at most",
                                         "over", "under",   "more than", "less than", "above", "below",    NULL};
    static const char *const several[] = {"to", "or", "and", "between", "plus", "then", NULL};
    if (plain->len == 0) {
        return "it is blank";
    }
    if (strchr(plain->text, '?') || has_any_word(plain, uncertain)) {
        return "it is marked as uncertain";
    }
    if (!has_digit(plain)) {
        return "it holds no number";
    }
    if (strpbrk(plain->text, "<>") || strstr(plain->text, "\xE2\x89\xA4") || strstr(plain->text, "\xE2\x89\xA5") ||
        has_any_word(plain, bounds)) {
        return "it is a bound, not a value";
    }
    if (strstr(plain->text, "\xC2\xB1") || strstr(plain->text, "+/-")) {
        return "it carries a tolerance";
    }
    if (is_power_of_ten(plain)) {
        return "it is written in powers of ten";
    }
    return is_range(plain) || has_any_word(plain, several) ? "it is a range, or two values" : NULL;
}

/* What stands behind the first number, when that is the whole trouble. */
static ap_str unknown_unit(const ap_spelling *plain, char decimal) {
    ap_decimal number;
    size_t at = strspn(plain->text, "~-+ ");
    ap_str body = {plain->text + at, plain->len - at};
    ap_decimal_end end = ap_decimal_scan(&number, body, decimal);
    if (end == AP_DECIMAL_NONE || end == AP_DECIMAL_LONG) {
        return AP_STR_NONE;
    }
    ap_str rest = ap_str_trim((ap_str){body.ptr + number.len, body.len - number.len});
    for (size_t i = 0; i < rest.len; i++) {
        if (is_digit(rest.ptr[i])) {
            return AP_STR_NONE;
        }
    }
    return rest;
}

bool ap_refuse_text(ap_refusal *why, const char *shown, const ap_spelling *plain, const ap_quantity_rules *rules) {
    const char *noun = ap_dim_noun(rules->dim);
    const char *remedy = ap_remedy(rules->dim);
    const char *because = explain(plain);
    if (because) {
        return ap_refuse(why, remedy, "%s is not %s: %s", shown, noun, because);
    }
    ap_str unit = unknown_unit(plain, rules->decimal);
    if (unit.len > 0) {
        char unit_shown[AP_SHOWN_SIZE];
        ap_spelling_show(unit_shown, unit);
        return ap_refuse(why, remedy, "%s is not %s: %s is not a unit known here", shown, noun, unit_shown);
    }
    return ap_refuse(why, remedy, "%s is not %s: it cannot be read as one number with one unit", shown, noun);
}
