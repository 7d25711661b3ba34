/* Groups whose share of something is higher than that of the other picks: one test a group, the share of false discoveries held over all
 * groups looked at.
 *
 *   C1 a group's events against those of all picks that are not in it, one-sided. Picks of one tree are alike: whole trees are dealt out
 *      anew (rate_trees.h, shuffle.h), and p is never less than Fisher's, which takes picks as independent; where that one is above
 *      what may be found nothing is dealt out;
 *   C2 step-up over all groups with enough picks, on two trees or more, at the smaller of the rule's discovery rate and the false alarms
 *      allowed, so that a review in which nothing is wrong expects no more than allowed;
 *   C3 what is expected by chance is the sum of the levels that the whole numbers can really reach, by the same dealing out;
 *   C4 of two groups found that share half of the smaller one's events, the clearer stands and names both;
 *   C5 a group whose events are all of one tree is no finding: it says what that tree did, nothing of others. Counted where
 *      it would have been one.
 *
 * Source  Fisher 1935, JRSS 98:39-82; Benjamini & Hochberg 1995, JRSS B 57:289-300; shuffle.h. */
#ifndef AP_NEARMISS_RATE_CELLS_H
#define AP_NEARMISS_RATE_CELLS_H

#include "nearmiss/detect.h"

enum { AP_RATE_GROUPINGS = 4 };

typedef struct ap_rate_cell {
    size_t grouping; /* number of */
    ap_by by;
    uint32_t label;          /* of by; 0 with `words` */
    const char *words;       /* instead of a label */
    size_t events, of;       /* in the group */
    size_t trees, trees_hit; /* of them, and those with an event */
    double p;
    bool found;
    size_t merged_into; /* SIZE_MAX: stands alone */
} ap_rate_cell;

/* 0: not looked at; 1: looked at, no event; 2: event. */
typedef int (*ap_rate_event)(const ap_detect_input *in, size_t fact);

typedef struct ap_rate_cells {
    ap_rate_cell *items; /* heap */
    size_t count;
    size_t events, of; /* over all picks, groups or not */
    size_t least;      /* events that a finding needs */
    uint32_t *at;      /* heap: the picks that are events, in pick order; few among many */
    size_t before;     /* how many of them lie before the period */
    size_t groupings;
    ap_rate_event event;
    size_t total_from;
} ap_rate_cells;

/* Whether a pick is in the cell. */
bool ap_rate_cell_has(const ap_rate_cell *cell, const ap_detect_input *in, size_t fact);

/* Counts facts[in->first..in->end) by each grouping; cells of the blank label are left out. `total_from` is where the picks compared
 * against begin (0: all of the book). */
AP_MUST_USE ap_status ap_rate_cells_count(ap_rate_cells *out, const ap_detect_input *in, const ap_by *by,
                                          size_t by_count, ap_rate_event event, size_t total_from, ap_error *err);
/* C1 to C3, C5: p and `found` of every cell, and the detector's line. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_rate_cells_judge(ap_rate_cells *cells, const ap_detect_input *in, double level,
                                          ap_chance_line *line, ap_error *err);
/* Judges, merges, writes the detector's line and adds the findings. */
AP_MUST_USE ap_status ap_rate_cells_report(ap_finding_list *out, ap_rate_cells *cells, const ap_detect_input *in,
                                           ap_detector_id detector, ap_error *err);
void ap_rate_cells_release(ap_rate_cells *cells);

#endif
