#include "analysis/weights.h"

#include "analysis/error_columns.h"
#include "stats/summary.h"

/* Compared errors of one group, in pick order. */
typedef struct members {
    const double *e;
    const uint32_t *tree;
    const uint32_t *fact;
    size_t count;
} members;

static ap_status describe_errors(ap_weight_group *group, const members *in, ap_error *err) {
    double low = NAN;
    double high = NAN;
    ap_moments moments;
    ap_moments_clear(&moments);
    ap_status status = ap_stats_middle(&low, &high, in->e, in->count, err);
    if (status == AP_OK) {
        status = ap_moments_add_all(&moments, in->e, in->count, err);
    }
    if (status == AP_OK) {
        status = ap_moments_mean(&group->mean_log_ratio, &moments, err);
    }
    if (status == AP_OK && in->count > 1) {
        status = ap_moments_sd(&group->sd_log_ratio, &moments, err);
    }
    if (status != AP_OK) {
        return status;
    }
    group->median_log = low + (high - low) / 2;
    group->median_ratio = low == high ? exp(low) : (exp(low) + exp(high)) / 2; /* of the ratios, not of their logs */
    ap_cluster_mean trees;
    ap_error one_tree; /* fewer than two trees: no interval, which is no failure */
    if (ap_stats_cluster_mean(&trees, in->e, in->tree, in->count, AP_WEIGHTS_CONFIDENCE, &one_tree) == AP_OK) {
        group->ratio_low = exp(trees.interval.low);
        group->ratio_high = exp(trees.interval.high);
        group->trees = trees.clusters;
        group->sd_trees = trees.sd;
    } else {
        group->trees = 1;
    }
    return AP_OK;
}

static ap_status describe(ap_weight_group *group, size_t picks, const members *in, double heavier, ap_error *err) {
    const ap_log_limit limit = ap_log_limit_of(1 + heavier);
    size_t over = 0;
    size_t run = 0;
    size_t worst = 0;
    group->picks = picks;
    group->count = in->count;
    group->worst = SIZE_MAX;
    group->worst_ratio = group->median_ratio = group->median_log = group->mean_log_ratio = group->share_heavier = NAN;
    group->ratio_low = group->ratio_high = group->sd_log_ratio = group->sd_trees = NAN;
    if (in->count == 0) {
        return AP_OK;
    }
    for (size_t i = 0; i < in->count; i++) {
        bool heavy = ap_log_over(in->e[i], &limit);
        over += heavy;
        run = heavy ? run + 1 : 0;
        group->three_in_a_row += run == 3;
        worst = in->e[i] > in->e[worst] ? i : worst;
    }
    group->worst = in->fact[worst];
    group->worst_ratio = exp(in->e[worst]);
    group->share_heavier = (double)over / (double)in->count;
    return describe_errors(group, in, err);
}

/* A group with its labels beside it, so that qsort's comparison needs nothing else. */
typedef struct ranked {
    ap_weight_group group;
    ap_str label[AP_WEIGHTS_BY_MAX];
    bool in_time; /* grouped by month first: months stand in their order */
} ranked;

static int by_count_then_label(const void *left, const void *right) {
    const ranked *a = left;
    const ranked *b = right;
    if (!a->in_time && a->group.count != b->group.count) {
        return a->group.count < b->group.count ? 1 : -1;
    }
    int order = 0;
    for (size_t k = 0; k < AP_WEIGHTS_BY_MAX && order == 0; k++) {
        order = ap_str_compare_natural(a->label[k], b->label[k]);
    }
    return order;
}

static bool rank(ap_weight_table *table, const ap_roster *roster) {
    ranked *items = calloc(table->count + 1, sizeof *items);
    if (!items) {
        return false;
    }
    for (size_t g = 0; g < table->count; g++) {
        items[g].group = table->groups[g];
        items[g].in_time = table->by[0] == AP_BY_MONTH;
        for (size_t k = 0; k < table->by_count; k++) {
            items[g].label[k] = ap_roster_label(roster, table->by[k], table->groups[g].key[k]);
        }
    }
    qsort(items, table->count, sizeof *items, by_count_then_label);
    for (size_t g = 0; g < table->count; g++) {
        table->groups[g] = items[g].group;
    }
    free(items);
    return true;
}

