/* What a number format says about the value: ECMA-376-1 18.8.30 (the ids with a fixed meaning) and 18.8.31 (the codes).
 * Only the first section is read: the others are for numbers below zero, for zero and for text. */
#include "base/units.h"
#include "text/workbook_parts.h"

/* A walk over one code. */
typedef struct scan {
    bool day_year, month_or_minute, hour, second, elapsed, percent;
    bool minute_bound; /* the last m stands beside h or s: minutes */
    bool month;        /* an m that is a month */
    bool after_hour;   /* the token before was h */
    size_t digits;     /* placeholders */
    bool only_zeros;
    unsigned commas, thousands;
    size_t prefix_len, suffix_len;
    char prefix[64], suffix[64];
} scan;

static void add_literal(scan *s, char c) {
    if (s->digits == 0 && s->prefix_len < sizeof s->prefix - 1) {
        s->prefix[s->prefix_len++] = c;
    } else if (s->digits > 0 && s->suffix_len < sizeof s->suffix - 1) {
        s->suffix[s->suffix_len++] = c;
    }
}

static void add_placeholder(scan *s, char c) {
    s->digits++;
    s->only_zeros = s->only_zeros && c == '0' && s->suffix_len == 0;
    s->commas = 0;
    s->suffix_len = 0;
}

/* An m waits for the next token to say what it is. */
static void settle_month(scan *s) {
    if (s->month_or_minute && !s->minute_bound) {
        s->month = true;
    }
    s->month_or_minute = false;
    s->minute_bound = false;
}

static size_t run_of(ap_str code, size_t at) {
    size_t len = 1;
    while (at + len < code.len && (code.ptr[at + len] | 0x20) == (code.ptr[at] | 0x20)) {
        len++;
    }
    return len;
}

/* [h], [mm], [ss] are elapsed time; [Red], [>100], [$-409] are not about the value. */
static size_t take_bracket(scan *s, ap_str code, size_t at) {
    size_t len = 1;
    bool clock = true;
    while (at + len < code.len && code.ptr[at + len] != ']') {
        char c = (char)(code.ptr[at + len] | 0x20);
        clock = clock && (c == 'h' || c == 'm' || c == 's');
        len++;
    }
    if (clock && len > 1) {
        s->elapsed = true;
        s->second = s->second || (code.ptr[at + 1] | 0x20) == 's';
        s->after_hour = true;
    }
    return len + 1;
}

static size_t take_quoted(scan *s, ap_str code, size_t at) {
    size_t len = 1;
    while (at + len < code.len && code.ptr[at + len] != '"') {
        add_literal(s, code.ptr[at + len]);
        len++;
    }
    return len + 1;
}

static bool starts_nocase(ap_str code, size_t at, const char *word) {
    size_t len = strlen(word);
    return at + len <= code.len && ap_str_equal_nocase((ap_str){code.ptr + at, len}, ap_str_from(word));
}

/* Letters of the clock and the calendar; the length taken, 0 when it is none. Behind digits they are a unit somebody
 * did not quote (0.0 yd). */
static size_t take_clock(scan *s, ap_str code, size_t at) {
    size_t len = run_of(code, at);
    if (s->digits > 0 && !s->day_year && !s->month_or_minute && !s->month && !s->hour && !s->second && !s->elapsed) {
        return 0;
    }
    switch (code.ptr[at] | 0x20) {
    case 'y':
    case 'd':
        settle_month(s);
        s->day_year = true;
        s->after_hour = false;
        return len;
    case 'h':
        settle_month(s);
        s->hour = true;
        s->after_hour = true;
        return len;
    case 'm':
        settle_month(s);
        s->month_or_minute = true;
        s->minute_bound = s->after_hour;
        s->after_hour = false;
        return len;
    case 's':
        s->minute_bound = true;
        settle_month(s);
        s->second = true;
        s->after_hour = false;
        return len;
    case 'a':
        if (starts_nocase(code, at, "am/pm") || starts_nocase(code, at, "a/p")) {
            settle_month(s);
            s->hour = true;
            return starts_nocase(code, at, "am/pm") ? 5 : 3;
        }
        return 0;
    default:
        return 0;
    }
}

