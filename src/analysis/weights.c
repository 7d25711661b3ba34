#include "analysis/weights.h"

#include "stats/summary.h"

/* Facts of the slice sorted into groups: order[start[g] .. start[g + 1]) are roster indices in pick order. */
typedef struct sorting {
    uint32_t *group_of; /* per fact of the slice */
    uint32_t *order;
    size_t *start;
    size_t groups;
    uint32_t *table; /* open addressing: group number + 1 */
    size_t table_size;
} sorting;

static bool same_key(const uint32_t *a, const uint32_t *b) {
    return memcmp(a, b, AP_WEIGHTS_BY_MAX * sizeof *a) == 0;
}

static size_t hash_key(const uint32_t *key) {
    return (size_t)ap_str_hash((ap_str){(const char *)key, AP_WEIGHTS_BY_MAX * sizeof *key});
}

static bool grow_table(sorting *sort, const ap_weight_group *groups) {
    size_t size = sort->table_size ? sort->table_size * 2 : 256;
    uint32_t *table = calloc(size, sizeof *table);
    if (!table) {
        return false;
    }
    for (size_t g = 0; g < sort->groups; g++) {
        size_t at = hash_key(groups[g].key) & (size - 1);
        while (table[at]) {
            at = (at + 1) & (size - 1);
        }
        table[at] = (uint32_t)(g + 1);
    }
    free(sort->table);
    sort->table = table;
    sort->table_size = size;
    return true;
}

static bool find_or_add(uint32_t *number, sorting *sort, ap_weight_group **groups, size_t *cap, const uint32_t *key) {
    if (sort->groups * 2 >= sort->table_size && !grow_table(sort, *groups)) {
        return false;
    }
    size_t at = hash_key(key) & (sort->table_size - 1);
    for (; sort->table[at]; at = (at + 1) & (sort->table_size - 1)) {
        if (same_key((*groups)[sort->table[at] - 1].key, key)) {
            *number = sort->table[at] - 1;
            return true;
        }
    }
    if (sort->groups == *cap) {
        size_t grown_cap = *cap ? *cap * 2 : 64;
        ap_weight_group *grown = realloc(*groups, grown_cap * sizeof *grown);
        if (!grown) {
            return false;
        }
        *groups = grown;
        *cap = grown_cap;
    }
    memset(&(*groups)[sort->groups], 0, sizeof **groups);
    memcpy((*groups)[sort->groups].key, key, sizeof(*groups)->key);
    *number = (uint32_t)sort->groups;
    sort->table[at] = (uint32_t)++sort->groups;
    return true;
}

/* Numbers the groups, then a counting sort that keeps pick order inside each. */
static bool sort_facts(sorting *sort, ap_weight_group **groups, const ap_roster *roster, size_t first, size_t end,
                       const ap_by *by, size_t by_count) {
    size_t count = end - first;
    size_t cap = 0;
    sort->group_of = calloc(count + 1, sizeof *sort->group_of);
    sort->order = calloc(count + 1, sizeof *sort->order);
    if (!sort->group_of || !sort->order) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        uint32_t key[AP_WEIGHTS_BY_MAX] = {0};
        for (size_t k = 0; k < by_count; k++) {
            key[k] = ap_fact_group(&roster->facts[first + i], by[k]);
        }
        if (!find_or_add(&sort->group_of[i], sort, groups, &cap, key)) {
            return false;
        }
    }
    sort->start = calloc(sort->groups + 2, sizeof *sort->start);
    if (!sort->start) {
        return false;
    }
    size_t *start = sort->start;
    for (size_t i = 0; i < count; i++) {
        start[sort->group_of[i] + 2]++;
    }
    for (size_t g = 2; g < sort->groups + 2; g++) {
        start[g] += start[g - 1];
    }
    for (size_t i = 0; i < count; i++) {
        sort->order[start[sort->group_of[i] + 1]++] = (uint32_t)(first + i);
    }
    return true;
}

static void release_sorting(sorting *sort) {
    free(sort->group_of);
    free(sort->order);
    free(sort->start);
    free(sort->table);
}

typedef struct scratch {
    double *values;
    uint32_t *trees;
} scratch;

