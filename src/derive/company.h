/* What the company says about itself: its settings, its cranes and slings. Every derived value is worked out with it.
 *
 * A view: the settings and cranes live with whoever made it (the roster, the command). */
#ifndef AP_DERIVE_COMPANY_H
#define AP_DERIVE_COMPANY_H

#include "base/crane.h"
#include "base/settings.h"
#include "base/sling_entry.h"

typedef struct ap_company {
    const ap_settings *settings; /* never NULL */
    const ap_crane *cranes;      /* in order of name as ap_str_compare_nocase() has it */
    size_t crane_count;
    const ap_sling_entry *slings; /* in the same order, by tag */
    size_t sling_count;
    const double
        *brush; /* allowances learnt from the book, by ap_wood_brush_number(), NaN where none is; NULL: none at all */
} ap_company;

/* The crane of this name; case and blanks around it do not count. NULL: nothing was entered for it. */
const ap_crane *ap_company_crane(const ap_company *company, ap_str name);

/* The sling of this tag; NULL: nothing was entered for it. */
const ap_sling_entry *ap_company_sling(const ap_company *company, ap_str tag);
/* The calibration in force on a day: the last one up to it. NULL: none, as for crane NULL. */
const ap_calibration *ap_crane_calibration(const ap_crane *crane, ap_date on);
/* The largest error of its indicator on that day as a share: the calibration's, else the crane's own; NaN: none entered. */
double ap_crane_band(const ap_crane *crane, ap_date on);

#endif
