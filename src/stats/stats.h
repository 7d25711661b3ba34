/* Ground rules of stats/: pure functions on plain arrays; no I/O, no globals, nothing kept between calls.
 *
 * Every function refuses what it cannot answer (no values, too few, NaN or infinity among them, a probability outside
 * 0..1) with AP_E_DOMAIN and a sentence; an answer is always finite, and *out is untouched on failure.
 * Intervals are two-sided and central unless the name says otherwise. */
#ifndef AP_STATS_STATS_H
#define AP_STATS_STATS_H

#include "base/status.h"

/* An interval with the level it holds: the nominal one, or the attained one where a method can only step. */
typedef struct ap_interval {
    double low;
    double high;
    double level;
} ap_interval;

/* Switches the aborting error handler of the GNU Scientific Library off. main() calls it once; every function here
 * that uses the library calls it too, so that no order of calls can end the program. */
void ap_stats_init(void);

#endif
