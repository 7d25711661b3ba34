/* Normal posterior of the effects of a linear model whose variances are known: picks in clusters (trees), priors normal.
 *
 * y = sum of the cell's effects + tree + rest, tree ~ N(0, tree_variance), rest ~ N(0, rest_variance), effect k ~
 * N(prior_mean[k], prior_sd[k]^2) beforehand. Picks come as sufficient statistics: one cell per tree and set of effects.
 *
 * Method   information form: prior precision plus the cells' after the tree effect is integrated out in closed form,
 *          M = N/s2 - (t2/s2) n n'/(s2 + t2 n.) over the cells of a tree; Cholesky. Leaving one tree out takes a solve of
 *          as many rows as the tree has cells (Woodbury).
 * Source   Gelman et al. 2013, Bayesian Data Analysis 3rd ed., sections 3.3 and 14.8; Searle, Casella & McCulloch 1992;
 *          Golub & Van Loan 1996, section 2.1.3.
 * Accuracy 1e-10 of the prior's scale while the prior standard deviations are within a factor of 1e6 of each other. */
#ifndef AP_STATS_POSTERIOR_H
#define AP_STATS_POSTERIOR_H

#include "stats/stats.h"

enum { AP_POSTERIOR_EFFECTS_MAX = 8, AP_POSTERIOR_PARAMS_MAX = 1000, AP_POSTERIOR_CELLS_MAX = 200 };

typedef struct ap_posterior_cell {
    uint32_t effect[AP_POSTERIOR_EFFECTS_MAX]; /* numbers of the effects it carries, each once */
    uint32_t effects;
    uint32_t tree;
    double count; /* picks */
    double mean;  /* of y */
} ap_posterior_cell;

typedef struct ap_posterior_model {
    size_t params;
    const double *prior_mean; /* NULL: all 0 */
    const double *prior_sd;   /* above 0 */
    double tree_variance;     /* 0: picks of one tree are independent */
    double rest_variance;     /* above 0 */
} ap_posterior_model;

typedef struct ap_posterior {
    size_t params;
    double tree_variance;
    double rest_variance;
    double *mean;       /* of the effects */
    double *covariance; /* params x params */
} ap_posterior;

/* Cells of one tree stand together. Release with ap_posterior_release(), also after an error.
 * Errors: AP_E_DOMAIN for a figure that is not finite, a prior sd or rest variance not above 0, an effect number out of
 * range; AP_E_LIMIT above AP_POSTERIOR_PARAMS_MAX; AP_E_MEMORY. */
AP_MUST_USE ap_status ap_posterior_solve(ap_posterior *out, const ap_posterior_model *model,
                                         const ap_posterior_cell *cells, size_t count, ap_error *err);
void ap_posterior_release(ap_posterior *posterior);

/* The same a few trees at a time, so that the cells of a large book need not be held together: all cells of a tree in one
 * call. _close() and _drop() free the work, _close() also after an error. */
typedef struct ap_posterior_work ap_posterior_work;
AP_MUST_USE ap_status ap_posterior_open(ap_posterior_work **out, const ap_posterior_model *model, ap_error *err);
AP_MUST_USE ap_status ap_posterior_add(ap_posterior_work *work, const ap_posterior_cell *cells, size_t count,
                                       ap_error *err);
AP_MUST_USE ap_status ap_posterior_close(ap_posterior *out, ap_posterior_work *work, ap_error *err);
void ap_posterior_drop(ap_posterior_work *work);

/* Mean of the sum of some effects, and its variance. */
double ap_posterior_sum(double *variance, const ap_posterior *posterior, const uint32_t *effect, size_t effects);

/* The effects' means with one tree left out: its cells, all of those given to _solve(). `mean` has `params` places.
 * Errors: AP_E_LIMIT above AP_POSTERIOR_CELLS_MAX cells; AP_E_MEMORY; AP_E_DOMAIN when the system has no answer. */
AP_MUST_USE ap_status ap_posterior_leave_out(double *mean, const ap_posterior *posterior,
                                             const ap_posterior_cell *cells, size_t count, ap_error *err);

/* Variance of one effect after `picks` more picks with these effects, each on a tree of its own. */
double ap_posterior_variance_after(const ap_posterior *posterior, uint32_t of, const uint32_t *effect, size_t effects,
                                   double picks);
/* ... and once effect `known` is known exactly. */
double ap_posterior_variance_knowing(const ap_posterior *posterior, uint32_t of, uint32_t known);

#endif
