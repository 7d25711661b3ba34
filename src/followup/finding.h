/* A finding: what a detector saw, as facts and chance. The sentence is made by report/. Its identity is (detector, scope,
 * first pick): a longer run is the same finding. */
#ifndef AP_FOLLOWUP_FINDING_H
#define AP_FOLLOWUP_FINDING_H

#include "base/arena.h"
#include "base/calendar.h"

typedef enum ap_finding_class {
    AP_FINDING_CERTAIN, /* it happened as recorded: no chance about it */
    AP_FINDING_LIKELY   /* a pattern that chance can make too: the rate of false alarms goes with it */
} ap_finding_class;

typedef enum ap_detector_id {
    AP_DETECT_DAMAGE,
    AP_DETECT_OVER_CHART,
    AP_DETECT_TOWARD_PERSON,
    AP_DETECT_NEAR_MISS,
    AP_DETECT_THIN_MARGIN,
    AP_DETECT_HEAVIER_RUN,
    AP_DETECT_SURPRISE,
    AP_DETECT_COUNT
} ap_detector_id;

typedef struct ap_finding {
    ap_detector_id detector;
    ap_finding_class class;
    ap_str scope;        /* "estimator E2; species silver maple"; none when one pick is the scope */
    const size_t *picks; /* roster indices in pick order */
    size_t pick_count;
    ap_date first;
    ap_date last;
    double value; /* OVER_CHART, THIN_MARGIN: largest share of capacity; HEAVIER_RUN: median ratio; SURPRISE: ratio;
                     TOWARD_PERSON: distance in m or NaN */
    double z;     /* SURPRISE: on the cell's scale, else NaN */
    double rank;  /* larger comes first within its class */
} ap_finding;

typedef struct ap_finding_list {
    ap_arena *arena;
    ap_finding *items;
    size_t count;
    size_t cap;
} ap_finding_list;

void ap_finding_list_init(ap_finding_list *list, ap_arena *arena);
/* Adds a copy; picks and scope are copied too. */
AP_MUST_USE ap_status ap_finding_add(ap_finding_list *list, const ap_finding *finding, ap_error *err);
/* A certain finding about one pick. */
AP_MUST_USE ap_status ap_finding_add_pick(ap_finding_list *list, ap_detector_id detector, size_t pick, ap_date date,
                                          double value, double rank, ap_error *err);
/* Certain before likely, then by rank, then by date: the order people read. */
void ap_finding_sort(ap_finding_list *list);

const char *ap_finding_class_name(ap_finding_class class); /* "certain", "likely" */
const char *ap_detector_name(ap_detector_id detector);     /* "over-chart": the JSON word */
const char *ap_detector_title(ap_detector_id detector);    /* "Over chart" */
const char *ap_detector_rule(ap_detector_id detector);     /* the rule in words a crew reads */

#endif
