/* The plain forms by hand: an optional '~', a sign, one number, one unit. Everything else is a compound form or is
 * refused with the reason. */
#include "text/quantity_parts.h"

static ap_str trimmed_left(ap_str text) {
    while (text.len > 0 && text.ptr[0] == ' ') {
        text.ptr++;
        text.len--;
    }
    return text;
}

/* A column repeats its unit in every cell: the words found last are kept, by their bytes. */
enum { MEMO_BITS = 6, MEMO_WORD = 7 };
static struct {
    uint64_t key;
    ap_unit unit;
} memo[1 << MEMO_BITS];

bool ap_unit_word(ap_unit *out, ap_str word) {
    if (word.len == 0 || word.len > MEMO_WORD) {
        return word.len > 0 && ap_unit_find(out, word);
    }
    uint64_t key = 0;
    for (size_t i = 0; i < word.len; i++) {
        key = key << 8 | (unsigned char)word.ptr[i];
    }
    key |= (uint64_t)word.len << 56;
    size_t slot = (size_t)(key * 0x9E3779B97F4A7C15u >> (64 - MEMO_BITS));
    if (memo[slot].key == key) {
        *out = memo[slot].unit;
        return true;
    }
    if (!ap_unit_find(out, word)) {
        return false;
    }
    memo[slot].key = key;
    memo[slot].unit = *out;
    return true;
}

/* "~" says rounded, which every planned weight is; "-" or "+" in front of the number. */
static ap_str take_sign(ap_str text, bool *negative) {
    *negative = false;
    if (text.len > 0 && text.ptr[0] == '~') {
        text = trimmed_left((ap_str){text.ptr + 1, text.len - 1});
    }
    if (text.len > 0 && (text.ptr[0] == '-' || text.ptr[0] == '+')) {
        *negative = text.ptr[0] == '-';
        text = trimmed_left((ap_str){text.ptr + 1, text.len - 1});
    }
    return text;
}

static ap_unit settled_ton(ap_unit unit, const ap_quantity_rules *rules) {
    return unit == AP_UNIT_TON ? rules->ton : unit;
}

static bool refuse_dimension(ap_refusal *why, const char *shown, ap_unit unit, bool written, ap_dim want) {
    const char *symbol = ap_unit_symbol(unit);
    if (written) {
        return ap_refuse(why, ap_remedy(want), "%s is not %s: '%s' is a unit of %s", shown, ap_dim_noun(want),
                         *symbol ? symbol : "a bare number", ap_dim_noun(ap_unit_dim(unit)) + 2);
    }
    return ap_refuse(why, ap_remedy(want), "%s has no unit, and the file's '%s' is not a unit of %s", shown, symbol,
                     ap_dim_noun(want) + 2);
}

/* Units settled, SI value, how it was written. */
static bool finish(ap_quantity *out, const ap_reading *reading, bool negative, const ap_quantity_rules *rules,
                   const char *shown, ap_refusal *why) {
    bool written = reading->unit != AP_UNIT_NONE;
    ap_unit unit = written ? reading->unit : rules->default_unit;
    if (unit == AP_UNIT_NONE && rules->dim == AP_DIM_SHARE) {
        unit = AP_UNIT_ONE;
    }
    if (unit == AP_UNIT_NONE) {
        return ap_refuse(why, ap_remedy(rules->dim), "%s has no unit, and neither the header nor the file gives one",
                         shown);
    }
    ap_dim want = rules->dim == AP_DIM_FORCE ? AP_DIM_LOAD : rules->dim;
    if (want != AP_DIM_NONE && ap_unit_dim(unit) != want) {
        return refuse_dimension(why, shown, unit, written, rules->dim);
    }
    unit = settled_ton(unit, rules);
    if (unit == AP_UNIT_NONE || unit == AP_UNIT_TON) {
        return ap_refuse(
            why,
            rules->ton_in_settings
                ? "settle it by 'afterpick set ton short --why TEXT' (or long, tonne), or for one log by the "
                  "line 'ton short' in its profile, and import again; or write lb or kg"
                : "write short tons, long tons or tonnes, or lb or kg",
            "%s is in tons, and a ton may be 2,000 lb, 2,240 lb or 1,000 kg", shown);
    }
    double value = ap_unit_to_si(unit, reading->major);
    ap_unit last = unit;
    if (reading->minor_unit != AP_UNIT_NONE) {
        double ratio = ap_compound_ratio(unit, reading->minor_unit);
        if (ratio == 0.0 || reading->minor >= ratio) {
            return ap_refuse(why, ap_remedy(rules->dim), "%s is not %s: its parts do not make one figure", shown,
                             ap_dim_noun(rules->dim));
        }
        last = reading->minor_unit;
        value += ap_unit_to_si(last, reading->minor);
    }
    value *= rules->dim == AP_DIM_FORCE ? AP_STANDARD_GRAVITY : 1.0;
    if (!isfinite(value)) {
        return ap_refuse(why, ap_remedy(rules->dim), "%s is too large a number", shown);
    }
    out->value = negative && value != 0.0 ? -value : value;
    out->written = (ap_written){(uint8_t)last, reading->quantum};
    return true;
}

/* Nothing, a full stop, or one unit behind the number. */
static bool read_unit(ap_unit *unit, ap_str rest) {
    *unit = AP_UNIT_NONE;
    if (rest.len == 0 || (rest.len == 1 && rest.ptr[0] == '.')) {
        return true;
    }
    return ap_unit_word(unit, rest);
}

bool ap_quantity_read(ap_quantity *out, ap_str text, const ap_quantity_rules *rules, ap_refusal *why) {
    ap_refusal unused;
    why = why ? why : &unused;
    why->reason[0] = why->remedy[0] = '\0';
    ap_spelling plain;
    char shown[AP_SHOWN_SIZE];
    ap_spelling_show(shown, text);
    if (!ap_spelling_from(&plain, text)) {
        return ap_refuse(why, ap_remedy(rules->dim), "%s is too long to be %s", shown, ap_dim_noun(rules->dim));
    }
    bool negative = false;
    ap_str body = take_sign((ap_str){plain.text, plain.len}, &negative);
    ap_decimal number;
    ap_decimal_end end = ap_decimal_scan(&number, body, rules->decimal);
    ap_unit unit = AP_UNIT_NONE;
    if (end != AP_DECIMAL_NONE && end != AP_DECIMAL_LONG &&
        read_unit(&unit, trimmed_left((ap_str){body.ptr + number.len, body.len - number.len}))) {
        if (end != AP_DECIMAL_READ) {
            return ap_refuse_number(why, shown, &number, end, rules);
        }
        ap_reading plain_reading = {.major = number.value, .unit = unit, .quantum = number.decimals};
        return finish(out, &plain_reading, negative, rules, shown, why);
    }
    ap_reading reading = {0};
    if (body.len > 0 && ap_quantity_read_form(&reading, body, rules)) {
        return finish(out, &reading, negative, rules, shown, why);
    }
    return ap_refuse_text(why, shown, &plain, rules);
}
