/* Dates of the proleptic Gregorian calendar as days since 1970-01-01, times as minutes of the day. No zones:
 * all times are the log's local clock. The system clock is read in one place, ap_date_today(). */
#ifndef AP_BASE_CALENDAR_H
#define AP_BASE_CALENDAR_H

#include "base/str.h"

typedef int32_t ap_date;
typedef int32_t ap_time;
#define AP_DATE_NONE INT32_MIN
#define AP_TIME_NONE (-1)

bool ap_date_from_civil(ap_date *out, int year, int month, int day); /* false for 31 February; years 1900..2199 */
void ap_date_to_civil(ap_date date, int *year, int *month, int *day);
bool ap_date_from_iso(ap_date *out, ap_str text); /* exactly YYYY-MM-DD */
bool ap_time_from_iso(ap_time *out, ap_str text); /* exactly HH:MM or HH:MM:SS */
enum { AP_ISO_SIZE = 16 };
void ap_date_to_iso(char out[AP_ISO_SIZE], ap_date date); /* "" for AP_DATE_NONE */
void ap_time_to_iso(char out[AP_ISO_SIZE], ap_time time);
/* A calendar month as a whole: "2026-10" -> first and last day. */
bool ap_month_from_iso(ap_date *first, ap_date *last, ap_str text);
/* Months since 1970-01: for grouping; and its "YYYY-MM". */
int ap_month_index(ap_date date);
void ap_month_to_iso(char out[AP_ISO_SIZE], int month_index);
ap_date ap_month_first(int month_index);
ap_date ap_date_add_months(ap_date date, int months); /* the day clamped to the month's last */
const char *ap_month_name(int month);                 /* 1..12: "January" */
ap_date ap_date_today(void);

#endif
