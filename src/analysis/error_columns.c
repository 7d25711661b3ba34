#include "analysis/error_columns.h"

#include "base/grow.h"
#include "base/wide.h"

ap_status ap_error_columns_take(ap_error_columns *out, const ap_roster *roster, size_t first, size_t end,
                                ap_error *err) {
    *out = (ap_error_columns){.first = first, .end = end};
    size_t picks = end - first;
    out->e = ap_wide_array(picks + 1, sizeof *out->e);
    out->tree = ap_wide_array(picks + 1, sizeof *out->tree);
    out->fact = ap_wide_array(picks + 1, sizeof *out->fact);
    if (!out->e || !out->tree || !out->fact || end > UINT32_MAX) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the groups of %zu picks", picks);
    }
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        out->why_not[fact->compared]++;
        if (fact->compared == AP_COMPARED) {
            out->e[out->count] = fact->log_error;
            out->tree[out->count] = ap_fact_group(fact, AP_BY_TREE);
            out->fact[out->count++] = (uint32_t)i;
        }
    }
    return AP_OK;
}

void ap_error_columns_release(ap_error_columns *columns) {
    free(columns->e);
    free(columns->tree);
    free(columns->fact);
    *columns = (ap_error_columns){0};
}

typedef struct group_count {
    size_t picks;
    size_t compared;
} group_count;

/* Without a grouping all picks are one group: no fact is asked. */
static bool number_as_one(group_count **counts, ap_key_map *keys, const ap_error_columns *columns) {
    const uint32_t key[AP_WEIGHTS_BY_MAX] = {0};
    uint32_t number = 0;
    *counts = calloc(1, sizeof **counts);
    if (!*counts || columns->end == columns->first) {
        return *counts != NULL;
    }
    **counts = (group_count){columns->end - columns->first, columns->count};
    return ap_key_map_add(keys, key, &number);
}

/* Group numbers of the compared picks, by their place in the columns, and how many picks each group has. */
static bool number_picks(uint32_t *group_of, group_count **counts, ap_key_map *keys, const ap_error_columns *columns,
                         const ap_roster *roster, const ap_by *by, size_t by_count) {
    uint32_t most[AP_WEIGHTS_BY_MAX] = {0};
    size_t room = 0;
    for (size_t k = 0; k < by_count; k++) {
        most[k] = ap_intern_count(roster->labels[by[k]]);
    }
    if (!ap_key_map_start(keys, most, columns->end - columns->first)) {
        return false;
    }
    for (size_t i = columns->first; i < columns->end; i++) {
        const ap_fact *fact = &roster->facts[i];
        uint32_t key[AP_WEIGHTS_BY_MAX] = {0};
        uint32_t number = 0;
        for (size_t k = 0; k < by_count; k++) {
            key[k] = ap_fact_group(fact, by[k]);
        }
        if (!ap_key_map_add(keys, key, &number)) {
            return false;
        }
        if (number >= room) {
            group_count *grown = ap_grown_to(*counts, &room, number, sizeof *grown);
            if (!grown) {
                return false;
            }
            *counts = grown;
        }
        (*counts)[number].picks++;
        if (fact->compared == AP_COMPARED) {
            (*counts)[number].compared++;
            *group_of++ = number;
        }
    }
    return true;
}

static bool keep_counts(ap_error_groups *out, const group_count *counts) {
    out->picks = calloc(out->keys.count + 1, sizeof *out->picks);
    out->start = calloc(out->keys.count + 1, sizeof *out->start);
    for (size_t g = 0; counts && out->picks && out->start && g < out->keys.count; g++) {
        out->picks[g] = counts[g].picks;
        out->start[g + 1] = out->start[g] + counts[g].compared;
    }
    return out->picks && out->start;
}

/* A counting sort that keeps pick order inside each group. */
static bool sort_columns(ap_error_groups *out, const ap_error_columns *columns, const uint32_t *group_of) {
    size_t count = columns->count;
    char *own = ap_wide_array(count + 1, sizeof(double) + 2 * sizeof(uint32_t));
    size_t *next = calloc(out->keys.count + 1, sizeof *next);
    if (!own || !next) {
        free(own);
        free(next);
        return false;
    }
    double *e = (double *)own;
    uint32_t *tree = (uint32_t *)(e + count);
    uint32_t *fact = tree + count;
    memcpy(next, out->start, out->keys.count * sizeof *next);
    for (size_t i = 0; i < count; i++) {
        size_t at = next[group_of[i]]++;
        e[at] = columns->e[i];
        tree[at] = columns->tree[i];
        fact[at] = columns->fact[i];
    }
    free(next);
    out->own = own;
    out->e = e;
    out->tree = tree;
    out->fact = fact;
    return true;
}

ap_status ap_error_groups_make(ap_error_groups *out, const ap_error_columns *columns, const ap_roster *roster,
                               const ap_by *by, size_t by_count, ap_error *err) {
    *out = (ap_error_groups){.e = columns->e, .tree = columns->tree, .fact = columns->fact};
    uint32_t *group_of = ap_wide_array(columns->count + 1, sizeof *group_of);
    group_count *counts = NULL;
    bool numbered = by_count ? group_of && number_picks(group_of, &counts, &out->keys, columns, roster, by, by_count)
                             : number_as_one(&counts, &out->keys, columns);
    bool made = numbered && keep_counts(out, counts) && (out->keys.count < 2 || sort_columns(out, columns, group_of));
    free(group_of);
    free(counts);
    return made ? AP_OK
                : ap_error_set(err, AP_E_MEMORY, "out of memory for the groups of %zu picks",
                               columns->end - columns->first);
}

void ap_error_groups_release(ap_error_groups *groups) {
    ap_key_map_release(&groups->keys);
    free(groups->picks);
    free(groups->start);
    free(groups->own);
    *groups = (ap_error_groups){0};
}
