/* What the parts of the pooled error share. Private to analysis/pooled*.c. */
#ifndef AP_ANALYSIS_POOLED_PRIVATE_H
#define AP_ANALYSIS_POOLED_PRIVATE_H

#include "analysis/pooled.h"

/* Picks put in order of cell and, inside it, of tree. */
typedef struct pooled_order {
    uint32_t *cell;  /* per pick */
    uint32_t *order; /* pick numbers by cell, then tree, then as they came */
    size_t *start;   /* per cell, and one more */
    size_t cells;
} pooled_order;

AP_MUST_USE ap_status pooled_order_make(pooled_order *out, ap_key_map *map, const ap_pooled_picks *picks,
                                        const ap_by *by, size_t by_count, ap_error *err);
void pooled_order_release(pooled_order *order);

void pooled_key(uint32_t key[AP_WEIGHTS_BY_MAX], const ap_pooled_pick *pick, const ap_by *by, size_t by_count);

/* Fits one level and works out its cells; picks with skip[i] set are left out (NULL: none). */
AP_MUST_USE ap_status pooled_level_fit(ap_pooled_level *out, ap_arena *arena, const ap_pooled_picks *picks,
                                       const pooled_order *order, const bool *skip, ap_error *err);

/* The picks of one cell, summed up. */
AP_MUST_USE ap_status pooled_cell_own(ap_pooled_cell *cell, const ap_mixed *fit, const ap_pooled_level *level,
                                      const int *factor_of, const ap_pooled_picks *picks, const uint32_t *order,
                                      size_t count, const bool *skip, double *weight, ap_error *err);

/* Degrees of freedom behind the variance of a pooled mean: few estimators and instruments take theirs, the rest has rest_df. */
double pooled_mean_df(const ap_pooled_level *level, double variance, double rest_df);

/* The bound of a cell whose pooled mean and scale are there. False when it has none. */
bool pooled_cell_bound(ap_pooled_bound *out, const ap_pooled_level *level, const ap_pooled_cell *cell);

#endif
