/* How often a counting rule fires by chance: runs in a row, events within a window, gaps between events. Values are
 * taken as independent; with several picks a tree they are not, and simulation has to answer (see prng.h). */
#ifndef AP_STATS_RUNS_H
#define AP_STATS_RUNS_H

#include "stats/stats.h"

/* Probability that one value passes a ratio limit: P(ln ratio > ln limit), ln ratio normal with mean `bias`, sd `sd`.
 * `limit` is a ratio (1.10), > 0; sd > 0. */
AP_MUST_USE ap_status ap_runs_share(double *out, double limit, double bias, double sd, ap_error *err);

/* Average number of values until the first `length` in a row, each with probability p.
 *
 * Method  (1 - p^m) / ((1 - p) p^m), the mean absorption time of the chain over the current run's length.
 * Source  Feller 1968, An Introduction to Probability Theory I, XIII.7. Accuracy 1e-12 relative.
 * Errors  AP_E_DOMAIN when p is not in (0, 1], length is 0 or above 10000, or the answer is beyond 1e300. */
AP_MUST_USE ap_status ap_runs_arl(double *out, double p, unsigned length, ap_error *err);

/* Probability of at least one run of `length` within n values.
 *
 * Method  absorbing Markov chain over the current run's length, as a recursion on the chance of none: exact.
 * Source  Feller as above; Fu & Koutras 1994, JASA 89:1050-1058. Accuracy 1e-12. 0 <= p <= 1; n up to 10 million. */
AP_MUST_USE ap_status ap_runs_chance(double *out, double p, unsigned length, size_t n, ap_error *err);

/* The shortest run with a chance of at most `alpha` within n values; AP_E_DOMAIN when none up to `most` reaches it. */
AP_MUST_USE ap_status ap_runs_length_for(unsigned *out, double p, size_t n, double alpha, unsigned most, ap_error *err);

/* Largest window W with P(at least r events in W values) <= alpha when each has probability p; 0 when even W = r fails.
 * Method: binomial sum. Errors: AP_E_DOMAIN out of range. */
AP_MUST_USE ap_status ap_runs_window(unsigned *out, double p, unsigned r, double alpha, ap_error *err);

/* Gap rule for rare events: the largest g >= 0 with P(gap <= g) <= alpha for a geometric gap; -1 when none.
 * Source: Benneyan 2001, Health Care Management Science 4:305-318. */
AP_MUST_USE ap_status ap_runs_gap(int *out, double p, double alpha, ap_error *err);

#endif
