/* The pooled estimate error: the mixed model of the error fitted to picks, and what it says about each cell of a grouping.
 *
 * Every grouping has its own fit of one model: e = mean + the terms it names (species, cut, species x cut, estimator) +
 * estimator + instrument (crane and what weighed) + tree + rest, all but the mean random. A term that the grouping does
 * not name stays in the rest, so that a factor by species holds for pieces of all cuts in the mix that was cut.
 *
 *   P1 A cell's scale^2 is tree + rest variance, its own figure shrunk to the pooled one, which counts as 8 degrees of
 *      freedom, or as many as the other cells bring when that is less: no pick counts twice.
 *   P2 A new piece comes on a new tree, from any estimator and instrument: unless the grouping names the estimator, the
 *      variances of both are added to the scale^2 of a new piece. Leaving them out would cover less than it says.
 *   P3 Below AP_POOLED_TREES_LEAST trees, or with a blank key, a cell shows its parent's factor: the last name dropped.
 *   P4 Suspects are questioned, not dropped: the factor is worked out with and without them, the larger is carried.
 *   P5 No factor is below 1. Where there is no factor, there is a sentence and NaN.
 *   P6 The variance of a pooled mean takes in that the variance between cells is estimated: 2 (own - pooled)^2 / (df - 2) more.
 *   P7 Below AP_POOLED_FEW_LEVELS estimators or cranes that differ, the test of a cell's mean has their few degrees of freedom,
 *      though the picks be many; from there on the false discovery rate holds without (simulated: .16 to .18 with two, .11
 *      from four on). A factor does not take them in: with two estimators that differ by 8 % it covers 95 % with a
 *      confidence of .80 to .90 only, and on the average .96 or more (simulated); taken in, it would come to a factor of 2.5,
 *      which nobody plans with. The pages say so.
 *
 * Source   Searle, Casella & McCulloch 1992, Variance Components; Krishnamoorthy & Mathew 2009, Statistical Tolerance
 *          Regions, chapter 4; Satterthwaite 1946; Morris 1983, JASA 78:47-55 (P6); Benjamini & Hochberg 1995. P1 with 8 is a choice of ours; the content
 *          is judged by simulation (tests/analysis/test_pooled_content.c). */
#ifndef AP_ANALYSIS_POOLED_H
#define AP_ANALYSIS_POOLED_H

#include "analysis/key_map.h"
#include "analysis/weights.h"
#include "stats/mixed.h"

#define AP_POOLED_CONTENT 0.95
#define AP_POOLED_CONFIDENCE 0.90
#define AP_POOLED_DISCOVERY 0.10 /* false discovery rate of "biased" */
#define AP_POOLED_PRIOR_DF 8.0
#define AP_POOLED_SUSPECT_Z 6.0
enum { AP_POOLED_TREES_LEAST = 5, AP_POOLED_FEW_LEVELS = 4, AP_POOLED_LEVELS_MAX = AP_WEIGHTS_BY_MAX + 1 };

/* One compared pick, as the model sees it; widest members first, there may be a million of them. */
typedef struct ap_pooled_pick {
    double e;      /* ln(measured / planned), planned anew with the densities in force (ap_fact.replanned_log) */
    uint32_t fact; /* index in the roster */
    uint32_t tree;
    uint32_t job;
    uint32_t estimator;
    uint32_t instrument; /* crane and weighed-by together; 0 = neither logged */
    uint16_t species;
    uint8_t cut;
    bool above_ceiling; /* a suspect whatever its error */
} ap_pooled_pick;

typedef struct ap_pooled_picks {
    ap_pooled_pick *items; /* heap; in pick order */
    size_t count;
    uint32_t cut_labels;
} ap_pooled_picks;

/* The compared picks among facts[first..end). Release it also after an error. */
AP_MUST_USE ap_status ap_pooled_picks_take(ap_pooled_picks *out, const ap_roster *roster, size_t first, size_t end,
                                           ap_error *err);
void ap_pooled_picks_release(ap_pooled_picks *picks);

typedef enum ap_pooled_term {
    AP_TERM_SPECIES,
    AP_TERM_CUT,
    AP_TERM_SPECIES_CUT,
    AP_TERM_ESTIMATOR,
    AP_TERM_INSTRUMENT,
    AP_TERM_COUNT
} ap_pooled_term;
const char *ap_pooled_term_name(ap_pooled_term term); /* "species x cut" */

