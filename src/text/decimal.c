#include "text/decimal.h"

enum { DIGITS_MAX = 40, GROUPS_MAX = 16 };

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/* The digits without marks and where the marks stood. */
typedef struct number_parts {
    char digits[DIGITS_MAX + 1];
    size_t digit_count;
    char marks[GROUPS_MAX];
    size_t mark_at[GROUPS_MAX]; /* digits in front of the mark */
    size_t mark_count;
    size_t dots, commas, spaces;
} number_parts;

/* A space parts thousands when exactly three digits follow and one to three stand in front. */
static bool space_parts_thousands(ap_str text, size_t at, const number_parts *parts) {
    size_t group = parts->digit_count - (parts->mark_count > 0 ? parts->mark_at[parts->mark_count - 1] : 0);
    bool front = parts->dots + parts->commas == 0 && (parts->spaces > 0 ? group == 3 : group >= 1 && group <= 3);
    if (!front || text.len < at + 4 || parts->digits[0] == '0') {
        return false;
    }
    bool three = is_digit(text.ptr[at + 1]) && is_digit(text.ptr[at + 2]) && is_digit(text.ptr[at + 3]);
    char behind = text.len > at + 4 ? text.ptr[at + 4] : '\0';
    return three && !is_digit(behind) && behind != '/';
}

static ap_decimal_end take_parts(number_parts *parts, ap_str text, size_t *len) {
    size_t at = 0;
    parts->digit_count = parts->mark_count = parts->dots = parts->commas = parts->spaces = 0;
    for (; at < text.len; at++) {
        char c = text.ptr[at];
        if (is_digit(c)) {
            if (parts->digit_count == DIGITS_MAX) {
                return AP_DECIMAL_LONG;
            }
            parts->digits[parts->digit_count++] = c;
            continue;
        }
        bool mark = (c == '.' || c == ',') && at + 1 < text.len && is_digit(text.ptr[at + 1]);
        if (!mark && !(c == ' ' && space_parts_thousands(text, at, parts))) {
            break;
        }
        if (parts->mark_count == GROUPS_MAX) {
            return AP_DECIMAL_GROUPS;
        }
        parts->dots += c == '.';
        parts->commas += c == ',';
        parts->spaces += c == ' ';
        parts->mark_at[parts->mark_count] = parts->digit_count;
        parts->marks[parts->mark_count++] = c;
    }
    parts->digits[parts->digit_count] = '\0';
    *len = at;
    return parts->digit_count > 0 ? AP_DECIMAL_READ : AP_DECIMAL_NONE;
}

/* The first `count` marks, all one character, part thousands; `end` digits stand in front of what follows. */
static bool groups_are_thousands(const number_parts *parts, size_t count, size_t end) {
    size_t from = 0;
    for (size_t i = 0; i <= count; i++) {
        size_t to = i < count ? parts->mark_at[i] : end;
        size_t len = to - from;
        if ((i == 0 && (len < 1 || len > 3)) || (i > 0 && len != 3) ||
            (i > 0 && i < count && parts->marks[i] != parts->marks[0])) {
            return false;
        }
        from = to;
    }
    return parts->digits[0] != '0' || count == 0;
}

/* Up to 15 digits and 22 decimals an integer divided by a power of ten is exact but for one rounding; beyond, strtod. */
static double value_of(const number_parts *parts, size_t decimals) {
    static const double powers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                    1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    if (parts->digit_count <= 15) {
        int64_t whole = 0;
        for (size_t i = 0; i < parts->digit_count; i++) {
            whole = whole * 10 + (parts->digits[i] - '0');
        }
        return (double)whole / powers[decimals];
    }
    char text[DIGITS_MAX + 2];
    size_t front = parts->digit_count - decimals;
    memcpy(text, parts->digits, front);
    text[front] = '.';
    memcpy(text + front + 1, parts->digits + front, decimals);
    text[parts->digit_count + 1] = '\0';
    return strtod(text, NULL);
}

static ap_decimal_end settle_one_mark(const number_parts *parts, char decimal, bool *is_decimal) {
    char mark = parts->marks[0];
    bool thousands = groups_are_thousands(parts, 1, parts->digit_count);
    *is_decimal = mark == decimal || (decimal == 0 && !thousands);
    if (decimal == 0 && thousands) {
        return AP_DECIMAL_TWO;
    }
    return *is_decimal || thousands ? AP_DECIMAL_READ : AP_DECIMAL_CONTRARY;
}

/* How many digits stand behind the decimal mark. */
static ap_decimal_end settle(size_t *decimals, const number_parts *parts, char decimal) {
    size_t last = parts->mark_count > 0 ? parts->mark_count - 1 : 0;
    bool is_decimal = false;
    *decimals = 0;
    if (parts->mark_count == 0) {
        return AP_DECIMAL_READ;
    }
    ap_decimal_end end = AP_DECIMAL_READ;
    size_t kinds = (parts->dots > 0) + (size_t)(parts->commas > 0) + (size_t)(parts->spaces > 0);
    if (parts->mark_count == 1 && parts->spaces == 0) {
        end = settle_one_mark(parts, decimal, &is_decimal);
    } else if (kinds == 1) {
        is_decimal = false;
    } else {
        size_t same = parts->marks[last] == '.'   ? parts->dots
                      : parts->marks[last] == ',' ? parts->commas
                                                  : parts->spaces;
        if (kinds != 2 || same != 1) {
            return AP_DECIMAL_GROUPS;
        }
        is_decimal = true;
    }
    size_t whole = is_decimal ? parts->mark_at[last] : parts->digit_count;
    size_t groups = is_decimal ? last : parts->mark_count;
    if (end == AP_DECIMAL_READ && groups > 0 && !groups_are_thousands(parts, groups, whole)) {
        return AP_DECIMAL_GROUPS;
    }
    *decimals = parts->digit_count - whole;
    return end;
}

ap_decimal_end ap_decimal_scan(ap_decimal *out, ap_str text, char decimal) {
    number_parts parts;
    size_t len = 0;
    size_t decimals = 0;
    *out = (ap_decimal){0};
    ap_decimal_end end = take_parts(&parts, text, &len);
    if (end != AP_DECIMAL_READ) {
        return end;
    }
    end = settle(&decimals, &parts, decimal);
    out->len = len;
    out->value = value_of(&parts, decimals);
    out->decimals = (uint8_t)(decimals < 15 ? decimals : 15);
    if (end == AP_DECIMAL_TWO) {
        out->other = value_of(&parts, parts.digit_count - parts.mark_at[0]);
    }
    return end;
}
