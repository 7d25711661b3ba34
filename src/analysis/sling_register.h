/* Every sling by its tag: the picks it was on, how near to its limit it came, what shocked it, and whether a person should
 * look at it.
 *
 * Units   N, kg, degrees; a share of the factored limit has none.
 * Method  leg tensions and use by derive/reconstruct.h at rest after the cut. Over-use: use above 1. Flat: a leg below 30
 *         degrees. Shock: logged peak over measured load above AP_SLING_SHOCK, a logged drop, or a reconstructed one of
 *         more than AP_SLING_DROP_M before a slack leg bites. Peak and logged drop count for every sling of the pick: which
 *         one took it is not logged.
 * Source  common practice, no source: a shock is 15 % above the static load; leg lengths are read to half a foot. */
#ifndef AP_ANALYSIS_SLING_REGISTER_H
#define AP_ANALYSIS_SLING_REGISTER_H

#include "book/picks.h"
#include "derive/reconstruct.h"

#define AP_SLING_SHOCK 1.15
#define AP_SLING_DROP_M 0.15

enum { AP_SLING_ROWS_MAX = 20000, AP_SLING_USES_MAX = 20000 };

/* One leg of one pick. */
typedef struct ap_sling_service {
    ap_str pick;
    ap_date date;
    int leg;       /* 1..4 */
    int hitch;     /* AP_HITCH_* */
    int state;     /* AP_LEG_STATE_*, at the cut */
    double wll_kg; /* as logged, else as entered; NaN */
    double tension_n;
    double use; /* NaN: not known */
    double angle_deg;
    double drop_m;                   /* reconstructed; NaN */
    double peak;                     /* logged peak / measured load; NaN */
    bool flat, over, shock, dropped; /* dropped: the log says so */
    ap_str why;                      /* no use: the reason; else none */
} ap_sling_service;

typedef struct ap_sling_row {
    ap_str tag;                  /* as entered, else as first logged */
    const ap_sling_entry *entry; /* NULL: nothing entered */
    int kind;                    /* as entered, else as last logged; 0 */
    double wll_kg;               /* the same; NaN */
    bool wll_varies;             /* logs give it different limits */
    size_t picks;
    size_t judged;    /* legs whose use is known */
    double worst_use; /* NaN: none known */
    ap_str worst_pick;
    size_t over, shocks, flat;
    size_t open; /* over-uses and shocks since the last inspection */
    ap_date first, last, last_over, last_shock;
    int64_t last_id; /* of the pick last counted */
} ap_sling_row;

typedef struct ap_sling_register {
    ap_sling_row *rows; /* to be inspected first, then by worst use, then by tag */
    size_t count;
    size_t left_out;        /* tags past AP_SLING_ROWS_MAX */
    size_t untagged;        /* legs without a tag */
    ap_sling_service *uses; /* of the one tag asked for, in pick order */
    size_t use_count;
    size_t use_left_out; /* past AP_SLING_USES_MAX */
} ap_sling_register;

/* All tags logged up to `until` (AP_DATE_NONE: all) and all entered; with `tag` its uses too. Lives in `arena`. */
AP_MUST_USE ap_status ap_sling_register_read(ap_sling_register *out, ap_arena *arena, ap_book *book,
                                             const ap_company *company, ap_date until, ap_str tag, ap_error *err);
const ap_sling_row *ap_sling_register_find(const ap_sling_register *reg, ap_str tag); /* case ignored; NULL */

bool ap_sling_is_retired(const ap_sling_row *row);
/* Over-use or shock since its last inspection, and still in use. */
bool ap_sling_needs_inspection(const ap_sling_row *row);
bool ap_sling_used_retired(const ap_sling_row *row); /* on a pick after the day it was retired */

#endif
