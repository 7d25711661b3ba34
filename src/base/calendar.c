/* The arithmetic counts from 1 March, so that the leap day ends a year, in eras of 400 years = 146097 days
 * (Gregorian calendar: ISO 8601-1:2019, 4.2.1). */
#include "base/calendar.h"

#include <limits.h>

enum { FIRST_DAY = -25567, LAST_DAY = 84005 }; /* 1900-01-01, 2199-12-31 */
enum { YEAR_FIRST = 1900, YEAR_LAST = 2199, DAYS_TO_1970 = 719468, ERA_DAYS = 146097 };

static bool is_leap(int year) {
    return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
}

static int month_days(int year, int month) {
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return month < 1 || month > 12 ? 0 : days[month - 1] + (month == 2 && is_leap(year) ? 1 : 0);
}

bool ap_date_from_civil(ap_date *out, int year, int month, int day) {
    if (year < YEAR_FIRST || year > YEAR_LAST || month < 1 || month > 12 || day < 1 || day > month_days(year, month)) {
        return false;
    }
    int y = month <= 2 ? year - 1 : year;
    int era = y / 400;
    int year_of_era = y - era * 400;
    int day_of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
    int day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    *out = era * ERA_DAYS + day_of_era - DAYS_TO_1970;
    return true;
}

void ap_date_to_civil(ap_date date, int *year, int *month, int *day) {
    if (date < FIRST_DAY || date > LAST_DAY) {
        *year = *month = *day = 0;
        return;
    }
    int shifted = date + DAYS_TO_1970;
    int era = shifted / ERA_DAYS;
    int day_of_era = shifted - era * ERA_DAYS;
    int year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    int day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    int from_march = (5 * day_of_year + 2) / 153;
    *day = day_of_year - (153 * from_march + 2) / 5 + 1;
    *month = from_march < 10 ? from_march + 3 : from_march - 9;
    *year = year_of_era + era * 400 + (*month <= 2 ? 1 : 0);
}

/* Exactly `digits` digits at `at`; -1 when there is anything else. */
static int number_at(ap_str text, size_t at, size_t digits) {
    int value = 0;
    for (size_t i = at; i < at + digits; i++) {
        if (i >= text.len || text.ptr[i] < '0' || text.ptr[i] > '9') {
            return -1;
        }
        value = value * 10 + (text.ptr[i] - '0');
    }
    return value;
}

bool ap_date_from_iso(ap_date *out, ap_str text) {
    if (text.len != 10 || text.ptr[4] != '-' || text.ptr[7] != '-') {
        return false;
    }
    return ap_date_from_civil(out, number_at(text, 0, 4), number_at(text, 5, 2), number_at(text, 8, 2));
}

bool ap_time_from_iso(ap_time *out, ap_str text) {
    if ((text.len != 5 && text.len != 8) || text.ptr[2] != ':' || (text.len == 8 && text.ptr[5] != ':')) {
        return false;
    }
    int hour = number_at(text, 0, 2);
    int minute = number_at(text, 3, 2);
    int second = text.len == 8 ? number_at(text, 6, 2) : 0;
    if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 || second > 59) {
        return false;
    }
    *out = hour * 60 + minute;
    return true;
}

void ap_date_to_iso(char out[AP_ISO_SIZE], ap_date date) {
    int year = 0;
    int month = 0;
    int day = 0;
    ap_date_to_civil(date, &year, &month, &day);
    out[0] = '\0';
    if (year != 0) {
        snprintf(out, AP_ISO_SIZE, "%04u-%02u-%02u", (unsigned)year % 10000u, (unsigned)month % 100u,
                 (unsigned)day % 100u);
    }
}

void ap_time_to_iso(char out[AP_ISO_SIZE], ap_time time) {
    out[0] = '\0';
    if (time >= 0 && time < 24 * 60) {
        snprintf(out, AP_ISO_SIZE, "%02u:%02u", (unsigned)time / 60u, (unsigned)time % 60u);
    }
}

bool ap_month_from_iso(ap_date *first, ap_date *last, ap_str text) {
    if (text.len != 7 || text.ptr[4] != '-') {
        return false;
    }
    int year = number_at(text, 0, 4);
    int month = number_at(text, 5, 2);
    return ap_date_from_civil(first, year, month, 1) && ap_date_from_civil(last, year, month, month_days(year, month));
}

int ap_month_index(ap_date date) {
    int year = 0;
    int month = 0;
    int day = 0;
    ap_date_to_civil(date, &year, &month, &day);
    return year == 0 ? INT_MIN : (year - 1970) * 12 + month - 1;
}

static bool month_split(int month_index, int *year, int *month) {
    if (month_index < (YEAR_FIRST - 1970) * 12 || month_index >= (YEAR_LAST + 1 - 1970) * 12) {
        return false;
    }
    int months = month_index + (1970 - YEAR_FIRST) * 12;
    *year = YEAR_FIRST + months / 12;
    *month = months % 12 + 1;
    return true;
}

void ap_month_to_iso(char out[AP_ISO_SIZE], int month_index) {
    int year = 0;
    int month = 0;
    out[0] = '\0';
    if (month_split(month_index, &year, &month)) {
        snprintf(out, AP_ISO_SIZE, "%04u-%02u", (unsigned)year % 10000u, (unsigned)month % 100u);
    }
}

ap_date ap_month_first(int month_index) {
    int year = 0;
    int month = 0;
    ap_date date = AP_DATE_NONE;
    if (month_split(month_index, &year, &month)) {
        ap_date_from_civil(&date, year, month, 1);
    }
    return date;
}

ap_date ap_date_add_months(ap_date date, int months) {
    int year = 0;
    int month = 0;
    int day = 0;
    enum { MONTHS_MOST = (YEAR_LAST + 1 - YEAR_FIRST) * 12 };
    ap_date_to_civil(date, &year, &month, &day);
    if (year == 0 || months > MONTHS_MOST || months < -MONTHS_MOST ||
        !month_split(ap_month_index(date) + months, &year, &month)) {
        return AP_DATE_NONE;
    }
    int most = month_days(year, month);
    ap_date moved = AP_DATE_NONE;
    ap_date_from_civil(&moved, year, month, day > most ? most : day);
    return moved;
}

const char *ap_month_name(int month) {
    static const char *const names[] = {"January", "February", "March",     "April",   "May",      "June",
                                        "July",    "August",   "September", "October", "November", "December"};
    return month >= 1 && month <= 12 ? names[month - 1] : "";
}

ap_date ap_date_today(void) {
    time_t now = time(NULL);
    struct tm local;
    ap_date date = AP_DATE_NONE;
    if (now != (time_t)-1 && localtime_r(&now, &local)) {
        ap_date_from_civil(&date, local.tm_year + 1900, local.tm_mon + 1, local.tm_mday);
    }
    return date;
}
