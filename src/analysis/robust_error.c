#include "analysis/robust_error.h"

#include "analysis/error_columns.h"

const char *ap_robust_kind_name(ap_location_kind kind) {
    return kind == AP_LOCATION_MEDIAN_TOO_FEW  ? "median_too_few"
           : kind == AP_LOCATION_MEDIAN_NO_MAD ? "median_no_spread"
                                               : "huber";
}

typedef struct tree_error {
    uint32_t tree;
    double e;
} tree_error;

static int by_tree(const void *left, const void *right) {
    const tree_error *a = left;
    const tree_error *b = right;
    return (a->tree > b->tree) - (a->tree < b->tree);
}

/* R2. A pick without a tree is one of its own. *medians has room for n. */
static size_t tree_medians(double *medians, tree_error *picks, double *work, size_t n) {
    size_t trees = 0;
    qsort(picks, n, sizeof *picks, by_tree);
    for (size_t i = 0; i < n;) {
        size_t count = 0;
        uint32_t tree = picks[i].tree;
        do {
            work[count++] = picks[i++].e;
        } while (i < n && tree != 0 && picks[i].tree == tree);
        ap_error why; /* finite values, at least one */
        trees += ap_stats_median(&medians[trees], work, count, &why) == AP_OK;
    }
    return trees;
}

static ap_status typical(ap_robust_error *out, const double *e, const uint32_t *tree, size_t n, ap_error *err) {
    tree_error *picks = calloc(n + 1, sizeof *picks);
    double *medians = calloc(n + 1, sizeof *medians);
    double *work = calloc(n + 1, sizeof *work);
    ap_location location;
    ap_interval interval;
    ap_error too_few; /* trees for an interval: there is none */
    ap_status status = picks && medians && work ? ap_stats_huber(&location, e, n, err)
                                                : ap_error_set(err, AP_E_MEMORY, "out of memory for %zu errors", n);
    for (size_t i = 0; status == AP_OK && i < n; i++) {
        picks[i] = (tree_error){tree[i], e[i]};
    }
    if (status == AP_OK) {
        out->ratio = exp(location.value);
        out->kind = location.kind;
        size_t trees = tree_medians(medians, picks, work, n);
        if (ap_stats_median_interval(&interval, medians, trees, AP_WEIGHTS_CONFIDENCE, &too_few) == AP_OK) {
            out->median_low = exp(interval.low);
            out->median_high = exp(interval.high);
        }
    }
    free(picks);
    free(medians);
    free(work);
    return status;
}

ap_status ap_robust_errors(ap_robust_error **out, ap_arena *arena, const ap_roster *roster, size_t first, size_t end,
                           const ap_weight_table *table, ap_error *err) {
    ap_error_columns columns;
    ap_error_groups sorted = {0};
    ap_status status = ap_error_columns_take(&columns, roster, first, end, err);
    if (status == AP_OK) {
        status = ap_error_groups_make(&sorted, &columns, roster, table->by, table->by_count, err);
    }
    *out = ap_arena_alloc_array(arena, table->count + 1, sizeof **out);
    if (status == AP_OK) {
        status = ap_arena_check(arena, "the robust averages", err);
    }
    for (size_t g = 0; status == AP_OK && g < table->count; g++) {
        uint32_t at = 0;
        (*out)[g] = (ap_robust_error){.ratio = NAN, .median_low = NAN, .median_high = NAN};
        if (!isnan(table->groups[g].median_ratio) && ap_key_map_find(&sorted.keys, table->groups[g].key, &at)) {
            size_t from = sorted.start[at];
            status = typical(&(*out)[g], sorted.e + from, sorted.tree + from, sorted.start[at + 1] - from, err);
        }
    }
    ap_error_groups_release(&sorted);
    ap_error_columns_release(&columns);
    return status;
}
