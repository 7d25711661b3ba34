/* Groups whose share of something is higher than that of the other picks: one exact test a group, the share of false discoveries held
 * over all groups looked at.
 *
 *   C1 a group's events against those of all picks that are not in it, one-sided by Fisher's exact test: a pick has the event or not,
 *      so that the number in the group is hypergeometric, not binomial, when nothing is wrong;
 *   C2 step-up over all groups with enough picks at the smaller of the rule's discovery rate and the false alarms allowed, so that a
 *      review in which nothing is wrong expects no more than allowed;
 *   C3 what is expected by chance is the sum of the levels that the whole numbers can really reach;
 *   C4 of two groups found that share half of the smaller one's events, the clearer stands and names both.
 *
 * Source  Fisher 1935, JRSS 98:39-82; Benjamini & Hochberg 1995, JRSS B 57:289-300. */
#ifndef AP_NEARMISS_RATE_CELLS_H
#define AP_NEARMISS_RATE_CELLS_H

#include "nearmiss/detect.h"

typedef struct ap_rate_cell {
    ap_by by;
    uint32_t label;    /* of by; 0 with `words` */
    const char *words; /* instead of a label */
    size_t events, of; /* in the group */
    double p;
    bool found;
    size_t merged_into; /* SIZE_MAX: stands alone */
} ap_rate_cell;

typedef struct ap_rate_cells {
    ap_rate_cell *items; /* heap */
    size_t count;
    size_t events, of; /* over all picks, groups or not */
    size_t least;      /* events that a finding needs */
    uint32_t *at;      /* heap: the picks that are events, in pick order; few among many */
    size_t before;     /* how many of them lie before the period */
} ap_rate_cells;

/* 0: not looked at; 1: looked at, no event; 2: event. */
typedef int (*ap_rate_event)(const ap_detect_input *in, size_t fact);
/* Whether a pick is in the cell. */
bool ap_rate_cell_has(const ap_rate_cell *cell, const ap_detect_input *in, size_t fact);

/* Counts facts[in->first..in->end) by each grouping; cells of the blank label are left out. `total_from` is where the picks compared
 * against begin (0: all of the book). */
AP_MUST_USE ap_status ap_rate_cells_count(ap_rate_cells *out, const ap_detect_input *in, const ap_by *by,
                                          size_t by_count, ap_rate_event event, size_t total_from, ap_error *err);
/* Judges, merges, writes the detector's line and adds the findings. */
AP_MUST_USE ap_status ap_rate_cells_report(ap_finding_list *out, ap_rate_cells *cells, const ap_detect_input *in,
                                           ap_detector_id detector, ap_error *err);
void ap_rate_cells_release(ap_rate_cells *cells);

#endif
