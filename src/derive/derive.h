/* One pick -> every derived value once: net and gross, ratio, shares of capacity, with the origin of each input.
 *
 * Takes plain structs. Analysis, detectors, `pick`, review and write-up all read these values and never recompute them. */
#ifndef AP_DERIVE_DERIVE_H
#define AP_DERIVE_DERIVE_H

#include "base/pick.h"
#include "derive/rated.h"

/* Why a pick is counted and not compared. */
typedef enum ap_compared {
    AP_COMPARED = 0,
    AP_NOT_PLANNED,        /* no planned weight */
    AP_NOT_WEIGHED,        /* no measured weight */
    AP_PLAN_BASIS_UNKNOWN, /* planned_as blank and no default */
    AP_WEIGH_BASIS_UNKNOWN,
    AP_NET_NOT_POSITIVE, /* gross is not above the rigging */
    AP_COMPARED_COUNT
} ap_compared;

typedef enum ap_origin_kind {
    AP_ORIGIN_NONE = 0,
    AP_ORIGIN_LOG,     /* a cell of the log */
    AP_ORIGIN_SETTING, /* a company setting or default */
    AP_ORIGIN_CRANE,   /* the crane's own entry */
    AP_ORIGIN_HANDBOOK,
    AP_ORIGIN_DERIVED,
    AP_ORIGIN_SLING,    /* the sling's own entry */
    AP_ORIGIN_ACCEPTED, /* a figure the company accepted from its own weighed wood */
    AP_ORIGIN_LEARNT    /* from the book's weighed pieces, by itself */
} ap_origin_kind;

typedef struct ap_derived {
    ap_compared compared;
    double rigging_kg;
    ap_origin_kind rigging_from;
    int weighed_as;                 /* AP_WEIGHED_AS_* the measured weight was read as; 0 = not known */
    ap_origin_kind weighed_as_from; /* LOG, else the CRANE's own entry, else the company's SETTING */
    /* What was read on the crane's own indicator from the day of a calibration on, until the next one, is multiplied by
     * its factor: the weight as written, whether net or gross, preload and peak. Nothing else is. */
    double indicator_factor;                           /* 1: not corrected */
    ap_date calibrated_on;                             /* of the calibration used; AP_DATE_NONE */
    double measured_kg, preload_kg, peak_kg;           /* as logged, or corrected; NaN when not logged */
    bool repeats_plan;                                 /* net as read equal to net as planned, before any correction */
    double planned_net_kg, measured_net_kg;            /* NaN when not known */
    double ratio;                                      /* measured net / planned net; NaN unless compared */
    double log_error;                                  /* e = ln(ratio) */
    double hook_planned_kg;                            /* gross load as planned */
    double hook_kg;                                    /* gross load as measured */
    ap_rated rated_planned, rated_cut, rated_set_down; /* capacities, logged or from the crane's chart */
    double share_planned;                              /* hook_planned / planned capacity; NaN when either is unknown */
    double share_cut; /* hook / capacity at the cut; where neither cut nor set-down has one: as planned */
    double share_set_down;
    double share_worst;      /* the larger of the last two */
    double peak_share;       /* peak_load / capacity at the cut */
    bool over_chart;         /* share_worst above 1: certain, not chance */
    bool planned_over_chart; /* share_planned above 1 */
    bool toward_person;      /* toward the climber or the crew was logged, whatever the movement */
} ap_derived;

/* What the log leaves open comes from the crane's own entry, else from the company's settings, and is marked so. */
void ap_derive(ap_derived *out, const ap_pick *pick, const ap_company *company);

/* A limit is passed when x > limit * (1 + 1e-9): logs are round and unit conversion must not decide a tie. */
static inline bool ap_over(double x, double limit) {
    return x > limit * (1 + 1e-9);
}

/* The same asked of many logarithms: ap_log_over(ln x) is ap_over(x), and takes the exponential only where rounding could
 * decide. limit > 0. */
typedef struct ap_log_limit {
    double limit;
    double below, above; /* outside of these the logarithm itself tells */
} ap_log_limit;
ap_log_limit ap_log_limit_of(double limit);
static inline bool ap_log_over(double log_x, const ap_log_limit *limit) {
    bool over = log_x > limit->above;
    bool perhaps = log_x > limit->below;
    return over != perhaps ? ap_over(exp(log_x), limit->limit) : over;
}

/* The sling set-up in words, for grouping: "2 legs: eye choker + adjustable timber", "1 leg: ...", "" when not logged. */
void ap_derive_setup(ap_buf *out, const ap_pick *pick);

/* The slings of a pick in eight bits, for counting: how many legs carry (0 = not logged), and what is among them. */
enum {
    AP_SLINGS_LEGS = 7,
    AP_SLINGS_EYE = 8,         /* a carrying leg is an eye sling */
    AP_SLINGS_ADJUSTABLE = 16, /* a carrying leg is adjustable */
    AP_SLINGS_BALANCER = 32,
    AP_SLINGS_STATE = 64, /* how tight a carrying leg was at the cut is logged */
    AP_SLINGS_SLACK = 128 /* a carrying leg was slack at the cut */
};
uint8_t ap_derive_slings(const ap_pick *pick);

#endif
