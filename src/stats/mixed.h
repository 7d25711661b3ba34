/* Mixed model of the estimate error: e = mean + crossed random effects + tree + rest, by REML.
 *
 * The picks are added up as sums of products tree by tree (mixed_sums.h), so that a million picks cost one pass. The tree effect is integrated out in closed form; what is left is a dense system of as many
 * rows as the factors have levels.
 *
 *   M1 The model is that of (1 | factor) terms plus (1 | tree): independent normal intercepts, one common mean.
 *   M2 Parameters are standard deviations relative to the rest's. The criterion is even in each of them, so that zero is
 *      an ordinary stationary point and a variance of exactly 0 a legal answer.
 *   M3 A factor with fewer than two levels, or one that splits the picks exactly as an earlier factor or as the trees do,
 *      cannot be told apart from that: it is held at 0 and says so. So is the tree when no tree has two picks.
 *   M4 Level 0 means "not logged": the pick carries no effect of that factor. Tree 0 is a tree of its own.
 *
 * Source   Patterson & Thompson 1971, Biometrika 58:545-554 (REML); Bates, Maechler, Bolker & Walker 2015, Journal of
 *          Statistical Software 67(1) (profiled criterion, its constant included); Searle, Casella & McCulloch 1992. */
#ifndef AP_STATS_MIXED_H
#define AP_STATS_MIXED_H

#include "stats/stats.h"

enum {
    AP_MIXED_FACTORS_MAX = 8,
    AP_MIXED_LEVELS_MAX = 1500, /* of all factors together */
    AP_MIXED_LEVEL_ID_MAX = 1 << 22,
    AP_MIXED_TOLD_APART = -1,
    AP_MIXED_SAME_AS_TREE = -2,
    AP_MIXED_TOO_FEW_LEVELS = -3
};

typedef struct ap_mixed_data ap_mixed_data;

/* NULL when memory is out or factors is above AP_MIXED_FACTORS_MAX. */
ap_mixed_data *ap_mixed_data_new(size_t factors);
void ap_mixed_data_free(ap_mixed_data *data);

/* Adds one pick: its tree's number, its level of each factor (0 = not logged) and its error e (natural log).
 * Errors: AP_E_DOMAIN when e is not finite, AP_E_LIMIT for a level number above AP_MIXED_LEVEL_ID_MAX, AP_E_MEMORY. */
AP_MUST_USE ap_status ap_mixed_add(ap_mixed_data *data, uint32_t tree, const uint32_t *level, double e, ap_error *err);

typedef struct ap_mixed_factor {
    double variance;
    size_t levels;
    int same_as; /* AP_MIXED_TOLD_APART, an earlier factor's number, or one of the reasons above */
} ap_mixed_factor;

typedef struct ap_mixed_state ap_mixed_state;

typedef struct ap_mixed {
    size_t picks;
    size_t trees;
    size_t factors;
    ap_mixed_factor factor[AP_MIXED_FACTORS_MAX];
    double mean;
    double mean_se;
    double tree_variance;
    bool tree_told_apart; /* from the rest: some tree has two picks */
    double rest_variance;
    double scale2;    /* tree + rest: the variance of one pick of a new tree about its cell's mean */
    double scale_df;  /* of scale2, Satterthwaite: 2 scale2^2 / Var(scale2) */
    double criterion; /* -2 ln restricted likelihood, constants included */
    bool converged;   /* the criterion curves upward all round and should fall by less than 1e-6 more */
    int iterations;
    int evaluations;
    double gradient;       /* largest |d criterion / d standard deviation parameter| at the answer */
    double fall;           /* expected further fall of the criterion, half g'H^-1 g; 0 when nothing is free */
    ap_mixed_state *state; /* effects and their covariance */
} ap_mixed;

/* Fits the model; free the result with ap_mixed_release(). Puts the picks in the order of their trees.
 *
 * Shape    at least 3 picks whose errors differ; at most AP_MIXED_LEVELS_MAX levels in all.
 * Method   profiled REML criterion; scoring, then Newton's steps on exact derivatives, over variances of 0 or more; where some
 *          are 0, from a second start too.
 * Accuracy criterion 1e-6, variances 1e-4 relative, effects 1e-5, against lme4 (tests/oracle).
 * Errors   AP_E_DOMAIN when there are too few picks, all are equal, or the fit leaves no rest. A fit whose search did not
 *          settle is returned with converged = false: say so wherever it is used. */
AP_MUST_USE ap_status ap_mixed_fit(ap_mixed *out, ap_mixed_data *data, ap_error *err);
void ap_mixed_release(ap_mixed *fit);

/* Shrunken effect of a level and the standard error of its prediction (the mean's uncertainty included). False when
 * no pick had that level: then 0 and the factor's standard deviation. */
bool ap_mixed_effect(double *value, double *se, const ap_mixed *fit, size_t factor, uint32_t level);
/* Shrunken effect of a tree; false when it has none. */
bool ap_mixed_tree_effect(double *value, const ap_mixed *fit, uint32_t tree);

/* Mean error of a new tree's picks at these levels and its standard error. A level that was never seen adds its
 * factor's variance; level 0 leaves the factor out. `seen` (NULL or factors places) receives which levels had picks. */
void ap_mixed_predict(double *mean, double *se, bool *seen, const ap_mixed *fit, const uint32_t *level);

#endif
