/* What the parts of the mixed model share. Private to stats/mixed*.c. */
#ifndef AP_STATS_MIXED_PRIVATE_H
#define AP_STATS_MIXED_PRIVATE_H

#include "stats/mixed.h"

#include <gsl/gsl_matrix.h>
#include <gsl/gsl_vector.h>

/* Picks of one tree that share every level. */
typedef struct mixed_cell {
    uint32_t tree; /* slot */
    uint32_t level[AP_MIXED_FACTORS_MAX];
    double n;
    double mean; /* of e - data->shift */
    double m2;
} mixed_cell;

struct ap_mixed_data {
    size_t factors;
    size_t picks;
    double shift; /* the first e */
    mixed_cell *cell;
    size_t cells;
    size_t cell_room;
    uint32_t *bucket; /* open addressing: cell number + 1, 0 = free */
    size_t buckets;   /* a power of two */
    uint32_t alone;   /* picks without a tree so far: each has a tree number counted down from UINT32_MAX */
};

/* Sparse sums of the design over one tree: rows of the system, then the mean, then e. */
typedef struct mixed_tree {
    uint32_t tree;
    size_t first; /* into at[] and value[] */
    size_t count;
    double n;
    int size_class; /* dense class, or -1 */
} mixed_tree;

typedef struct mixed_system {
    size_t factors;
    size_t picks;
    size_t rows;  /* levels of all factors */
    size_t order; /* rows + 2: the mean's column, then e's */
    size_t first_row[AP_MIXED_FACTORS_MAX + 1];
    uint32_t *row_of[AP_MIXED_FACTORS_MAX]; /* by level number: row + 1, 0 = never seen */
    size_t row_room[AP_MIXED_FACTORS_MAX];
    double center;     /* taken off e - shift */
    double within;     /* squares within the cells */
    gsl_matrix *plain; /* sums of products, order x order */
    mixed_tree *tree;
    size_t trees;
    uint32_t *at;
    double *value;
    size_t entries;
    gsl_matrix **class_sum; /* sum over the trees of one size of the products of their sums */
    double *class_size;
    size_t classes;
    int held[AP_MIXED_FACTORS_MAX + 1]; /* same_as of each factor; [factors] of the tree: 0 or 1 (held) */
} mixed_system;

/* One evaluation. theta[factor], then theta[tree]. Parts of the gradient at rest variance s2: trace - square / s2. */
typedef struct mixed_point {
    double criterion; /* profiled */
    double r2;
    double trace[AP_MIXED_FACTORS_MAX + 1];
    double square[AP_MIXED_FACTORS_MAX + 1];
} mixed_point;

typedef struct mixed_work {
    gsl_matrix *system; /* (rows + 1) squared: factor, then inverse */
    gsl_matrix *sums;   /* order squared */
    gsl_matrix *tree_sums;
    gsl_vector *answer; /* rows + 1: spherical effects, then the mean */
} mixed_work;

AP_MUST_USE ap_status mixed_system_init(mixed_system *out, const ap_mixed_data *data, size_t dense_bytes,
                                        ap_error *err);
void mixed_system_release(mixed_system *system);

AP_MUST_USE ap_status mixed_work_init(mixed_work *work, const mixed_system *system, ap_error *err);
void mixed_work_release(mixed_work *work);
/* False when the criterion is not finite there. work->system holds the inverse and work->answer the effects when
 * `gradient` is asked for. */
bool mixed_evaluate(mixed_point *out, mixed_work *work, const mixed_system *system, const double *theta, bool gradient);

typedef struct mixed_minimum {
    double theta[AP_MIXED_FACTORS_MAX + 1];
    double criterion;
    double gradient;
    double fall;
    bool converged;
    int iterations;
    int evaluations;
} mixed_minimum;
AP_MUST_USE ap_status mixed_minimise(mixed_minimum *out, mixed_work *work, const mixed_system *system, ap_error *err);
/* Newton steps from where the search stopped, and the verdict on convergence. False when the criterion is not finite. */
bool mixed_polish(mixed_minimum *minimum, mixed_work *work, const mixed_system *system);
/* Degrees of freedom of tree + rest variance at the minimum. */
double mixed_scale_df(mixed_work *work, const mixed_system *system, const mixed_minimum *minimum);

#endif
