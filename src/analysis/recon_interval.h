/* A reconstruction from answers that are ranges ("between 10 and 14 ft").
 *
 * Method   every corner of the ranges (each at its low or high end) while there are at most AP_INTERVAL_CORNER_RANGES ranges,
 *          and AP_INTERVAL_DRAWS draws, uniform and independent within the ranges, with a fixed seed. A span is the least and
 *          greatest value met; the middle is that of the ranges' middles. Where the answers are single values the span is one
 *          value.
 * Accuracy corners are exact; between them the ends are met from inside. The standard error of a share of draws is given.
 * Errors   AP_E_LIMIT above AP_INTERVAL_RANGES ranges. A combination outside the model counts as without a number. */
#ifndef AP_ANALYSIS_RECON_INTERVAL_H
#define AP_ANALYSIS_RECON_INTERVAL_H

#include "derive/reconstruct.h"

enum { AP_INTERVAL_RANGES = 24, AP_INTERVAL_CORNER_RANGES = 8, AP_INTERVAL_DRAWS = 2000 };

typedef struct ap_interval_range {
    int column; /* of the field table; a quantity */
    double low, high;
} ap_interval_range;

typedef struct ap_told_span {
    double low, middle, high; /* NaN: never met */
    size_t met;               /* combinations that had this value */
} ap_told_span;

typedef enum ap_interval_figure {
    AP_INTERVAL_TURN_DEG,
    AP_INTERVAL_BUTT_UP_M,
    AP_INTERVAL_BUTT_MOVE_M,
    AP_INTERVAL_TIP_UP_M,
    AP_INTERVAL_LEG_1_N,
    AP_INTERVAL_LEG_2_N,
    AP_INTERVAL_WORST_USE,
    AP_INTERVAL_PEAK_N,
    AP_INTERVAL_HOOK_KG,
    AP_INTERVAL_CAPACITY_SHARE,
    AP_INTERVAL_FIGURES
} ap_interval_figure;

typedef struct ap_recon_interval {
    ap_told_span figure[AP_INTERVAL_FIGURES];
    size_t corners, draws;
    size_t without;    /* corners and draws without a movement */
    double butt_up;    /* share of the draws with a number in which the butt went up */
    double butt_up_se; /* its Monte Carlo standard error */
} ap_recon_interval;

/* `middle` is the pick with every range at its middle. */
AP_MUST_USE ap_status ap_recon_interval_read(ap_recon_interval *out, const ap_pick *middle, const ap_species *species,
                                             const ap_company *company, const ap_interval_range *ranges, size_t count,
                                             ap_error *err);

#endif
