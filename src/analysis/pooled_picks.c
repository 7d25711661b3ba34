/* The model's view of the roster: compared picks only, and their order by cell and tree. */
#include "analysis/pooled_private.h"

enum { WEIGHED_KINDS = AP_WEIGHED_BY_SCALE + 1 };

ap_status ap_pooled_picks_take(ap_pooled_picks *out, const ap_roster *roster, size_t first, size_t end, ap_error *err) {
    *out = (ap_pooled_picks){.cut_labels = ap_intern_count(roster->labels[AP_BY_CUT])};
    size_t count = 0;
    for (size_t i = first; i < end; i++) {
        count += roster->facts[i].compared == AP_COMPARED;
    }
    out->items = calloc(count + 1, sizeof *out->items);
    if (!out->items || end > UINT32_MAX / 2) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the errors of %zu picks", count);
    }
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->compared == AP_COMPARED) {
            out->items[out->count++] = (ap_pooled_pick){
                .e = fact->log_error - (double)fact->replanned_log,
                .fact = (uint32_t)i,
                .tree = fact->group[AP_BY_TREE],
                .species = fact->group[AP_BY_SPECIES],
                .cut = fact->group[AP_BY_CUT],
                .estimator = fact->group[AP_BY_ESTIMATOR],
                .instrument = fact->group[AP_BY_CRANE] * WEIGHED_KINDS + fact->weighed_by,
                .above_ceiling = (fact->wood & AP_FACT_ABOVE_CEILING) != 0,
            };
        }
    }
    return AP_OK;
}

void ap_pooled_picks_release(ap_pooled_picks *picks) {
    free(picks->items);
    *picks = (ap_pooled_picks){0};
}

void pooled_key(uint32_t key[AP_WEIGHTS_BY_MAX], const ap_pooled_pick *pick, const ap_by *by, size_t by_count) {
    memset(key, 0, AP_WEIGHTS_BY_MAX * sizeof *key);
    for (size_t k = 0; k < by_count; k++) {
        key[k] = by[k] == AP_BY_SPECIES ? pick->species : by[k] == AP_BY_CUT ? pick->cut : pick->estimator;
    }
}

void pooled_order_release(pooled_order *order) {
    free(order->cell);
    free(order->order);
    free(order->start);
    *order = (pooled_order){0};
}

/* A counting sort that keeps the order it found: to[] gets from[] (NULL: 0, 1, 2 ...) by number. */
static bool sort_by(uint32_t *to, const uint32_t *from, size_t count, const uint32_t *number, size_t numbers) {
    size_t *start = calloc(numbers + 2, sizeof *start);
    if (!start) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        start[number[i] + 1]++;
    }
    for (size_t n = 1; n <= numbers; n++) {
        start[n] += start[n - 1];
    }
    for (size_t i = 0; i < count; i++) {
        uint32_t pick = from ? from[i] : (uint32_t)i;
        to[start[number[pick]]++] = pick;
    }
    free(start);
    return true;
}

/* order[] holds the trees' numbers meanwhile. */
static bool number_cells(pooled_order *out, ap_key_map *map, const ap_pooled_picks *picks, const ap_by *by,
                         size_t by_count, uint32_t *most_tree) {
    for (size_t i = 0; i < picks->count; i++) {
        uint32_t key[AP_WEIGHTS_BY_MAX];
        pooled_key(key, &picks->items[i], by, by_count);
        if (!ap_key_map_add(map, key, &out->cell[i])) {
            return false;
        }
        out->order[i] = picks->items[i].tree;
        *most_tree = out->order[i] > *most_tree ? out->order[i] : *most_tree;
    }
    out->cells = map->count;
    return true;
}

ap_status pooled_order_make(pooled_order *out, ap_key_map *map, const ap_pooled_picks *picks, const ap_by *by,
                            size_t by_count, ap_error *err) {
    *out = (pooled_order){0};
    size_t count = picks->count;
    uint32_t most_tree = 0;
    out->cell = calloc(count + 1, sizeof *out->cell);
    out->order = calloc(count + 1, sizeof *out->order);
    uint32_t *by_tree = calloc(count + 1, sizeof *by_tree);
    bool done = out->cell && out->order && by_tree && number_cells(out, map, picks, by, by_count, &most_tree);
    out->start = done ? calloc(out->cells + 2, sizeof *out->start) : NULL;
    done = done && out->start && sort_by(by_tree, NULL, count, out->order, (size_t)most_tree + 1) &&
           sort_by(out->order, by_tree, count, out->cell, out->cells);
    for (size_t i = 0; done && i < count; i++) {
        out->start[out->cell[i] + 1]++;
    }
    for (size_t c = 1; done && c <= out->cells; c++) {
        out->start[c] += out->start[c - 1];
    }
    free(by_tree);
    return done ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the cells of %zu picks", count);
}
