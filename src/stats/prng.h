/* A small random generator for simulations: the same seed gives the same numbers with every compiler.
 *
 * Algorithm xoshiro256** 1.0 (Blackman & Vigna 2021, ACM Transactions on Mathematical Software 47:36), its state filled
 * by splitmix64 (Steele, Lea & Flood 2014, OOPSLA); written here from those papers. Not for secrets. */
#ifndef AP_STATS_PRNG_H
#define AP_STATS_PRNG_H

#include "stats/stats.h"

typedef struct ap_prng {
    uint64_t state[4];
} ap_prng;

/* Seed and stream: streams of one seed are independent for all practical purposes (one a group, one a detector). */
void ap_prng_init(ap_prng *prng, uint64_t seed, uint64_t stream);
uint64_t ap_prng_next(ap_prng *prng);
/* 53 bits, strictly inside 0..1. */
double ap_prng_uniform(ap_prng *prng);
/* Standard normal by inversion (Wichura 1988, Applied Statistics 37:477-484, AS 241). */
double ap_prng_normal(ap_prng *prng);
/* Gamma of shape a > 0 and scale 1 (Marsaglia & Tsang 2000, ACM Transactions on Mathematical Software 26:363-372); else 0. */
double ap_prng_gamma(ap_prng *prng, double shape);
/* Chi-square of df > 0 degrees of freedom, which may be a part of one; 0 when there is none. */
double ap_prng_chi_square(ap_prng *prng, double df);
/* 0 .. bound - 1 without bias (rejection); 0 when bound is 0. */
uint64_t ap_prng_below(ap_prng *prng, uint64_t bound);
/* Fisher-Yates shuffle. */
void ap_prng_shuffle(ap_prng *prng, double *x, size_t n);

/* AS 241's normal quantile, relative accuracy 1e-15; 0 < p < 1, else 0. */
double ap_prng_normal_quantile(double p);

#endif
