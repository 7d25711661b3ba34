/* What the parts of the mixed model share. Private to stats/mixed*.c. */
#ifndef AP_STATS_MIXED_PRIVATE_H
#define AP_STATS_MIXED_PRIVATE_H

#include "stats/mixed_sums.h"

#define MIXED_NO_ROW UINT32_MAX

/* One pick as it was added. */
typedef struct mixed_pick {
    uint32_t tree; /* slot */
    uint32_t kind;
    double e;
} mixed_pick;

struct ap_mixed_data {
    size_t factors;
    size_t picks;
    size_t pick_room;
    mixed_pick *pick;
    ap_mixed_kind *kind; /* levels renumbered without gaps */
    size_t kinds;
    size_t kind_room;
    uint32_t *bucket;                      /* open addressing: kind number + 1, 0 = free */
    size_t buckets;                        /* a power of two */
    uint32_t *dense[AP_MIXED_FACTORS_MAX]; /* by level number as given: the number without gaps, 0 = not met */
    size_t dense_room[AP_MIXED_FACTORS_MAX];
    uint32_t levels[AP_MIXED_FACTORS_MAX];
    uint32_t alone; /* picks without a tree so far: each has a tree number counted down from UINT32_MAX */
};

/* Picks in the order of their trees; `center` is their mean. Sums are of e - center. */
AP_MUST_USE ap_status mixed_data_sums(ap_mixed_sums **out, double *center, ap_mixed_data *data, size_t dense_bytes,
                                      ap_error *err);

typedef struct mixed_rows {
    uint32_t row[AP_MIXED_FACTORS_MAX]; /* MIXED_NO_ROW when not logged */
} mixed_rows;

typedef struct mixed_total {
    double n;
    double e;
    double square;
} mixed_total;

/* All trees of n picks. */
typedef struct mixed_size {
    size_t n;
    int64_t trees;
    double *product; /* sum of s s', order squared, lower half; NULL: the trees are sparse */
} mixed_size;

/* Sums of the design over one tree, sparse: rows of the system, then the mean, then e. */
typedef struct mixed_tree {
    size_t first; /* into at[] and value[] */
    size_t count;
    size_t n;
    int sign;
} mixed_tree;

struct ap_mixed_sums {
    size_t factors;
    size_t kinds;
    size_t rows;  /* levels of all factors */
    size_t order; /* rows + 2: the mean's column, then e's */
    size_t first_row[AP_MIXED_FACTORS_MAX + 1];
    mixed_rows *kind;
    int64_t picks;
    mixed_total *total; /* per kind */
    mixed_size *size;
    size_t sizes;
    size_t size_room;
    size_t dense_bytes; /* left */
    mixed_tree *tree;
    size_t trees;
    size_t tree_room;
    uint32_t *at;
    double *value;
    size_t entries;
    size_t entry_room;
    int64_t *row_trees;
    int64_t blank_trees[AP_MIXED_FACTORS_MAX];
    int64_t mixed_trees[AP_MIXED_FACTORS_MAX];
    double *sum;       /* scratch of one tree by row, all 0 */
    uint32_t *touched; /* its rows that have a value, and these values */
    double *value_of;
    uint64_t *met; /* a bit for each of them */
};

/* What an evaluation reads: the rows that have picks, of the factors in use. Square arrays hold their lower half. */
typedef struct mixed_system {
    size_t factors;
    size_t picks;
    size_t rows;
    size_t order;
    size_t first_row[AP_MIXED_FACTORS_MAX + 1];
    uint32_t *row_of;                         /* by row of the sums: row + 1, 0 = none */
    size_t level_base[AP_MIXED_FACTORS_MAX];  /* row of the sums of level 1 */
    size_t level_count[AP_MIXED_FACTORS_MAX]; /* levels there */
    double *plain;                            /* sums of products */
    mixed_tree *tree;                         /* the sparse ones */
    size_t sparse;
    uint32_t *at;
    double *value;
    double **class_sum;
    double *class_size;
    size_t classes;
    double *size; /* every size of tree with how many there are */
    double *size_trees;
    size_t sizes;
    size_t trees;
    int held[AP_MIXED_FACTORS_MAX + 1]; /* same_as of each factor; [factors] of the tree: 0 or 1 (held) */
} mixed_system;

/* One evaluation. theta[factor], then theta[tree]. Parts of the gradient at rest variance s2: trace - square / s2. */
typedef struct mixed_point {
    double criterion; /* profiled */
    double r2;
    double trace[AP_MIXED_FACTORS_MAX + 1];
    double square[AP_MIXED_FACTORS_MAX + 1];
} mixed_point;

