/* A cell's stored value as the text a log would have.
 *
 * Numbers: 15 significant digits, which is what spreadsheets show and keep of what was typed (0.1 + 0.2 is 0.3); such a
 * text is also the shortest that reads back to the same number where 15 digits or fewer do.
 * Dates: ECMA-376-1 18.17.4.1: days since the turn of 1900, in which day 60 is a 29 February 1900 that never was, or since
 * 1904-01-01; the fraction is the time of day. Rounded to the second first, so that 14:05 stored a hair below is 14:05;
 * then seconds are left out unless the format shows them, as the program does. A date with the time 00:00:00 is a date
 * without a time: that is how a date alone is stored. */
#include "base/calendar.h"
#include "base/units.h"
#include "text/decimal.h"
#include "text/workbook_parts.h"

enum { DAY_SECONDS = 86400, EPOCH_1900 = 25569, EPOCH_1904 = 24107, FALSE_LEAP_DAY = 60 }; /* days to 1970-01-01 */
#define SERIAL_END 2958466.0 /* the day behind 9999-12-31 */

const char ap_trouble_error[] = "a formula's value is an error";
const char ap_trouble_formula[] =
    "a formula has no stored value (open the workbook in the spreadsheet program and save it there)";
const char ap_trouble_number[] = "a number is damaged";
const char ap_trouble_shown[] = "a number and the text shown for it differ";
static const char trouble_date[] = "a date lies outside the calendar of 1900 to 2199";
static const char trouble_leap[] = "29 February 1900 was no day";
static const char trouble_below[] = "a time is below zero";

bool ap_value_read_number(double *out, ap_str text) {
    char copy[64];
    ap_str trimmed = ap_str_trim(text);
    if (trimmed.len == 0 || trimmed.len >= sizeof copy) {
        return false;
    }
    memcpy(copy, trimmed.ptr, trimmed.len);
    copy[trimmed.len] = '\0';
    if (strspn(copy, "0123456789+-.eE") != trimmed.len) {
        return false;
    }
    char *end = NULL;
    *out = strtod(copy, &end);
    return end == copy + trimmed.len && isfinite(*out);
}

void ap_value_number(char out[AP_VALUE_SIZE], double value) {
    char digits[32]; /* -d.dddddddddddddde-308 */
    snprintf(digits, sizeof digits, "%.14e", fabs(value));
    int exponent = (int)strtol(strchr(digits, 'e') + 1, NULL, 10);
    char mantissa[16] = {digits[0]};
    memcpy(mantissa + 1, digits + 2, 14);
    size_t len = 15;
    while (len > 1 && mantissa[len - 1] == '0') {
        len--;
    }
    mantissa[len] = '\0';
    const char *sign = value < 0.0 ? "-" : "";
    if (exponent < -12 || exponent > 20) {
        snprintf(out, AP_VALUE_SIZE, "%s%c%s%sE%+03d", sign, mantissa[0], len > 1 ? "." : "", mantissa + 1, exponent);
    } else if (exponent < 0) {
        snprintf(out, AP_VALUE_SIZE, "%s0.%.*s%s", sign, -exponent - 1, "000000000000", mantissa);
    } else if ((size_t)exponent + 1 >= len) {
        snprintf(out, AP_VALUE_SIZE, "%s%s%.*s", sign, mantissa, exponent + 1 - (int)len, "00000000000000000000");
    } else {
        snprintf(out, AP_VALUE_SIZE, "%s%.*s.%s", sign, exponent + 1, mantissa, mantissa + exponent + 1);
    }
}

static void put_time(char *out, size_t size, int64_t seconds, bool show_seconds) {
    int64_t hours = seconds / 3600;
    int minutes = (int)(seconds / 60 % 60);
    if (show_seconds && seconds % 60 != 0) {
        snprintf(out, size, "%02lld:%02d:%02d", (long long)hours, minutes, (int)(seconds % 60));
    } else {
        snprintf(out, size, "%02lld:%02d", (long long)hours, minutes);
    }
}

static const char *put_day(char out[AP_VALUE_SIZE], int64_t day, bool from_1904) {
    if (!from_1904 && day == FALSE_LEAP_DAY) {
        snprintf(out, AP_VALUE_SIZE, "1900-02-29");
        return trouble_leap;
    }
    int64_t date = from_1904 ? day - EPOCH_1904 : day - EPOCH_1900 + (day < FALSE_LEAP_DAY);
    char iso[AP_ISO_SIZE] = "";
    int year = 0, month = 0, of_month = 0;
    if (from_1904 || day > 0) {
        ap_date_to_civil((ap_date)date, &year, &month, &of_month);
    }
    if (year == 0) {
        return trouble_date;
    }
    ap_date_to_iso(iso, (ap_date)date);
    snprintf(out, AP_VALUE_SIZE, "%s", iso);
    return NULL;
}