ap_status ap_weights_of(ap_weight_table *out, ap_arena *arena, const ap_roster *roster, const ap_error_columns *columns,
                        const ap_by *by, size_t by_count, ap_error *err) {
    memset(out, 0, sizeof *out);
    memcpy(out->by, by, by_count * sizeof *by);
    out->by_count = by_count;
    ap_error_groups sorted;
    ap_status status = ap_error_groups_make(&sorted, columns, roster, by, by_count, err);
    if (status == AP_OK) {
        out->count = sorted.keys.count;
        out->groups = ap_arena_alloc_array(arena, out->count + 1, sizeof *out->groups);
        status = ap_arena_check(arena, "the groups", err);
    }
    for (size_t g = 0; status == AP_OK && g < out->count; g++) {
        size_t from = sorted.start[g];
        const members in = {sorted.e + from, sorted.tree + from, sorted.fact + from, sorted.start[g + 1] - from};
        memcpy(out->groups[g].key, sorted.keys.keys[g], sizeof out->groups[g].key);
        status = describe(&out->groups[g], sorted.picks[g], &in, roster->settings.heavier, err);
    }
    ap_error_groups_release(&sorted);
    if (status == AP_OK && !rank(out, roster)) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for %zu groups", out->count);
    }
    return status;
}

ap_status ap_weights(ap_weight_table *out, ap_arena *arena, const ap_roster *roster, size_t first, size_t end,
                     const ap_by *by, size_t by_count, ap_error *err) {
    ap_error_columns columns;
    ap_status status = ap_error_columns_take(&columns, roster, first, end, err);
    if (status == AP_OK) {
        status = ap_weights_of(out, arena, roster, &columns, by, by_count, err);
    }
    if (status == AP_OK) {
        const members all = {columns.e, columns.tree, columns.fact, columns.count};
        memcpy(out->why_not, columns.why_not, sizeof out->why_not);
        status = describe(&out->all, end - first, &all, roster->settings.heavier, err);
    }
    ap_error_columns_release(&columns);
    return status;
}

ap_status ap_weights_parse_by(ap_by by[AP_WEIGHTS_BY_MAX], size_t *count, ap_str words, ap_error *err) {
    *count = 0;
    for (ap_str rest = words; rest.ptr;) {
        ap_str word = ap_str_trim(ap_str_split(rest, ',', &rest));
        ap_by which;
        if (!ap_by_find(&which, word)) {
            char all[256] = "";
            size_t used = 0;
            for (int i = 0; i < AP_BY_COUNT; i++) {
                used += (size_t)snprintf(all + used, sizeof all - used, "%s%s", i ? ", " : "", ap_by_name((ap_by)i));
            }
            return ap_error_set(err, AP_E_USAGE, "--by '%.*s' is not a grouping; there are %s", AP_STR_ARG(word), all);
        }
        for (size_t i = 0; i < *count; i++) {
            if (by[i] == which) {
                return ap_error_set(err, AP_E_USAGE, "--by names '%s' twice", ap_by_name(which));
            }
        }
        if (*count == AP_WEIGHTS_BY_MAX) {
            return ap_error_set(err, AP_E_USAGE, "--by takes at most %d groupings", AP_WEIGHTS_BY_MAX);
        }
        by[(*count)++] = which;
    }
    return AP_OK;
}

ap_str ap_weight_group_label(ap_arena *arena, const ap_roster *roster, const ap_weight_table *table,
                             const ap_weight_group *group) {
    ap_str label = AP_STR_NONE;
    for (size_t k = 0; k < table->by_count; k++) {
        ap_str part = ap_roster_label(roster, table->by[k], group->key[k]);
        bool word = table->by[k] == AP_BY_BASIS || table->by[k] == AP_BY_FOLIAGE;
        part = part.ptr ? (word ? ap_word_plain(arena, part) : part) : AP_STR_LIT("not recorded");
        label = k == 0 ? part : ap_arena_printf(arena, "%.*s, %.*s", AP_STR_ARG(label), AP_STR_ARG(part));
    }
    return label;
}
