/* How many pairs rise together. Private to stats/. */
#ifndef AP_STATS_CONCORDANCE_H
#define AP_STATS_CONCORDANCE_H

#include "stats/stats.h"

/* Kendall's S: pairs that rise together less pairs that go apart; pairs with a tie count 0.
 *
 * Shape   t NULL: the values come at times 1, 2 ... n. No NaN; n below 2^31.
 * Method  sorted by time, then the exchanges that sorting by value needs are counted: n log n. Exact.
 * Source  Knight 1966, Journal of the American Statistical Association 61:436-439.
 * Errors  AP_E_MEMORY. */
AP_MUST_USE ap_status ap_concordance(int64_t *s, const double *t, const double *x, size_t n, ap_error *err);

#endif
