/* The rated capacity at one place of a pick: as logged, else from the crane's load chart, marked.
 *
 * Units   m, kg.
 * Method  mech/capacity.h: the next longer radius and boom, never interpolated, never past the last row; a length that
 *         equals a row to its written precision is that row. A logged capacity
 *         is never overridden; one more than AP_RATED_DIFFERS from the chart's is marked, not corrected.
 * Errors  none: without a number there is a reason, and the reason has words. */
#ifndef AP_DERIVE_RATED_H
#define AP_DERIVE_RATED_H

#include "derive/company.h"
#include "mech/capacity.h"

/* Logs round capacities, charts in other units too: less than this apart they agree. Common practice, no source. */
#define AP_RATED_DIFFERS 0.01

/* Why the chart gives no number. */
typedef enum ap_rated_no {
    AP_RATED_SAID = 0,
    AP_RATED_NO_CHART,   /* nothing entered for the crane, or no crane logged */
    AP_RATED_NO_RADIUS,  /* not logged */
    AP_RATED_NO_BOOM,    /* not logged, and the chart has several lengths */
    AP_RATED_PAST_BOOM,  /* longer than any in the chart */
    AP_RATED_PAST_RADIUS /* past the last row */
} ap_rated_no;

typedef enum ap_rated_from { AP_RATED_UNKNOWN = 0, AP_RATED_LOG, AP_RATED_CHART } ap_rated_from;

typedef struct ap_rated {
    double capacity_kg; /* NaN: not known */
    ap_rated_from from;
    double chart_kg;                     /* what the chart gives, also beside a logged one; NaN */
    double chart_boom_m, chart_radius_m; /* the row that gave it; NaN */
    double chart_end_m;                  /* PAST_RADIUS: the last radius; PAST_BOOM: the longest boom; else NaN */
    ap_rated_no no;                      /* of the chart */
    bool differs;                        /* logged and chart do not agree */
} ap_rated;

/* `logged_kg`, radius and boom NaN when not logged; `crane` NULL when nothing is entered for it. */
void ap_rated_find(ap_rated *out, double logged_kg, const ap_capacity_at *at, const ap_crane *crane);

/* Past the end of the chart: no other capacity may stand in. */
bool ap_rated_is_past(const ap_rated *rated);
/* "the radius is past the end of the chart"; "" for AP_RATED_SAID. */
const char *ap_rated_no_text(ap_rated_no no);

#endif
