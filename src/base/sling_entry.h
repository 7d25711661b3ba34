/* A sling as the company entered it, by the tag that logs give. Plain data, read by book/slings.h.
 *
 * Units  kg, m, N for unit strain. NaN, 0, none and AP_DATE_NONE are "not entered". */
#ifndef AP_BASE_SLING_ENTRY_H
#define AP_BASE_SLING_ENTRY_H

#include "base/calendar.h"
#include "base/str.h"

typedef struct ap_sling_entry {
    ap_str tag;
    int kind;      /* AP_LEG_KIND_* */
    double wll_kg; /* on its tag, straight pull */
    double length_m;
    double factor;      /* the company's own on its limit for hitch or knot, in the place of the built-in one */
    double stiffness_n; /* force for unit strain */
    ap_str source;
    ap_date retired_on;
    ap_date inspected_on; /* the last time */
} ap_sling_entry;

#endif
