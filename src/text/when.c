/* Dates. One reading or none: what a cell allows is told apart from what the file has settled. */
#include "text/when_parts.h"

#include "text/quantity_parts.h"

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

size_t ap_when_digits(int *value, const char *text, size_t *at, size_t most) {
    size_t count = 0;
    *value = 0;
    while (count < most && is_digit(text[*at])) {
        *value = *value * 10 + (text[(*at)++] - '0');
        count++;
    }
    return is_digit(text[*at]) ? 0 : count;
}

size_t ap_when_letters(const char *text, size_t at) {
    size_t len = 0;
    while (is_letter(text[at + len])) {
        len++;
    }
    return len;
}

/* An English name or its first three letters or more ("Sept"); the index, -1 when it is none. */
static int find_name(const char *text, size_t len, const char *const *names, int count) {
    for (int i = 0; i < count; i++) {
        if (len >= 3 && len <= strlen(names[i]) && strncasecmp(text, names[i], len) == 0) {
            return i;
        }
    }
    return -1;
}

static int take_month(const char *text, size_t *at) {
    const char *names[12];
    for (int i = 0; i < 12; i++) {
        names[i] = ap_month_name(i + 1);
    }
    size_t len = ap_when_letters(text, *at);
    int month = find_name(text + *at, len, names, 12) + 1;
    if (month > 0) {
        *at += len + (text[*at + len] == '.');
    }
    return month;
}

static void take_weekday(int *weekday, const char *text, size_t *at) {
    static const char *const names[] = {"Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"};
    size_t len = ap_when_letters(text, *at);
    *weekday = find_name(text + *at, len, names, 7);
    if (*weekday >= 0) {
        *at += len;
        *at += strspn(text + *at, "., ");
    }
}

static void skip_gap(const char *text, size_t *at) {
    *at += strspn(text + *at, " ,");
    if (text[*at] == '-' || text[*at] == '/' || text[*at] == '.') {
        (*at)++;
    }
    *at += strspn(text + *at, " ");
}

static bool take_year(int *year, const char *text, size_t *at) {
    size_t digits = ap_when_digits(year, text, at, 4);
    if (digits == 2) {
        *year += *year < 70 ? 2000 : 1900;
    }
    return digits == 2 || digits == 4;
}

/* "5", "5th", "05". */
static bool take_day(int *day, const char *text, size_t *at) {
    size_t digits = ap_when_digits(day, text, at, 2);
    static const char *const ordinals[] = {"st", "nd", "rd", "th"};
    for (size_t i = 0; digits > 0 && i < 4; i++) {
        if (strncasecmp(text + *at, ordinals[i], 2) == 0 && ap_when_letters(text, *at) == 2) {
            *at += 2;
            break;
        }
    }
    return digits > 0;
}

/* "Oct 5, 2026" and "5 Oct 2026". */
static bool split_named(ap_when_parts *out, const char *text, size_t *at) {
    out->certain = true;
    out->b = take_month(text, at);
    bool month_first = out->b > 0;
    if (month_first) {
        skip_gap(text, at);
    }
    if (!take_day(&out->c, text, at)) {
        return false;
    }
    skip_gap(text, at);
    if (!month_first) {
        out->b = take_month(text, at);
        skip_gap(text, at);
    }
    return out->b > 0 && take_year(&out->a, text, at);
}

/* 2026-10-05, 20261005, 10/5/2026, 5.10.26: one separator, the same twice. */
static bool split_numbers(ap_when_parts *out, const char *text, size_t *at) {
    size_t digits = strspn(text + *at, "0123456789");
    if (digits == 8) {
        int all = 0;
        out->certain = true;
        ap_when_digits(&all, text, at, 8);
        out->a = all / 10000;
        out->b = all / 100 % 100;
        out->c = all % 100;
        return out->a >= 1900;
    }
    out->certain = digits == 4;
    if (ap_when_digits(&out->a, text, at, out->certain ? 4 : 2) == 0) {
        return false;
    }
    char mark = text[*at];
    if (mark != '-' && mark != '/' && mark != '.') {
        return false;
    }
    (*at)++;
    if (ap_when_digits(&out->b, text, at, 2) == 0 || text[*at] != mark) {
        return false;
    }
    (*at)++;
    if (out->certain) {
        return ap_when_digits(&out->c, text, at, 2) > 0;
    }
    return take_year(&out->c, text, at);
}