static size_t take_other(scan *s, ap_str code, size_t at) {
    char c = code.ptr[at];
    if (starts_nocase(code, at, "General")) {
        add_placeholder(s, '#');
        return 7;
    }
    if (c == '0' || c == '#' || c == '?') {
        add_placeholder(s, c);
    } else if (c == '.' && s->digits > 0) {
        s->thousands += s->commas;
        s->commas = 0;
        s->only_zeros = false;
    } else if (c == ',' && s->digits > 0 && s->suffix_len == 0) {
        s->commas++;
        s->only_zeros = false;
    } else if (c == '%') {
        s->percent = true;
    } else if ((c == 'E' || c == 'e') && at + 1 < code.len && (code.ptr[at + 1] == '+' || code.ptr[at + 1] == '-')) {
        s->only_zeros = false;
        return 2;
    } else {
        add_literal(s, c);
    }
    return 1;
}

static void walk(scan *s, ap_str code) {
    for (size_t at = 0; at < code.len && code.ptr[at] != ';';) {
        char c = code.ptr[at];
        size_t taken = 0;
        if (c == '"') {
            taken = take_quoted(s, code, at);
        } else if (c == '[') {
            taken = take_bracket(s, code, at);
        } else if (c == '\\' || c == '_' || c == '*') {
            if (c == '\\' && at + 1 < code.len) {
                add_literal(s, code.ptr[at + 1]);
            }
            taken = 2;
        } else {
            taken = take_clock(s, code, at);
            taken = taken > 0 ? taken : take_other(s, code, at);
        }
        at += taken;
    }
    settle_month(s);
    s->thousands += s->commas;
}

static void keep_affixes(ap_value_format *out, const scan *s) {
    ap_str unit = ap_str_trim((ap_str){s->suffix, s->suffix_len});
    ap_unit found = AP_UNIT_NONE;
    if (unit.len > 0 && unit.len < AP_AFFIX_SIZE && ap_unit_find(&found, unit)) {
        memcpy(out->unit, unit.ptr, unit.len);
        out->thousands = (uint8_t)(s->thousands < 9 ? s->thousands : 9);
        return;
    }
    bool name = s->prefix_len > 0 && s->prefix_len < AP_AFFIX_SIZE;
    for (size_t i = 0; i < s->prefix_len; i++) {
        char c = s->prefix[i];
        name = name && c > ' ' && c <= '~' && c != '$';
    }
    bool plain = s->only_zeros && s->digits > 0 && s->digits <= 15 && s->suffix_len == 0;
    if (plain && (name || (s->prefix_len == 0 && s->digits > 1))) {
        out->zeros = (uint8_t)s->digits;
        memcpy(out->prefix, s->prefix, s->prefix_len);
    }
}

void ap_value_format_code(ap_value_format *out, ap_str code) {
    scan s = {.only_zeros = true};
    *out = (ap_value_format){.kind = AP_VALUE_NUMBER};
    walk(&s, code);
    bool date = s.day_year || s.month;
    bool time = s.hour || s.second;
    out->seconds = s.second;
    if (s.elapsed) {
        out->kind = AP_VALUE_DURATION;
    } else if (date || time) {
        out->kind = date && time ? AP_VALUE_DATE_TIME : date ? AP_VALUE_DATE : AP_VALUE_TIME;
    } else if (s.percent) {
        out->kind = AP_VALUE_PERCENT;
    } else {
        keep_affixes(out, &s);
    }
}

void ap_value_format_builtin(ap_value_format *out, unsigned id) {
    static const char *const codes[AP_FORMAT_BUILTIN] = {
        [9] = "0%",           [10] = "0.00%",      [14] = "mm-dd-yy",      [15] = "d-mmm-yy", [16] = "d-mmm",
        [17] = "mmm-yy",      [18] = "h:mm AM/PM", [19] = "h:mm:ss AM/PM", [20] = "h:mm",     [21] = "h:mm:ss",
        [22] = "m/d/yy h:mm", [45] = "mm:ss",      [46] = "[h]:mm:ss",     [47] = "mmss.0",
    };
    const char *code = id < AP_FORMAT_BUILTIN && codes[id] ? codes[id] : "General";
    ap_value_format_code(out, ap_str_from(code));
}
