/* How far the logs can be trusted: unweighed picks, weights that repeat the plan, rows set aside, crews that stopped. */
#ifndef AP_ANALYSIS_QUALITY_H
#define AP_ANALYSIS_QUALITY_H

#include "analysis/roster.h"

enum { AP_QUALITY_SHOWN = 12 };

typedef struct ap_quality_row {
    ap_str file;
    int64_t line;
    ap_str field;
    ap_str text;
    ap_str reason;
    ap_str remedy;
} ap_quality_row;

typedef struct ap_quality_crew {
    ap_str crew;
    size_t picks;        /* in the period */
    size_t weighed;      /* of these */
    size_t picks_before; /* in the period of the same length before */
    ap_date last;        /* its last pick up to the period's end */
} ap_quality_crew;

typedef struct ap_quality {
    int64_t set_aside; /* rows, in the whole book */
    int64_t conflicts; /* open, in the whole book */
    int64_t warnings;
    int64_t imports;
    int64_t files;
    ap_quality_row rows[AP_QUALITY_SHOWN]; /* the newest rows set aside */
    size_t row_count;
    size_t unweighed;                   /* of the period */
    size_t repeats_plan;                /* measured net equal to planned net */
    size_t rigging_assumed;             /* rigging weight from the company's setting */
    size_t rigging_of_crane;            /* from the crane's own entry */
    size_t corrected;                   /* weights multiplied by the factor of a calibration */
    size_t from_chart;                  /* a capacity from a crane's load chart */
    size_t past_chart;                  /* past its end: no capacity */
    size_t chart_differs;               /* a logged capacity is not the chart's */
    size_t differing[AP_QUALITY_SHOWN]; /* the first of them, by their place in the roster */
    size_t no_capacity;                 /* hook load or capacity unknown: not judged against the chart */
    size_t no_movement;                 /* how the piece moved not logged */
    size_t blank_crew;
    ap_quality_crew *crews; /* every crew with a pick in the period or in the one before */
    size_t crew_count;
} ap_quality;

/* Figures of facts[first..end) with `before` the first fact of the period before; texts live in `arena`. */
AP_MUST_USE ap_status ap_quality_read(ap_quality *out, ap_arena *arena, ap_book *book, const ap_roster *roster,
                                      size_t before, size_t first, size_t end, ap_error *err);

#endif