bool ap_when_split(ap_when_parts *out, const char *text) {
    size_t at = 0;
    take_weekday(&out->weekday, text, &at);
    size_t from = at;
    if (!split_numbers(out, text, &at)) {
        at = from;
        if (!split_named(out, text, &at)) {
            return false;
        }
    }
    out->behind = text + at;
    return true;
}

static bool date_under(ap_date *out, const ap_when_parts *parts, ap_date_order order) {
    int year = parts->certain ? parts->a : parts->c;
    int month = parts->certain || order == AP_DATES_DMY ? parts->b : parts->a;
    int day = parts->certain ? parts->c : order == AP_DATES_DMY ? parts->a : parts->b;
    if (!ap_date_from_civil(out, year, month, day)) {
        return false;
    }
    /* 1970-01-01 was a Thursday. */
    int weekday = (int)((((int64_t)*out + 4) % 7 + 7) % 7);
    return parts->weekday < 0 || parts->weekday == weekday;
}

/* Nothing, or a time of day behind 'T' or a blank. */
static bool tail_is_time(const char *behind) {
    if (*behind == '\0') {
        return true;
    }
    ap_time unused = AP_TIME_NONE;
    bool parted = *behind == ' ' || ((*behind == 'T' || *behind == 't') && is_digit(behind[1]));
    return parted && ap_clock_read(&unused, behind + 1, true) == AP_CLOCK_READ;
}

unsigned ap_date_orders(ap_str text) {
    ap_spelling plain;
    ap_when_parts parts;
    ap_date unused = AP_DATE_NONE;
    if (!ap_spelling_from(&plain, text) || !ap_when_split(&parts, plain.text) || !tail_is_time(parts.behind)) {
        return 0;
    }
    if (parts.certain) {
        return date_under(&unused, &parts, AP_DATES_ISO) ? 1u : 0u;
    }
    return (date_under(&unused, &parts, AP_DATES_MDY) ? 2u : 0u) |
           (date_under(&unused, &parts, AP_DATES_DMY) ? 4u : 0u);
}

static const char remedy[] = "write the date as year-month-day, such as 2026-10-05";

static bool is_day_number(const char *text) {
    size_t digits = strspn(text, "0123456789");
    return digits == 5 && (text[digits] == '\0' || text[digits] == '.');
}

static bool refuse_order(ap_refusal *why, const char *shown, ap_date_order order) {
    if (order == AP_DATES_UNSETTLED) {
        return ap_refuse(why, "say the order of the file's dates (--dates mdy or --dates dmy), or write 2026-10-05",
                         "%s has no settled order of day and month", shown);
    }
    return ap_refuse(why, remedy, "%s does not begin with the year, as the other dates of this file do", shown);
}

static bool refuse_day(ap_refusal *why, const char *shown, const ap_when_parts *parts, ap_date_order order) {
    ap_when_parts plain = *parts;
    ap_date unused = AP_DATE_NONE;
    plain.weekday = -1;
    if (parts->weekday >= 0 && date_under(&unused, &plain, order)) {
        return ap_refuse(why, remedy, "%s names a weekday that this date was not", shown);
    }
    const char *read = parts->certain          ? ""
                       : order == AP_DATES_MDY ? " (read as month, day, year)"
                                               : " (read as day, month, year)";
    return ap_refuse(why, remedy, "%s is not a date: the calendar has no such day between 1900 and 2199%s", shown,
                     read);
}

bool ap_when_read_date(ap_date *out, ap_str text, ap_date_order order, ap_refusal *why) {
    ap_refusal unused;
    why = why ? why : &unused;
    why->reason[0] = why->remedy[0] = '\0';
    ap_spelling plain;
    ap_when_parts parts;
    char shown[AP_SHOWN_SIZE];
    ap_spelling_show(shown, text);
    bool fits = ap_spelling_from(&plain, text);
    if (!fits || !ap_when_split(&parts, plain.text) || !tail_is_time(parts.behind)) {
        if (fits && is_day_number(plain.text)) {
            return ap_refuse(why, "give the column a date format in the spreadsheet, or write 2026-10-05",
                             "%s is not a date: it may be a spreadsheet's day number", shown);
        }
        return ap_refuse(why, remedy, "%s is not a date", shown);
    }
    if (!parts.certain && order != AP_DATES_MDY && order != AP_DATES_DMY) {
        return refuse_order(why, shown, order);
    }
    ap_date date = AP_DATE_NONE;
    if (!date_under(&date, &parts, order)) {
        return refuse_day(why, shown, &parts, order);
    }
    *out = date;
    return true;
}
