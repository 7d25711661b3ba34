#include "text/quantity_list.h"

static char separator_of(ap_str text) {
    return text.len && memchr(text.ptr, ';', text.len) ? ';' : ',';
}

ap_str ap_quantity_list_part(ap_str text, size_t number) {
    char separator = separator_of(text);
    ap_str rest = text;
    for (size_t i = 0; rest.ptr; i++) {
        ap_str part = ap_str_split(rest, separator, &rest);
        if (i == number) {
            return ap_str_trim(part);
        }
    }
    return AP_STR_NONE;
}

static void refuse(ap_refusal *why, const char *reason, const char *remedy) {
    snprintf(why->reason, sizeof why->reason, "%s", reason);
    snprintf(why->remedy, sizeof why->remedy, "%s", remedy);
}

static bool too_many(ap_refusal *why, size_t most) {
    char reason[64];
    snprintf(reason, sizeof reason, "more than %zu values", most);
    refuse(why, reason, "give one for each leg, with commas between");
    return false;
}

/* A comma between digits may be the decimal one of other countries: "6,5 m" is not 6 and 5 m. */
static void mind_the_comma(ap_refusal *why, ap_str text, size_t at) {
    bool bare = at == 0 && separator_of(text) == ',';
    ap_str part = ap_quantity_list_part(text, 0);
    for (size_t i = 0; i < part.len && bare; i++) {
        bare = part.ptr[i] >= '0' && part.ptr[i] <= '9';
    }
    if (bare && part.len) {
        refuse(why, "the first value has no unit", "write 6m,8m, with a point for decimals: 6.5m,8m");
    }
}

bool ap_quantity_list_read(double *out, size_t *count, size_t most, ap_unit *first_unit, ap_str text,
                           const ap_quantity_rules *rules, ap_refusal *why, size_t *at) {
    memset(why, 0, sizeof *why);
    size_t n = 0;
    for (;; n++) {
        ap_str part = ap_quantity_list_part(text, n);
        *at = n;
        if (!part.ptr) {
            break;
        }
        if (n == most) {
            return too_many(why, most);
        }
        ap_quantity quantity;
        if (!ap_quantity_read(&quantity, part, rules, why)) {
            mind_the_comma(why, text, n);
            return false;
        }
        out[n] = quantity.value;
        if (n == 0 && first_unit) {
            *first_unit = (ap_unit)quantity.written.unit;
        }
    }
    *count = n;
    if (n == 0) {
        refuse(why, "nothing is written", "write 6m,8m");
    }
    return n > 0;
}

bool ap_stiffness_read(double *out_n_m, ap_str text, ap_refusal *why) {
    static const char remedy[] = "write it as 90N/m, 25kN/m or 50lb/in";
    static const ap_quantity_rules force = {.dim = AP_DIM_FORCE, .decimal = '.'};
    memset(why, 0, sizeof *why);
    ap_str per = AP_STR_NONE;
    ap_str load = ap_str_trim(ap_str_split(text, '/', &per));
    ap_unit unit = AP_UNIT_NONE;
    ap_quantity quantity;
    per = ap_str_trim(per);
    if (!per.ptr || !ap_unit_find(&unit, per) || ap_unit_dim(unit) != AP_DIM_LENGTH) {
        refuse(why, "it is no force for a length", remedy);
        return false;
    }
    if (!ap_quantity_read(&quantity, load, &force, why)) {
        return false;
    }
    double stiffness = quantity.value / ap_unit_to_si(unit, 1.0);
    if (!isfinite(stiffness)) {
        refuse(why, "it is out of range", remedy);
        return false;
    }
    *out_n_m = stiffness;
    return true;
}

bool ap_stiffness_list_read(double *out_n_m, size_t *count, size_t most, ap_str text, ap_refusal *why, size_t *at) {
    size_t n = 0;
    memset(why, 0, sizeof *why);
    for (;; n++) {
        ap_str part = ap_quantity_list_part(text, n);
        *at = n;
        if (!part.ptr) {
            break;
        }
        if (n == most) {
            return too_many(why, most);
        }
        if (!ap_stiffness_read(&out_n_m[n], part, why)) {
            return false;
        }
    }
    *count = n;
    if (n == 0) {
        refuse(why, "nothing is written", "write 25kN/m");
    }
    return n > 0;
}
