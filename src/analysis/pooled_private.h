/* What the parts of the pooled error share. Private to analysis/pooled*.c and proof.c.
 *
 * A plan is made once for a grouping and all its picks: which kind each pick is of (cell and what the model tells apart), and
 * the order by trees. Sums are added up tree by tree for some of the picks and are all that a fit reads: the model's own
 * (stats/mixed_sums.h) and, per level, what each cell's picks add up to by kind and by how many the tree has in the cell. So the
 * levels of a grouping, the months of a proof and the fit without the suspects share one pass over the picks. */
#ifndef AP_ANALYSIS_POOLED_PRIVATE_H
#define AP_ANALYSIS_POOLED_PRIVATE_H

#include "analysis/pooled.h"
#include "analysis/proof.h"
#include "stats/mixed_sums.h"

typedef struct pooled_kind {
    uint32_t cell[AP_POOLED_LEVELS_MAX]; /* numbers of the plan's cells */
    uint32_t term[AP_TERM_COUNT];        /* levels without gaps; 0 = not logged, or a term not in use */
} pooled_kind;

typedef struct pooled_range {
    double middle;
    double reach;
} pooled_range;

#define POOLED_JOBS_MIXED UINT32_MAX

typedef struct pooled_plan {
    const ap_pooled_picks *picks;
    ap_by by[AP_WEIGHTS_BY_MAX];
    size_t by_count;
    bool used[AP_TERM_COUNT];        /* by the grouping itself; its parents use some of these */
    uint32_t *number[AP_TERM_COUNT]; /* by label: the level without gaps */
    uint32_t levels[AP_TERM_COUNT];
    ap_key_map both; /* species x cut */
    ap_key_map cells[AP_POOLED_LEVELS_MAX];
    pooled_kind *kind;
    size_t kinds;
    double shift; /* taken off the errors below */
    /* In the order of the trees as they were met, of each tree as its picks came; a pick without a tree is one of its own. */
    uint32_t *pick;
    uint32_t *kind_of;
    double *e;
    uint32_t *start; /* of each tree, and one more */
    size_t trees;
    uint32_t *job_of_tree; /* POOLED_JOBS_MIXED: ask each pick */
    pooled_range *usual;   /* by cell of the grouping */
    uint32_t *unusual;     /* places of the picks outside of it, and of those above the density ceiling, ascending */
    size_t unusual_count;
} pooled_plan;

/* Errors: AP_E_MEMORY, AP_E_DOMAIN for a grouping the model does not know. Release it also after an error. */
AP_MUST_USE ap_status pooled_plan_make(pooled_plan *out, const ap_pooled_picks *picks, const ap_by *by, size_t by_count,
                                       ap_error *err);
void pooled_plan_release(pooled_plan *plan);
/* Which terms a level uses; its key's levels without gaps. */
void pooled_choose_terms(bool used[AP_TERM_COUNT], const ap_by *by, size_t by_count);
void pooled_term_levels(uint32_t to[AP_TERM_COUNT], const pooled_plan *plan, const ap_by *by, size_t by_count,
                        const uint32_t *key);

/* Picks of one kind that share the number of picks which their tree has in the cell. */
typedef struct pooled_entry {
    uint32_t kind;
    uint32_t n;
    double count;
    double e;
    double square;
} pooled_entry;

enum { POOLED_NEAR = 16 };
typedef struct pooled_table {
    pooled_entry *entry;
    size_t count;
    size_t room;
    uint32_t *near; /* by kind and n below POOLED_NEAR: entry number + 1; NULL: too many kinds */
    uint32_t *slot; /* the others by open addressing: the same */
    size_t slots;
    uint32_t *in_cell; /* scratch by cell, all 0 */
} pooled_table;

/* The picks that count: all (divisor 0), those of the jobs whose number has this remainder, or all but those. */
typedef struct pooled_jobs {
    uint32_t divisor;
    uint32_t remainder;
    bool without;
} pooled_jobs;

typedef struct pooled_sums {
    const pooled_plan *plan;
    ap_mixed_sums *model; /* NULL: too many levels for all terms together; each fit makes its own */
    pooled_table level[AP_POOLED_LEVELS_MAX];
    size_t count;     /* the first so many picks are in */
    pooled_jobs jobs; /* of these, and by their job */
    size_t met;       /* trees that have picks among them */
    uint32_t *open;   /* of these, the trees that have more */
    size_t open_count, open_room;
    uint32_t *kind; /* scratch of one tree */
    double *e;
    bool *mark; /* scratch by place, all false: suspects while a level is fitted; marked[] lists them */
    uint32_t *marked;
    size_t marked_count, marked_room;
} pooled_sums;

