/* Times of day: "14:05", "2:05 pm", "2pm", "1405", "14h05", "14.05"; seconds are read and dropped. */
#include "text/when_parts.h"

#include "text/quantity_parts.h"

typedef struct clock_parts {
    int hour, minute, second;
    size_t hour_digits;
    bool has_minutes;
    int half; /* 0 = none written, 1 = am, 2 = pm */
} clock_parts;

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/* "am", "pm", "a.m.", "p. m.", "a", "p"; 0 and nothing taken otherwise. */
static int take_half(const char *text, size_t *at) {
    size_t from = *at + (text[*at] == ' ');
    char first = (char)(text[from] | 0x20);
    if (first != 'a' && first != 'p') {
        return 0;
    }
    from++;
    from += text[from] == '.';
    size_t next = from + (text[from] == ' ');
    if ((text[next] | 0x20) == 'm') {
        from = next + 1;
        from += text[from] == '.';
    }
    *at = from;
    return first == 'a' ? 1 : 2;
}

/* "Z", "+02:00", "-0500". */
static bool take_zone(const char *text, size_t *at) {
    size_t from = *at + (text[*at] == ' ');
    if (text[from] == 'Z' || text[from] == 'z') {
        *at = from + 1;
        return true;
    }
    if (text[from] != '+' && text[from] != '-') {
        return false;
    }
    from++;
    size_t digits = strspn(text + from, "0123456789:");
    *at = from + digits;
    return digits >= 2;
}

/* ":05", "h05", ".05" and seconds behind the same mark. */
static bool take_minutes(clock_parts *parts, const char *text, size_t *at) {
    char mark = text[*at];
    if (mark == 'h' || mark == 'H') {
        (*at)++;
        parts->has_minutes = true;
        return !is_digit(text[*at]) || ap_when_digits(&parts->minute, text, at, 2) == 2;
    }
    if ((mark != ':' && mark != '.') || !is_digit(text[*at + 1])) {
        return true;
    }
    (*at)++;
    parts->has_minutes = true;
    if (ap_when_digits(&parts->minute, text, at, 2) != 2) {
        return false;
    }
    if (text[*at] == mark && is_digit(text[*at + 1])) {
        (*at)++;
        if (ap_when_digits(&parts->second, text, at, 2) != 2) {
            return false;
        }
        if (mark == ':' && (text[*at] == '.' || text[*at] == ',') && is_digit(text[*at + 1])) {
            (*at)++;
            *at += strspn(text + *at, "0123456789");
        }
    }
    return true;
}

static ap_clock_end settle(ap_time *out, const clock_parts *parts) {
    int hour = parts->hour;
    if (!parts->has_minutes && parts->half == 0) {
        return AP_CLOCK_BARE;
    }
    if (parts->half != 0) {
        if (hour < 1 || hour > 12) {
            return AP_CLOCK_RANGE;
        }
        hour = hour % 12 + (parts->half == 2 ? 12 : 0);
    }
    if (hour > 23 || parts->minute > 59 || parts->second > 59) {
        return AP_CLOCK_RANGE;
    }
    *out = hour * 60 + parts->minute;
    return AP_CLOCK_READ;
}

ap_clock_end ap_clock_read(ap_time *out, const char *text, bool zone_allowed) {
    clock_parts parts = {0};
    size_t at = 0;
    size_t digits = strspn(text, "0123456789");
    if (digits == 4) {
        int all = 0;
        ap_when_digits(&all, text, &at, 4);
        parts = (clock_parts){.hour = all / 100, .minute = all % 100, .has_minutes = true};
        at += text[at] == 'h' || text[at] == 'H';
    } else {
        parts.hour_digits = ap_when_digits(&parts.hour, text, &at, 2);
        if (parts.hour_digits == 0 || !take_minutes(&parts, text, &at)) {
            return AP_CLOCK_NONE;
        }
    }
    parts.half = take_half(text, &at);
    if (parts.has_minutes && parts.half == 0 && take_zone(text, &at) && !zone_allowed) {
        return AP_CLOCK_ZONE;
    }
    return text[at] == '\0' ? settle(out, &parts) : AP_CLOCK_NONE;
}

/* The time of a cell that holds a date as well, as spreadsheets write them. */
static const char *behind_date(const char *text) {
    ap_when_parts parts;
    if (!ap_when_split(&parts, text) || *parts.behind == '\0') {
        return text;
    }
    bool parted = parts.behind[0] == ' ' || parts.behind[0] == 'T' || parts.behind[0] == 't';
    return parted ? parts.behind + 1 : text;
}

bool ap_when_read_time(ap_time *out, ap_str text, ap_refusal *why) {
    static const char remedy[] = "write the time as hours and minutes, such as 14:05";
    ap_refusal unused;
    why = why ? why : &unused;
    why->reason[0] = why->remedy[0] = '\0';
    ap_spelling plain;
    char shown[AP_SHOWN_SIZE];
    ap_spelling_show(shown, text);
    ap_time time = AP_TIME_NONE;
    ap_clock_end end = AP_CLOCK_NONE;
    if (ap_spelling_from(&plain, text)) {
        end = ap_clock_read(&time, behind_date(plain.text), false);
    }
    switch (end) {
    case AP_CLOCK_READ:
        *out = time;
        return true;
    case AP_CLOCK_RANGE:
        return ap_refuse(why, remedy, "%s is not a time: no clock shows it", shown);
    case AP_CLOCK_BARE:
        return ap_refuse(why, remedy, "%s is not a time: a bare hour may be morning or afternoon", shown);
    case AP_CLOCK_ZONE:
        return ap_refuse(why, "write the local time, such as 14:05",
                         "%s names a time zone, and the log keeps local time", shown);
    case AP_CLOCK_NONE:
        break;
    }
    return ap_refuse(why, remedy, "%s is not a time", shown);
}
