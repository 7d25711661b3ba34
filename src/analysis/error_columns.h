/* The compared errors of a slice as columns, and put together by group: what is worked out from them reads a few bytes a pick
 * one behind the other, not the facts. */
#ifndef AP_ANALYSIS_ERROR_COLUMNS_H
#define AP_ANALYSIS_ERROR_COLUMNS_H

#include "analysis/key_map.h"

typedef struct ap_error_columns {
    size_t count;   /* compared picks, in pick order */
    double *e;      /* ln ratio */
    uint32_t *tree; /* label */
    uint32_t *fact; /* index in the roster */
    size_t first, end;
    size_t why_not[AP_COMPARED_COUNT];
} ap_error_columns;

/* Of facts[first..end). Errors: AP_E_MEMORY. Release it also after an error. */
AP_MUST_USE ap_status ap_error_columns_take(ap_error_columns *out, const ap_roster *roster, size_t first, size_t end,
                                            ap_error *err);
void ap_error_columns_release(ap_error_columns *columns);

typedef struct ap_error_groups {
    ap_key_map keys; /* of all picks, compared or not, in order of first appearance */
    size_t *picks;   /* by group: all of them */
    size_t *start;   /* the compared ones of group g stand at start[g] .. start[g + 1] of: */
    const double *e; /* the columns, by group, of each group in pick order */
    const uint32_t *tree;
    const uint32_t *fact;
    void *own; /* NULL with one group: its columns are those it was made from, which must outlive it */
} ap_error_groups;

/* Errors: AP_E_MEMORY. Release it also after an error. */
AP_MUST_USE ap_status ap_error_groups_make(ap_error_groups *out, const ap_error_columns *columns,
                                           const ap_roster *roster, const ap_by *by, size_t by_count, ap_error *err);
void ap_error_groups_release(ap_error_groups *groups);

#endif
