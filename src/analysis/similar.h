/* Picks like one pick, and where it stands among them.
 *
 * Method   the same species, piece, cut and sling set-up and a planned net weight within a factor of AP_SIMILAR_SIZE; while
 *          fewer than AP_SIMILAR_LEAST are found, the set-up, then the cut, then the piece no longer count. A blank of the pick
 *          is no group to be alike in. Without a planned weight the size does not count.
 * Source   common practice, no source: what a crew would call a pick like that one.
 * Errors   AP_E_MEMORY. */
#ifndef AP_ANALYSIS_SIMILAR_H
#define AP_ANALYSIS_SIMILAR_H

#include "analysis/roster.h"

#define AP_SIMILAR_SIZE 1.5
enum { AP_SIMILAR_LEAST = 5, AP_SIMILAR_SHOWN = 6 };

typedef struct ap_similar {
    bool by[AP_BY_COUNT]; /* what they share with the pick */
    bool by_size;
    size_t picks;        /* without the pick itself */
    size_t compared;     /* of these, with plan and weight */
    size_t heavier;      /* of these, heavier against plan than this pick; 0 when it was not compared */
    double median_ratio; /* of the compared; NaN when there is none */
    double quarter, three_quarters;
    size_t moved_logged;
    size_t moved;                   /* neither still nor settled */
    size_t near_misses;             /* logged as such */
    size_t shown[AP_SIMILAR_SHOWN]; /* roster indices, the latest first */
    size_t shown_count;
} ap_similar;

AP_MUST_USE ap_status ap_similar_find(ap_similar *out, const ap_roster *roster, size_t fact, ap_error *err);
/* Index of a pick by its name; SIZE_MAX when it is not there. */
size_t ap_roster_find(const ap_roster *roster, ap_str name);

#endif
