/* Order statistics without a full sort. Private to stats/, and for who has a work array to spare. */
#ifndef AP_STATS_SELECT_H
#define AP_STATS_SELECT_H

#include "stats/stats.h"

/* The k-th smallest of x (k from 0), which is put in its place: nothing before it is greater, nothing behind it smaller.
 *
 * Shape   n >= 1, k < n, no NaN. The same input gives the same order.
 * Method  SELECT; a range that resists it is sorted, so that no input costs more than sorting.
 * Source  Floyd & Rivest 1975, Communications of the ACM 18:165-173. */
double ap_select(double *x, size_t n, size_t k);
/* The same, with how many values may be looked at before what is left is sorted. */
double ap_select_within(double *x, size_t n, size_t k, size_t effort);

/* The two middle ones of n >= 1 values, the same twice when n is odd. Changes their order. */
void ap_select_middle(double *low, double *high, double *x, size_t n);

/* Median of n >= 1 values: the middle one, or the mean of the two middle ones. Changes their order. */
double ap_select_median(double *x, size_t n);

/* The value at a fractional rank counted from 1, linear between neighbours. 1 <= rank <= n. Changes the order. */
double ap_select_rank(double *x, size_t n, double rank);

#endif