const char *ap_value_serial(char out[AP_VALUE_SIZE], const ap_value_format *format, double serial, bool from_1904) {
    if (!(serial >= 0.0) || serial >= SERIAL_END) {
        ap_value_number(out, serial);
        return serial < 0.0 ? trouble_below : trouble_date;
    }
    int64_t total = (int64_t)floor(serial * DAY_SECONDS + 0.5);
    int64_t day = total / DAY_SECONDS;
    int64_t seconds = total % DAY_SECONDS;
    if (format->kind == AP_VALUE_DURATION) {
        put_time(out, AP_VALUE_SIZE, total, format->seconds);
        return NULL;
    }
    /* A time alone in a cell that could show a date as well. */
    bool only_time = format->kind == AP_VALUE_DATE_TIME && day == 0 && !from_1904;
    if (format->kind == AP_VALUE_TIME || only_time) {
        put_time(out, AP_VALUE_SIZE, seconds, format->seconds);
        return NULL;
    }
    const char *trouble = put_day(out, day, from_1904);
    if (trouble == trouble_date) {
        ap_value_number(out, serial);
    } else if (format->kind == AP_VALUE_DATE_TIME && seconds > 0) {
        size_t len = strlen(out);
        out[len++] = ' ';
        put_time(out + len, AP_VALUE_SIZE - len, seconds, format->seconds);
    }
    return trouble;
}

const char *ap_value_formatted(char out[AP_VALUE_SIZE], const ap_value_format *format, double value, bool from_1904) {
    size_t len = 0;
    switch (format->kind) {
    case AP_VALUE_NUMBER:
        break;
    case AP_VALUE_PERCENT:
        ap_value_number(out, value * 100.0);
        len = strlen(out);
        snprintf(out + len, AP_VALUE_SIZE - len, "%%");
        return NULL;
    default:
        return ap_value_serial(out, format, value, from_1904);
    }
    for (unsigned i = 0; format->unit[0] && i < format->thousands; i++) {
        value /= 1000.0;
    }
    char number[AP_VALUE_SIZE];
    ap_value_number(number, value);
    if (format->zeros > 0 && value >= 0.0 && value < 1e15 && floor(value) == value) {
        snprintf(number, sizeof number, "%0*.0f", (int)format->zeros, value);
        snprintf(out, AP_VALUE_SIZE, "%s%.60s", format->prefix, number);
    } else {
        snprintf(out, AP_VALUE_SIZE, "%.60s%s%s", number, format->unit[0] ? " " : "", format->unit);
    }
    return NULL;
}

/* ---- ISO 8601, as ODF and cells of type d write it ---- */

/* Digits at *at, at least one and at most `most`; -1 when there are none. */
static int64_t take_digits(ap_str text, size_t *at, size_t most) {
    int64_t value = 0;
    size_t from = *at;
    while (*at < text.len && *at - from < most && text.ptr[*at] >= '0' && text.ptr[*at] <= '9') {
        value = value * 10 + (text.ptr[(*at)++] - '0');
    }
    return *at > from ? value : -1;
}

static bool take_char(ap_str text, size_t *at, char wanted) {
    bool there = *at < text.len && text.ptr[*at] == wanted;
    *at += there;
    return there;
}

/* Behind '.' or ',': whether it rounds up. */
static bool take_fraction(ap_str text, size_t *at) {
    bool up = false;
    if (take_char(text, at, '.') || take_char(text, at, ',')) {
        up = *at < text.len && text.ptr[*at] >= '5' && text.ptr[*at] <= '9';
        while (take_digits(text, at, 15) >= 0) {
        }
    }
    return up;
}

static bool take_clock(int64_t *seconds, ap_str text, size_t *at) {
    int64_t hours = take_digits(text, at, 2);
    int64_t minutes = take_char(text, at, ':') ? take_digits(text, at, 2) : -1;
    int64_t rest = take_char(text, at, ':') ? take_digits(text, at, 2) : 0;
    if (hours < 0 || hours > 23 || minutes < 0 || minutes > 59 || rest < 0 || rest > 59) {
        return false;
    }
    *seconds = hours * 3600 + minutes * 60 + rest;
    *seconds += take_fraction(text, at) && *seconds < DAY_SECONDS - 1;
    take_char(text, at, 'Z');
    return *at == text.len;
}

static const char *damaged(char out[AP_VALUE_SIZE], ap_str text) {
    ap_str start = {text.ptr, text.len < 40 ? text.len : 40};
    bool plain = true;
    for (size_t i = 0; i < start.len; i++) {
        plain = plain && start.ptr[i] >= ' ' && start.ptr[i] <= '~';
    }
    snprintf(out, AP_VALUE_SIZE, "%.*s", plain ? (int)start.len : 1, plain && start.ptr ? start.ptr : "?");
    return trouble_date;
}

