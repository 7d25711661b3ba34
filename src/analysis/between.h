/* Picks from one near miss to the next, as an individuals figure: for what is too rare to count by month.
 *
 * Method  a near miss is a pick that the log calls one or that moved toward a person. Its gap: the picks since the one before it, itself
 *         counted (1: one right after another). gap^(1/3.6) makes an exponential gap nearly normal; centre and limits are the mean
 *         and three standard deviations, by the mean moving range; signals by Nelson's rules 1, 2, 5 and 6. The picks since the last
 *         near miss are no gap yet: they are held against the upper limit alone.
 * Limits  the lower limit mostly lies below one pick: a single short gap then says nothing, several do. Gaps of one bad day hang together:
 *         a mark is a reason to look. With fewer than AP_BETWEEN_LEAST gaps there are no limits (a choice of ours).
 * Source  Nelson 1994, Journal of Quality Technology 26:239-243; Nelson 1984, ibid. 16:237-239; individuals limits as in
 *         NIST/SEMATECH e-Handbook 6.3.2.2. */
#ifndef AP_ANALYSIS_BETWEEN_H
#define AP_ANALYSIS_BETWEEN_H

#include "analysis/roster.h"
#include "stats/control.h"

enum { AP_BETWEEN_LEAST = 8 };

typedef struct ap_between_gap {
    size_t fact;  /* the near miss that ends it */
    size_t picks; /* >= 1 */
    double score;
    ap_nelson_mark mark;
} ap_between_gap;

typedef struct ap_between {
    size_t picks, events;
    ap_between_gap *gaps; /* in order; one fewer than events, at the least none */
    size_t count;
    bool has_limits;
    ap_limits limits;             /* of the scores */
    double center_picks;          /* the limits as picks; NaN without */
    double low_picks, high_picks; /* low is 0 where the limit lies below one pick */
    size_t open_picks;            /* since the last near miss */
    bool open_long;               /* more than the upper limit */
} ap_between;

bool ap_between_is_event(const ap_fact *fact);
/* Of facts[first..end). Gaps live in `arena`. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_between_count(ap_between *out, ap_arena *arena, const ap_roster *roster, size_t first,
                                       size_t end, ap_error *err);

#endif