AP_MUST_USE ap_status pooled_sums_make(pooled_sums *out, const pooled_plan *plan, ap_error *err);
void pooled_sums_release(pooled_sums *sums);
/* From the first sums->count picks to the first `count`, which is no less. */
AP_MUST_USE ap_status pooled_sums_extend(pooled_sums *sums, size_t count, ap_error *err);
/* Adds what `from` holds, of the same plan; what the two take in is for the caller to say (count, jobs). */
AP_MUST_USE ap_status pooled_sums_merge(pooled_sums *sums, const pooled_sums *from, ap_error *err);
/* Takes the picks of these jobs off; all picks were in. */
AP_MUST_USE ap_status pooled_sums_take_off(pooled_sums *sums, pooled_jobs off, ap_error *err);
/* Takes the tree as it is in the sums off, and puts it in again without what is marked as well; `back` the other way round. */
AP_MUST_USE ap_status pooled_sums_unmark(pooled_sums *sums, size_t tree, const bool *mark, bool back, ap_error *err);

static inline bool pooled_takes(const pooled_plan *plan, size_t place, pooled_jobs jobs) {
    return !jobs.divisor ||
           (plan->picks->items[plan->pick[place]].job % jobs.divisor == jobs.remainder) != jobs.without;
}
static inline bool pooled_has(const pooled_sums *sums, size_t place) {
    return sums->plan->pick[place] < sums->count && pooled_takes(sums->plan, place, sums->jobs);
}
/* Which of a tree's picks are taken: all, none, or a part (then ask each). */
typedef enum pooled_share { POOLED_NONE, POOLED_PART, POOLED_ALL } pooled_share;
static inline pooled_share pooled_takes_tree(const pooled_plan *plan, size_t tree, pooled_jobs jobs) {
    uint32_t job = plan->job_of_tree[tree];
    if (!jobs.divisor) {
        return POOLED_ALL;
    }
    bool in = (job % jobs.divisor == jobs.remainder) != jobs.without;
    return job == POOLED_JOBS_MIXED ? POOLED_PART : in ? POOLED_ALL : POOLED_NONE;
}

/* Sums of all picks so far, from which the jobs of a fold can be left out. Few folds have sums of their own, so that one pass
 * over the picks serves all; of many, one is taken off at a time. */
enum { POOLED_PARTS_MOST = 4 };
typedef struct pooled_parts {
    const pooled_plan *plan;
    uint32_t folds;
    size_t count; /* sums that grow: as many as folds, or one */
    pooled_sums part[POOLED_PARTS_MOST];
    pooled_sums whole; /* of several parts, as last asked for */
} pooled_parts;
AP_MUST_USE ap_status pooled_parts_make(pooled_parts *out, const pooled_plan *plan, size_t folds, ap_error *err);
void pooled_parts_release(pooled_parts *parts);
/* The first `count` picks, no fewer than before; valid until the next call. */
AP_MUST_USE ap_status pooled_parts_first(pooled_sums **out, pooled_parts *parts, size_t count, ap_error *err);
/* All picks, which have been asked for before, but those of a fold. Release the sums also after an error. */
AP_MUST_USE ap_status pooled_parts_without(pooled_sums *out, const pooled_parts *parts, pooled_jobs fold,
                                           ap_error *err);

/* Fits the grouping and its parents to what the sums hold. */
AP_MUST_USE ap_status pooled_fit(ap_pooled *out, ap_arena *arena, pooled_sums *sums, ap_error *err);

/* The proof of a plan's factors: rolling first, on parts that are empty before and go as far as its last refit, then, with all
 * picks in the parts, leaving out. */
size_t proof_folds(const ap_roster *roster, size_t picks);
AP_MUST_USE ap_status proof_roll(ap_proof *out, ap_arena *arena, const ap_roster *roster, pooled_parts *parts,
                                 ap_error *err);
AP_MUST_USE ap_status proof_leave_out(ap_proof *out, ap_arena *arena, const ap_roster *roster,
                                      const pooled_parts *parts, ap_error *err);

/* Fits one level and works out its cells; picks with mark[place] set are left out of the sums already (NULL: none). */
AP_MUST_USE ap_status pooled_level_fit(ap_pooled_level *out, ap_arena *arena, size_t number, const pooled_sums *sums,
                                       const bool *mark, ap_error *err);

/* One level's view of its cells' entries. */
typedef struct pooled_view {
    const ap_mixed *fit;
    const ap_pooled_level *level;
    const pooled_plan *plan;
    int factor_of[AP_TERM_COUNT];
    bool estimator_named;
} pooled_view;

/* The picks of one cell, summed up. */
AP_MUST_USE ap_status pooled_cell_own(ap_pooled_cell *cell, const pooled_view *view, const pooled_entry *const *entry,
                                      size_t count, ap_error *err);
bool pooled_estimator_is_named(const ap_pooled_level *level);

/* Degrees of freedom behind the variance of a mean: estimators and instruments of fewer than `below` levels bring theirs, the rest
 * has rest_df. */
double pooled_mean_df(const ap_pooled_level *level, double variance, double rest_df, size_t below);

/* The bound of a cell whose pooled mean and scale are there. False when it has none. */
bool pooled_cell_bound(ap_pooled_bound *out, const ap_pooled_level *level, const ap_pooled_cell *cell);

#endif