const char *ap_value_iso(char out[AP_VALUE_SIZE], ap_str text) {
    text = ap_str_trim(text);
    size_t at = 0;
    int64_t seconds = 0;
    if (text.len >= 3 && text.ptr[2] == ':') {
        if (!take_clock(&seconds, text, &at)) {
            return damaged(out, text);
        }
        put_time(out, AP_VALUE_SIZE, seconds, true);
        return NULL;
    }
    ap_str day = {text.ptr, text.len < 10 ? text.len : 10};
    bool has_time = text.len > 10;
    at = 11;
    if (has_time && ((text.ptr[10] != 'T' && text.ptr[10] != ' ') || !take_clock(&seconds, text, &at))) {
        return damaged(out, text);
    }
    if (has_time && ap_str_equal_word(day, "1899-12-30")) { /* ODF's day 0: a time alone */
        put_time(out, AP_VALUE_SIZE, seconds, true);
        return NULL;
    }
    ap_date date = AP_DATE_NONE;
    if (!ap_date_from_iso(&date, day)) {
        return damaged(out, text);
    }
    snprintf(out, AP_VALUE_SIZE, "%.10s", day.ptr);
    if (has_time && seconds > 0) {
        out[10] = ' ';
        put_time(out + 11, AP_VALUE_SIZE - 11, seconds, true);
    }
    return NULL;
}

const char *ap_value_iso_length(char out[AP_VALUE_SIZE], ap_str text) {
    text = ap_str_trim(text);
    size_t at = 0;
    bool below = take_char(text, &at, '-');
    bool in_time = false;
    int64_t total = 0;
    if (!take_char(text, &at, 'P') || at == text.len) {
        return damaged(out, text);
    }
    while (at < text.len) {
        if (take_char(text, &at, 'T')) {
            in_time = true;
            continue;
        }
        int64_t count = take_digits(text, &at, 9);
        bool up = take_fraction(text, &at);
        if (count < 0 || at == text.len) {
            return damaged(out, text);
        }
        char unit = text.ptr[at++];
        int64_t size = !in_time && unit == 'D'  ? DAY_SECONDS
                       : in_time && unit == 'H' ? 3600
                       : in_time && unit == 'M' ? 60
                       : in_time && unit == 'S' ? 1
                                                : 0;
        if (size == 0 || total > INT64_MAX / 4) {
            return damaged(out, text);
        }
        total += count * size + (up && size == 1);
    }
    put_time(out, AP_VALUE_SIZE, total, true);
    return below && total > 0 ? trouble_below : NULL;
}

/* ---- what is shown beside a number ---- */

bool ap_value_is_error(ap_str text) {
    static const char *const words[] = {"#NULL!", "#DIV/0!", "#VALUE!", "#REF!",   "#NAME?",        "#NUM!",
                                        "#N/A",   "#SPILL!", "#CALC!",  "#FIELD!", "#GETTING_DATA", "#BLOCKED!"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (ap_str_equal_word(text, words[i])) {
            return true;
        }
    }
    return ap_str_starts(text, AP_STR_LIT("Err:")) && text.len == 7;
}

/* "J231" for 231, "007" for 7: the number's own digits behind letters and zeros. */
static bool is_numbered_name(ap_str shown, ap_str number, double value) {
    if (value < 0.0 || floor(value) != value || shown.len <= number.len || shown.len >= AP_AFFIX_SIZE + number.len) {
        return false;
    }
    size_t head = shown.len - number.len;
    if (memcmp(shown.ptr + head, number.ptr, number.len) != 0) {
        return false;
    }
    bool zeros = false;
    for (size_t i = 0; i < head; i++) {
        char c = shown.ptr[i];
        bool letter = ((c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '-' || c == '_') && !zeros;
        zeros = zeros || c == '0';
        if (!letter && c != '0') {
            return false;
        }
    }
    return shown.ptr[0] != '-';
}

static bool is_close(double value, double shown, unsigned decimals) {
    return fabs(value - shown) <= 0.51 * pow(10.0, -(double)decimals) + 1e-9 * fabs(value);
}

const char *ap_value_add_shown(char out[AP_VALUE_SIZE], double value, ap_str shown) {
    shown = ap_str_trim(shown);
    if (shown.len == 0) {
        return NULL;
    }
    ap_str number = ap_str_from(out);
    if (is_numbered_name(shown, number, value)) {
        snprintf(out, AP_VALUE_SIZE, "%.*s", (int)shown.len, shown.ptr);
        return NULL;
    }
    size_t sign = shown.len > 0 && shown.ptr[0] == '-';
    ap_decimal read;
    ap_decimal_end end = ap_decimal_scan(&read, (ap_str){shown.ptr + sign, shown.len - sign}, 0);
    if (end != AP_DECIMAL_READ && end != AP_DECIMAL_TWO) {
        return NULL;
    }
    ap_str rest = ap_str_trim((ap_str){shown.ptr + sign + read.len, shown.len - sign - read.len});
    ap_unit unit = AP_UNIT_NONE;
    if (rest.len == 0 || rest.len >= AP_AFFIX_SIZE || !ap_unit_find(&unit, rest)) {
        return NULL;
    }
    double size = sign ? -value : value;
    if (!is_close(size, read.value, read.decimals) && !(end == AP_DECIMAL_TWO && is_close(size, read.other, 3))) {
        return ap_trouble_shown;
    }
    size_t len = strlen(out);
    snprintf(out + len, AP_VALUE_SIZE - len, " %.*s", (int)rest.len, rest.ptr);
    return NULL;
}
