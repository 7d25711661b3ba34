/* Can the weighed picks speak for all? Which picks were not weighed, what if they were like the heaviest, and how much of
 * the error the load indicator alone could make. */
#ifndef AP_ANALYSIS_WEIGHING_H
#define AP_ANALYSIS_WEIGHING_H

#include "analysis/roster.h"

/* An indicator may legally read 95 to 110 % of the true load (29 CFR 1917.46(a)(1)(i)(A), marine terminals): an
 * illustration, not a rule for this trade, used where no band is entered for the crane. No weight is corrected by it. */
#define AP_INDICATOR_LOW 0.95
#define AP_INDICATOR_HIGH 1.10

typedef enum ap_weighing_look {
    AP_WEIGHING_HEAVY,      /* the heaviest third by planned net weight, against the rest */
    AP_WEIGHING_NEAR_CHART, /* planned above the company's first band of the chart, against the rest */
    AP_WEIGHING_OUTCOME,    /* near miss, damage or toward a person, against the rest */
    AP_WEIGHING_LOOKS
} ap_weighing_look;

typedef struct ap_weighing_split {
    size_t picks[2]; /* [1] with the property, [0] the rest; only picks where it is known */
    size_t unweighed[2];
    double p; /* Fisher's exact test, two-sided; NaN when one side is empty */
} ap_weighing_split;

typedef struct ap_weighing {
    size_t picks;
    size_t compared;
    size_t unweighed; /* planned, not weighed */
    ap_weighing_split look[AP_WEIGHING_LOOKS];
    double mean_log;       /* of the compared; NaN without */
    double share_heavier;  /* by more than the setting */
    double tenth_log;      /* average of the heaviest tenth of the compared; NaN below 10 */
    double worst_mean_log; /* if every unweighed pick were like that tenth */
    double worst_share_heavier;
    size_t by_indicator; /* compared and weighed by the load indicator */
    size_t explained;    /* of these, the plan is within what such an indicator could make of it */
    size_t own_band;     /* judged by the band entered for their crane */
    size_t corrected;    /* multiplied by the factor of a calibration */
    /* Of the variance of ln ratio of the by_indicator picks what indicators spread evenly over those bands would make
     * (first order; at most 1); NaN without spread. */
    double variance_share;
} ap_weighing;

const char *ap_weighing_look_name(ap_weighing_look look); /* "the heaviest third as planned" */

/* Of facts[first..end). Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_weighing_read(ap_weighing *out, const ap_roster *roster, size_t first, size_t end,
                                       ap_error *err);

#endif
