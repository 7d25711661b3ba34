/* The planning factors of a book: now, at the end of the month before, and what they would have done. */
#ifndef AP_ANALYSIS_FACTORS_H
#define AP_ANALYSIS_FACTORS_H

#include "analysis/proof.h"

enum { AP_FACTORS_GOOD_FOR_MONTHS = 6 };

typedef struct ap_factors {
    ap_pooled now;
    ap_pooled before;     /* from the picks up to `before_until` */
    ap_date until;        /* the last pick's day, or the day asked for */
    ap_date before_until; /* the last day of the month before */
    size_t picks;         /* compared */
    ap_proof proof;
} ap_factors;

/* From facts dated up to `until` (AP_DATE_NONE: all). */
AP_MUST_USE ap_status ap_factors_work_out(ap_factors *out, ap_arena *arena, const ap_roster *roster, ap_date until,
                                          const ap_by *by, size_t by_count, ap_error *err);

/* How many past picks pass `share` of the chart at the planned radius. */
typedef struct ap_against {
    size_t judged;   /* picks with planned weight, capacity and a factor */
    size_t planned;  /* over it as they were planned */
    size_t factored; /* over it with plan x factor */
    size_t lifted;   /* over it as lifted, of those that were weighed with a capacity */
    size_t weighed;
} ap_against;

void ap_factors_against(ap_against *out, const ap_factors *factors, const ap_roster *roster, double share);

#endif
