/* What the detectors of legs, movement and shock need of each pick of the period: what was logged of slings and person, and what the
 * reconstruction (derive/reconstruct.h) says of it. Kept small: one of these a pick. */
#ifndef AP_NEARMISS_HUNG_H
#define AP_NEARMISS_HUNG_H

#include "analysis/roster.h"

enum {
    AP_HUNG_SLACK = 1,          /* one of two or more legs was logged slack at the cut */
    AP_HUNG_CG_OUTSIDE = 2,     /* the centre of gravity lies outside the legs */
    AP_HUNG_IN_SWEEP = 4,       /* the climber stood nearer than the butt was to move, on its side */
    AP_HUNG_EYE = 8,            /* a leg is an eye sling */
    AP_HUNG_HITCH_ASSUMED = 16, /* the leg's use rests on no hitch being logged */
    AP_HUNG_PLANNED = 32,       /* worked out from the planned weight */
    AP_HUNG_PEAK_KNOWN = 64     /* the peak rests on a logged preload, or on a drop onto a leg of known stiffness */
};

typedef struct ap_hung {
    float worst_use;    /* of a leg: tension over its limit with the factor of its hitch; NaN when not known */
    float flattest_deg; /* of a leg that carries, above the horizontal; NaN */
    float butt_move_m;  /* how far the butt was to move by the reconstruction; NaN */
    float climber_m;    /* the climber's logged distance; NaN */
    float peak_ratio;   /* logged peak over the measured hook load; NaN */
    float peak_share;   /* upper end of the worked-out peak over the capacity at the cut; NaN */
    float lean_deg;     /* NaN */
    uint8_t leg;        /* number of the leg with the worst use; 0 */
    uint8_t flags;
} ap_hung;

typedef struct ap_hung_list {
    ap_hung *items; /* heap: of facts[first..first + count) */
    size_t first, count;
} ap_hung_list;

/* Reads the picks of facts[first..end) whole and reconstructs those with legs. Release also after an error. Errors: AP_E_MEMORY, those
 * of reading. */
AP_MUST_USE ap_status ap_hung_load(ap_hung_list *out, ap_book *book, const ap_roster *roster, ap_date since,
                                   ap_date until, ap_error *err);
void ap_hung_release(ap_hung_list *list);
void ap_hung_set(ap_hung *out, const ap_pick *pick, const ap_company *company);
/* NULL when the pick was not read. */
const ap_hung *ap_hung_get(const ap_hung_list *list, size_t fact);

#endif