enum { MIXED_PARAMETERS = AP_MIXED_FACTORS_MAX + 1 };

typedef struct mixed_work {
    double *system; /* (rows + 1) squared, lower half: factor, then inverse */
    double *half;   /* the same size: the factor's inverse, transposed */
    double *sums;   /* order squared, lower half: of the picks weighted by their precision */
    double *tree_sums;
    double *answer; /* rows + 1: spherical effects, then the mean */
    double *more;   /* (rows + 1) squared, for the curvature */
} mixed_work;

AP_MUST_USE ap_status mixed_system_init(mixed_system *out, const ap_mixed_sums *sums, const bool *used, ap_error *err);
void mixed_system_release(mixed_system *system);

AP_MUST_USE ap_status mixed_work_init(mixed_work *work, const mixed_system *system, ap_error *err);
void mixed_work_release(mixed_work *work);
/* False when the criterion is not finite there. work->system holds the inverse and work->answer the effects when
 * `gradient` is asked for. */
bool mixed_evaluate(mixed_point *out, mixed_work *work, const mixed_system *system, const double *theta, bool gradient);
/* d criterion / d theta_k^2 where theta_k is 0, right after an evaluation there with its gradient. */
double mixed_slope_at_zero(mixed_work *work, const mixed_system *system, const mixed_point *at, const double *theta,
                           size_t k);

/* tr(P G_j P G_k) and y'P G_j P G_k P y, G = ZZ': with these the second derivatives in theta^2 are -trace and 2 square, of the
 * ln-part and of r2. 0 where a theta is 0. */
typedef struct mixed_curve {
    double trace[MIXED_PARAMETERS][MIXED_PARAMETERS];
    double square[MIXED_PARAMETERS][MIXED_PARAMETERS];
} mixed_curve;
/* Right after an evaluation at theta with its gradient. Takes work->sums and work->half. */
void mixed_curvature(mixed_curve *out, mixed_work *work, const mixed_system *system, const double *theta);

/* Weight of the products s s' of a tree of n picks. */
typedef enum mixed_weight {
    MIXED_WHOLE,     /* -theta^2 / (1 + n theta^2) */
    MIXED_BY_SQUARE, /* 1 / (1 + n theta^2)^2 */
    MIXED_BY_CUBE    /* n / (1 + n theta^2)^3 */
} mixed_weight;
/* out += sum over trees of weight s s', lower half. */
void mixed_add_tree_products(double *out, const mixed_system *system, double theta, mixed_weight kind);
/* tr(C^-1 D S D) and w'S w of sums S, lower half, w = (-D u; 1). */
void mixed_trace_and_square(double *trace, double *square, const double *sums, const mixed_work *work,
                            const mixed_system *system, const double *scale);
/* theta of each row of C: a factor's for its levels, 1 for the mean. */
void mixed_set_scales(double *scale, const mixed_system *system, const double *theta);

enum { MIXED_SIDE = MIXED_PARAMETERS + 1 };
typedef struct mixed_square {
    double at[MIXED_SIDE][MIXED_SIDE];
} mixed_square;
/* matrix x = right for the leading n rows; false unless the matrix is positive definite, and destroys it. */
bool mixed_solve(double *x, mixed_square *matrix, double *right, size_t n);
/* The least of half y'C y + d'y over y of 0 or more. False unless C is positive definite where it has to be. */
bool mixed_least_quadratic(double *y, const mixed_square *curvature, const double *d, size_t count);

double mixed_dot(const double *a, const double *b, size_t n);
/* The lower half of a side x side array becomes its Cholesky factor; false unless it is positive definite. */
bool mixed_factorise(double *matrix, size_t side);
/* The factor becomes the lower half of the inverse; `half` gets the inverse of the factor, transposed. */
void mixed_invert(double *factor, double *half, size_t side);
/* x := factor^-1 x, and x := factor'^-1 x. */
void mixed_solve_down(double *x, const double *factor, size_t side);
void mixed_solve_up(double *x, const double *factor, size_t side);

typedef struct mixed_minimum {
    double theta[MIXED_PARAMETERS];
    double criterion;
    double gradient;
    double fall;
    bool converged;
    int iterations;
    int evaluations;
} mixed_minimum;
/* Errors: AP_E_DOMAIN when the criterion is not finite anywhere. */
AP_MUST_USE ap_status mixed_minimise(mixed_minimum *out, mixed_work *work, const mixed_system *system, ap_error *err);
/* Evaluates the minimum once more, and the degrees of freedom of tree + rest variance there. False when the criterion is not
 * finite. */
bool mixed_scale_df(double *df, mixed_point *at, mixed_work *work, const mixed_system *system,
                    const mixed_minimum *minimum);

#endif