/* How a bound was worked out: exp(mean + k scale). */
typedef struct ap_pooled_bound {
    double mean;      /* of ln ratio, pooled */
    double scale;     /* of one new piece on a new tree */
    double m;         /* scale^2 / variance of the mean */
    double nu;        /* effective degrees of freedom */
    double k;         /* tolerance */
    double k_predict; /* prediction */
    double planning;  /* factor, at least 1 */
    double prediction;
} ap_pooled_bound;

typedef struct ap_pooled_cell {
    uint32_t key[AP_WEIGHTS_BY_MAX];
    size_t count; /* compared picks */
    size_t trees;
    bool named;                        /* no key is blank; else only the parent's factor is given */
    double own_log;                    /* the cell's own mean, trees weighed by what they tell */
    double own_se;                     /* of it, on the pooled scale */
    double pooled_log, pooled_se;      /* pooled mean of ln ratio */
    double pooled_low, pooled_high;    /* 90 % interval of it, as logs */
    double shrink;                     /* share of the cell's own mean that is kept: tau^2 / (tau^2 + own variance) */
    double own_scale2, own_scale_df;   /* NaN and 0 for one pick */
    double scale, scale_df;            /* s_g of P1 */
    double t, t_df, p_value, q_value;  /* is the mean above 0? */
    bool biased;                       /* q_value at most AP_POOLED_DISCOVERY */
    size_t suspects;                   /* picks of it beyond AP_POOLED_SUSPECT_Z or above the density ceiling */
    bool has_own, has_without;         /* whether the two below were worked out */
    ap_pooled_bound own_bound;         /* with the suspects */
    ap_pooled_bound without;           /* without them; only when there are some */
    const ap_pooled_bound *bound;      /* the one carried: own (the larger of the two) or a parent's; NULL = none */
    size_t of_level;                   /* the level it rests on */
    size_t factor_count, factor_trees; /* picks and trees behind the bound carried */
} ap_pooled_cell;

typedef struct ap_pooled_level {
    ap_by by[AP_WEIGHTS_BY_MAX];
    size_t by_count; /* 0: all picks in one cell */
    bool fitted;
    bool converged;
    bool too_even;  /* not fitted: its cells vary less than a scale reads, and then no level has a factor */
    ap_str why_not; /* a sentence when it was not fitted */
    size_t picks;
    size_t trees;
    double mean, mean_se;
    bool used[AP_TERM_COUNT];
    double variance[AP_TERM_COUNT];
    size_t levels[AP_TERM_COUNT];
    int same_as[AP_TERM_COUNT]; /* AP_MIXED_TOLD_APART, an ap_pooled_term, or a reason of mixed.h */
    double tree_variance, rest_variance, scale_df;
    bool tree_told_apart;
    ap_pooled_cell *cells;
    size_t cell_count;
    ap_key_map map;
} ap_pooled_level;

typedef enum ap_suspect_reason {
    AP_SUSPECT_FAR = 0, /* beyond AP_POOLED_SUSPECT_Z of its cell */
    AP_SUSPECT_CEILING  /* heavier than sound wood can be, beyond the volume's reading error */
} ap_suspect_reason;

typedef struct ap_suspect {
    size_t fact;
    ap_suspect_reason reason;
    double z;
} ap_suspect;

typedef struct ap_pooled {
    ap_pooled_level level[AP_POOLED_LEVELS_MAX]; /* the grouping asked for, its parents, all picks last */
    size_t level_count;
    ap_suspect *suspects; /* of the grouping asked for, in pick order */
    size_t suspect_count;
} ap_pooled;

/* Whether the model has terms for this grouping: species, cut, estimator in any order, or none. */
bool ap_pooled_knows(const ap_by *by, size_t by_count);

/* Fits the grouping and its parents to picks[0..count). Everything lives in `arena`. A
 * level that cannot be fitted (too few picks, all equal) says why and is no failure. Errors: AP_E_MEMORY; AP_E_DOMAIN for a
 * grouping that ap_pooled_knows() denies. */
AP_MUST_USE ap_status ap_pooled_fit(ap_pooled *out, ap_arena *arena, const ap_pooled_picks *picks, const ap_by *by,
                                    size_t by_count, ap_error *err);

/* The cell with this key, NULL when no compared pick has it. */
const ap_pooled_cell *ap_pooled_find(const ap_pooled_level *level, const uint32_t key[AP_WEIGHTS_BY_MAX]);
/* The bound for a piece with this key: its cell's, else of the first parent that has one; NULL when there is none. */
const ap_pooled_bound *ap_pooled_bound_for(const ap_pooled *pooled, const uint32_t key[AP_WEIGHTS_BY_MAX]);

#endif