static ap_status describe_errors(ap_weight_group *group, const scratch *work, ap_error *err) {
    size_t n = group->count;
    double median = NAN;
    ap_moments moments;
    ap_moments_clear(&moments);
    ap_status status = ap_stats_median(&median, work->values, n, err);
    if (status == AP_OK) {
        status = ap_moments_add_all(&moments, work->values, n, err);
    }
    if (status == AP_OK) {
        status = ap_moments_mean(&group->mean_log_ratio, &moments, err);
    }
    if (status == AP_OK && n > 1) {
        status = ap_moments_sd(&group->sd_log_ratio, &moments, err);
    }
    if (status != AP_OK) {
        return status;
    }
    group->median_ratio = exp(median);
    ap_cluster_mean trees;
    ap_error one_tree; /* fewer than two trees: no interval, which is no failure */
    if (ap_stats_cluster_mean(&trees, work->values, work->trees, n, AP_WEIGHTS_CONFIDENCE, &one_tree) == AP_OK) {
        group->ratio_low = exp(trees.interval.low);
        group->ratio_high = exp(trees.interval.high);
        group->trees = trees.clusters;
        group->sd_trees = trees.sd;
    } else {
        group->trees = 1;
    }
    return AP_OK;
}

/* Facts order[0..count), or without an order from `first` on. */
static ap_status describe(ap_weight_group *group, const scratch *work, const ap_roster *roster, const uint32_t *order,
                          size_t first, size_t count, ap_error *err) {
    double heavier_than = 1 + roster->settings.heavier;
    size_t heavier = 0;
    size_t run = 0;
    group->picks = count;
    group->worst = SIZE_MAX;
    group->worst_ratio = group->median_ratio = group->mean_log_ratio = group->share_heavier = NAN;
    group->ratio_low = group->ratio_high = group->sd_log_ratio = group->sd_trees = NAN;
    for (size_t i = 0; i < count; i++) {
        size_t number = order ? order[i] : first + i;
        const ap_fact *fact = &roster->facts[number];
        if (fact->compared != AP_COMPARED) {
            continue;
        }
        double ratio = ap_fact_ratio(fact);
        bool over = ap_over(ratio, heavier_than);
        heavier += over;
        run = over ? run + 1 : 0;
        group->three_in_a_row += run == 3;
        if (group->worst == SIZE_MAX || ratio > group->worst_ratio) {
            group->worst = number;
            group->worst_ratio = ratio;
        }
        work->values[group->count] = fact->log_error;
        work->trees[group->count] = ap_fact_group(fact, AP_BY_TREE);
        group->count++;
    }
    if (group->count == 0) {
        return AP_OK;
    }
    group->share_heavier = (double)heavier / (double)group->count;
    return describe_errors(group, work, err);
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

static ap_status describe_all(ap_weight_table *out, const ap_roster *roster, const sorting *sort, size_t first,
                              size_t end, ap_error *err) {
    size_t count = end - first;
    ap_status status = AP_OK;
    scratch work = {calloc(count + 1, sizeof *work.values), calloc(count + 1, sizeof *work.trees)};
    if (!work.values || !work.trees) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the groups of %zu picks", count);
        goto done;
    }
    for (size_t g = 0; status == AP_OK && g < sort->groups; g++) {
        size_t from = g == 0 ? 0 : sort->start[g];
        status = describe(&out->groups[g], &work, roster, sort->order + from, 0, sort->start[g + 1] - from, err);
    }
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        out->why_not[roster->facts[first + i].compared]++;
    }
    if (status == AP_OK) {
        status = describe(&out->all, &work, roster, NULL, first, count, err);
    }
done:
    free(work.values);
    free(work.trees);
    return status;
}

ap_status ap_weights(ap_weight_table *out, ap_arena *arena, const ap_roster *roster, size_t first, size_t end,
                     const ap_by *by, size_t by_count, ap_error *err) {
    memset(out, 0, sizeof *out);
    memcpy(out->by, by, by_count * sizeof *by);
    out->by_count = by_count;
    sorting sort = {0};
    ap_weight_group *groups = NULL;
    ap_status status = AP_OK;
    if (!sort_facts(&sort, &groups, roster, first, end, by, by_count)) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the groups of %zu picks", end - first);
    }
    if (status == AP_OK) {
        out->count = sort.groups;
        out->groups = ap_arena_alloc_array(arena, sort.groups + 1, sizeof *groups);
        status = ap_arena_check(arena, "the groups", err);
    }
    if (status == AP_OK) {
        if (groups) {
            memcpy(out->groups, groups, sort.groups * sizeof *groups);
        }
        status = describe_all(out, roster, &sort, first, end, err);
    }
    if (status == AP_OK && !rank(out, roster)) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for %zu groups", out->count);
    }
    free(groups);
    release_sorting(&sort);
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
