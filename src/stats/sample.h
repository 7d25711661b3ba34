/* Checks and sorted copies that every function of stats/ shares. Private to stats/. */
#ifndef AP_STATS_SAMPLE_H
#define AP_STATS_SAMPLE_H

#include "stats/stats.h"

/* AP_E_DOMAIN unless n >= least and every value is finite; `what` names the method in the sentence. */
AP_MUST_USE ap_status ap_sample_check(const double *x, size_t n, size_t least, const char *what, ap_error *err);

/* AP_E_DOMAIN unless 0 < p < 1. */
AP_MUST_USE ap_status ap_sample_check_level(double p, const char *what, ap_error *err);

/* AP_E_DOMAIN unless the value is finite and > 0. */
AP_MUST_USE ap_status ap_sample_check_positive(double value, const char *what, ap_error *err);

/* *sorted receives an ascending heap copy (free() it). n >= 1. */
AP_MUST_USE ap_status ap_sample_sort(double **sorted, const double *x, size_t n, ap_error *err);

/* Sorts in place, ascending. */
void ap_sample_sort_in_place(double *x, size_t n);

/* Zeroed array of count doubles, at least one; NULL when memory is out or the size overflows. */
double *ap_sample_array(size_t count);

/* AP_E_MEMORY with a sentence. */
ap_status ap_sample_no_memory(const char *what, ap_error *err);

#endif
