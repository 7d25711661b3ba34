/* Dates and times of a log. The order of day and month is settled for the file as a whole, never guessed per cell. */
#ifndef AP_TEXT_WHEN_H
#define AP_TEXT_WHEN_H

#include "base/calendar.h"
#include "text/quantity.h"

typedef enum ap_date_order {
    AP_DATES_UNSETTLED = 0,
    AP_DATES_ISO, /* year first, or month names: one reading */
    AP_DATES_MDY,
    AP_DATES_DMY
} ap_date_order;

/* Which orders a cell allows: bit 0 = ISO or a named month (unambiguous), bit 1 = m/d/y possible, bit 2 = d/m/y possible;
 * 0 = not a date at all. Equal numbers (5/5/2026) allow both. */
unsigned ap_date_orders(ap_str text);

/* Reads with the order settled. Two-digit years: 00..69 -> 2000.., 70..99 -> 1900.. False with the reason otherwise. */
bool ap_when_read_date(ap_date *out, ap_str text, ap_date_order order, ap_refusal *why);
/* "14:05", "2:05 pm", "2pm", "1405", "14h05", "14.05". A bare "2" is refused. */
bool ap_when_read_time(ap_time *out, ap_str text, ap_refusal *why);

#endif
