#include "stats/mixed_private.h"
#include "stats/sample.h"

enum { FIRST_ROOM = 64, FIRST_BUCKETS = 128 };

ap_mixed_data *ap_mixed_data_new(size_t factors) {
    if (factors > AP_MIXED_FACTORS_MAX) {
        return NULL;
    }
    ap_mixed_data *data = calloc(1, sizeof *data);
    if (data) {
        data->factors = factors;
    }
    return data;
}

void ap_mixed_data_free(ap_mixed_data *data) {
    if (data) {
        free(data->cell);
        free(data->bucket);
        free(data);
    }
}

static uint64_t hash_key(uint32_t tree, const uint32_t *level, size_t factors) {
    uint64_t hash = UINT64_C(0x9e3779b97f4a7c15) ^ tree;
    for (size_t k = 0; k <= factors; k++) {
        hash = (hash ^ (hash >> 29)) * UINT64_C(0xbf58476d1ce4e5b9);
        hash ^= k < factors ? level[k] : 0;
    }
    return hash ^ (hash >> 32);
}

static bool grow_buckets(ap_mixed_data *data) {
    size_t count = data->buckets ? data->buckets * 2 : FIRST_BUCKETS;
    uint32_t *bucket = calloc(count, sizeof *bucket);
    if (!bucket) {
        return false;
    }
    for (size_t i = 0; i < data->cells; i++) {
        size_t at = (size_t)hash_key(data->cell[i].tree, data->cell[i].level, data->factors) & (count - 1);
        while (bucket[at]) {
            at = (at + 1) & (count - 1);
        }
        bucket[at] = (uint32_t)(i + 1);
    }
    free(data->bucket);
    data->bucket = bucket;
    data->buckets = count;
    return true;
}

static bool grow_cells(ap_mixed_data *data) {
    size_t room = data->cell_room ? data->cell_room * 2 : FIRST_ROOM;
    mixed_cell *cell = room <= UINT32_MAX / 2 ? realloc(data->cell, room * sizeof *cell) : NULL;
    if (!cell) {
        return false;
    }
    data->cell = cell;
    data->cell_room = room;
    return true;
}

/* The cell of this key, made when there is none; NULL when memory is out. */
static mixed_cell *find_cell(ap_mixed_data *data, uint32_t tree, const uint32_t *level) {
    if (data->cells * 2 >= data->buckets && !grow_buckets(data)) {
        return NULL;
    }
    size_t at = (size_t)hash_key(tree, level, data->factors) & (data->buckets - 1);
    while (data->bucket[at]) {
        mixed_cell *cell = &data->cell[data->bucket[at] - 1];
        if (cell->tree == tree && memcmp(cell->level, level, data->factors * sizeof *level) == 0) {
            return cell;
        }
        at = (at + 1) & (data->buckets - 1);
    }
    if (data->cells == data->cell_room && !grow_cells(data)) {
        return NULL;
    }
    mixed_cell *cell = &data->cell[data->cells];
    *cell = (mixed_cell){.tree = tree};
    memcpy(cell->level, level, data->factors * sizeof *level);
    data->bucket[at] = (uint32_t)(++data->cells);
    return cell;
}

ap_status ap_mixed_add(ap_mixed_data *data, uint32_t tree, const uint32_t *level, double e, ap_error *err) {
    uint32_t key[AP_MIXED_FACTORS_MAX] = {0};
    if (!isfinite(e)) {
        return ap_error_set(err, AP_E_DOMAIN, "a mixed model cannot take in an error that is not a finite number");
    }
    for (size_t k = 0; k < data->factors; k++) {
        if (level[k] > AP_MIXED_LEVEL_ID_MAX) {
            return ap_error_set(err, AP_E_LIMIT, "a mixed model numbers its levels up to %d, not %u",
                                AP_MIXED_LEVEL_ID_MAX, level[k]);
        }
        key[k] = level[k];
    }
    if (tree > UINT32_MAX / 2) {
        return ap_error_set(err, AP_E_LIMIT, "a mixed model numbers its trees up to %u, not %u", UINT32_MAX / 2, tree);
    }
    uint32_t slot = tree != 0 ? tree : UINT32_MAX - data->alone;
    mixed_cell *cell = find_cell(data, slot, key);
    if (!cell) {
        return ap_sample_no_memory("the picks of a mixed model", err);
    }
    data->alone += tree == 0;
    data->shift = data->picks == 0 ? e : data->shift;
    data->picks++;
    double moved = e - data->shift;
    double apart = moved - cell->mean;
    cell->n += 1.0;
    cell->mean += apart / cell->n;
    cell->m2 += apart * (moved - cell->mean);
    return AP_OK;
}
