/* The estimate error by group: measured net against planned net. */
#ifndef AP_ANALYSIS_WEIGHTS_H
#define AP_ANALYSIS_WEIGHTS_H

#include "analysis/roster.h"

enum { AP_WEIGHTS_BY_MAX = 4 };

typedef struct ap_weight_group {
    uint32_t key[AP_WEIGHTS_BY_MAX]; /* label numbers, in the order of `by` */
    size_t picks;                    /* all picks of the group */
    size_t count;                    /* of these, compared: both weights known */
    size_t trees;                    /* among the compared */
    double median_ratio;             /* NaN when count is 0, like the rest */
    double median_log;               /* of ln(ratio); with an even count not quite ln(median_ratio) */
    double mean_log_ratio;           /* plain mean of ln(ratio) over the compared picks */
    double ratio_low, ratio_high;    /* 90 % t interval on the means of trees, as ratios; NaN below two trees */
    double sd_log_ratio;             /* between picks; NaN below two */
    double sd_trees;                 /* between the trees' means; NaN below two trees */
    double share_heavier;            /* heavier than planned by more than the setting (10 %) */
    double worst_ratio;
    size_t worst;          /* index of its pick in the roster; SIZE_MAX when count is 0 */
    size_t three_in_a_row; /* times three picks in a row were heavier by more than 10 %: a count, not a finding */
} ap_weight_group;

typedef struct ap_weight_table {
    ap_by by[AP_WEIGHTS_BY_MAX];
    size_t by_count;
    ap_weight_group *groups; /* most compared picks first, then by label */
    size_t count;
    const struct ap_robust_error *robust; /* beside groups[]; NULL: not asked for (robust_error.h) */
    ap_weight_group all;                  /* the same figures over the whole slice */
    size_t why_not[AP_COMPARED_COUNT];    /* picks by why they were not compared */
} ap_weight_table;

#define AP_WEIGHTS_CONFIDENCE 0.90

/* Groups facts[first..end) of the roster. The table lives in `arena`. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_weights(ap_weight_table *out, ap_arena *arena, const ap_roster *roster, size_t first,
                                 size_t end, const ap_by *by, size_t by_count, ap_error *err);

/* The same of columns that were taken before, without `all` and why_not[]. */
struct ap_error_columns;
AP_MUST_USE ap_status ap_weights_of(ap_weight_table *out, ap_arena *arena, const ap_roster *roster,
                                    const struct ap_error_columns *columns, const ap_by *by, size_t by_count,
                                    ap_error *err);

/* "species,cut" -> groupings; AP_E_USAGE names the words there are. */
AP_MUST_USE ap_status ap_weights_parse_by(ap_by by[AP_WEIGHTS_BY_MAX], size_t *count, ap_str words, ap_error *err);

/* "silver maple, through"; "not recorded" for a blank label. */
ap_str ap_weight_group_label(ap_arena *arena, const ap_roster *roster, const ap_weight_table *table,
                             const ap_weight_group *group);

#endif
