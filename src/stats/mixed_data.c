#include "base/grow.h"
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
        for (size_t k = 0; k < AP_MIXED_FACTORS_MAX; k++) {
            free(data->dense[k]);
        }
        free(data->pick);
        free(data->kind);
        free(data->bucket);
        free(data);
    }
}

static size_t hash_kind(const ap_mixed_kind *kind, size_t factors) {
    uint64_t hash = UINT64_C(0x9e3779b97f4a7c15);
    for (size_t k = 0; k < factors; k++) {
        hash = (hash ^ kind->level[k]) * UINT64_C(0xbf58476d1ce4e5b9);
        hash ^= hash >> 29;
    }
    return (size_t)(hash ^ (hash >> 32));
}

static bool grow_buckets(ap_mixed_data *data) {
    size_t count = data->buckets ? data->buckets * 2 : FIRST_BUCKETS;
    uint32_t *bucket = calloc(count, sizeof *bucket);
    if (!bucket) {
        return false;
    }
    for (size_t i = 0; i < data->kinds; i++) {
        size_t at = hash_kind(&data->kind[i], data->factors) & (count - 1);
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

static bool grow_kinds(ap_mixed_data *data) {
    size_t room = data->kind_room ? data->kind_room * 2 : FIRST_ROOM;
    ap_mixed_kind *kind = room <= UINT32_MAX / 2 ? realloc(data->kind, room * sizeof *kind) : NULL;
    if (!kind) {
        return false;
    }
    data->kind = kind;
    data->kind_room = room;
    return true;
}

/* The number of this kind, a new one when it was not met; false when memory is out. */
static bool find_kind(uint32_t *number, ap_mixed_data *data, const ap_mixed_kind *kind) {
    if ((data->kinds * 2 >= data->buckets && !grow_buckets(data)) ||
        (data->kinds == data->kind_room && !grow_kinds(data))) {
        return false;
    }
    size_t at = hash_kind(kind, data->factors) & (data->buckets - 1);
    while (data->bucket[at] && memcmp(&data->kind[data->bucket[at] - 1], kind, sizeof *kind) != 0) {
        at = (at + 1) & (data->buckets - 1);
    }
    if (!data->bucket[at]) {
        data->kind[data->kinds] = *kind;
        data->bucket[at] = (uint32_t)(++data->kinds);
    }
    *number = data->bucket[at] - 1;
    return true;
}

/* The level's number without gaps; false when memory is out. */
static bool number_level(uint32_t *dense, ap_mixed_data *data, size_t factor, uint32_t level) {
    *dense = 0;
    if (level == 0) {
        return true;
    }
    if (level >= data->dense_room[factor]) {
        uint32_t *grown = ap_grown_to(data->dense[factor], &data->dense_room[factor], level, sizeof *grown);
        if (!grown) {
            return false;
        }
        data->dense[factor] = grown;
    }
    if (data->dense[factor][level] == 0) {
        data->dense[factor][level] = ++data->levels[factor];
    }
    *dense = data->dense[factor][level];
    return true;
}

static bool add_pick(ap_mixed_data *data, uint32_t tree, const ap_mixed_kind *kind, double e) {
    if (data->picks == data->pick_room) {
        size_t room = data->pick_room ? data->pick_room * 2 : FIRST_ROOM;
        mixed_pick *pick = room <= UINT32_MAX / 2 ? realloc(data->pick, room * sizeof *pick) : NULL;
        if (!pick) {
            return false;
        }
        data->pick = pick;
        data->pick_room = room;
    }
    mixed_pick *to = &data->pick[data->picks];
    *to = (mixed_pick){.tree = tree, .e = e};
    if (!find_kind(&to->kind, data, kind)) {
        return false;
    }
    data->picks++;
    return true;
}

ap_status ap_mixed_add(ap_mixed_data *data, uint32_t tree, const uint32_t *level, double e, ap_error *err) {
    ap_mixed_kind kind = {{0}};
    if (!isfinite(e)) {
        return ap_error_set(err, AP_E_DOMAIN, "a mixed model cannot take in an error that is not a finite number");
    }
    for (size_t k = 0; k < data->factors; k++) {
        if (level[k] > AP_MIXED_LEVEL_ID_MAX) {
            return ap_error_set(err, AP_E_LIMIT, "a mixed model numbers its levels up to %d, not %u",
                                AP_MIXED_LEVEL_ID_MAX, level[k]);
        }
    }
    if (tree > UINT32_MAX / 2) {
        return ap_error_set(err, AP_E_LIMIT, "a mixed model numbers its trees up to %u, not %u", UINT32_MAX / 2, tree);
    }
    bool numbered = true;
    for (size_t k = 0; numbered && k < data->factors; k++) {
        numbered = number_level(&kind.level[k], data, k, level[k]);
    }
    if (!numbered || !add_pick(data, tree != 0 ? tree : UINT32_MAX - data->alone, &kind, e)) {
        return ap_sample_no_memory("the picks of a mixed model", err);
    }
    data->alone += tree == 0;
    return AP_OK;
}

static int by_tree(const void *left, const void *right) {
    const mixed_pick *a = left;
    const mixed_pick *b = right;
    if (a->tree != b->tree) {
        return a->tree < b->tree ? -1 : 1;
    }
    if (a->kind != b->kind) {
        return a->kind < b->kind ? -1 : 1;
    }
    return (a->e > b->e) - (a->e < b->e);
}

static double mean_of(const ap_mixed_data *data) {
    double mean = 0;
    for (size_t i = 0; i < data->picks; i++) {
        mean += (data->pick[i].e - mean) / (double)(i + 1);
    }
    return mean;
}

static ap_status add_trees(ap_mixed_sums *sums, const ap_mixed_data *data, double center, ap_error *err) {
    uint32_t *kind = calloc(data->picks + 1, sizeof *kind);
    double *e = ap_sample_array(data->picks);
    if (!kind || !e) {
        free(kind);
        free(e);
        return ap_sample_no_memory("a mixed model", err);
    }
    ap_status status = AP_OK;
    for (size_t i = 0; status == AP_OK && i < data->picks;) {
        size_t count = 0;
        uint32_t tree = data->pick[i].tree;
        for (; i < data->picks && data->pick[i].tree == tree; i++) {
            kind[count] = data->pick[i].kind;
            e[count++] = data->pick[i].e - center;
        }
        status = ap_mixed_sums_add(sums, kind, e, count, 1, err);
    }
    free(kind);
    free(e);
    return status;
}

ap_status mixed_data_sums(ap_mixed_sums **out, double *center, ap_mixed_data *data, size_t dense_bytes, ap_error *err) {
    bool sorted = true;
    for (size_t i = 1; sorted && i < data->picks; i++) {
        sorted = data->pick[i].tree >= data->pick[i - 1].tree;
    }
    if (!sorted) {
        qsort(data->pick, data->picks, sizeof *data->pick, by_tree);
    }
    *center = mean_of(data);
    ap_status status = ap_mixed_sums_new(out, data->factors, data->kind, data->kinds, err);
    if (status == AP_OK) {
        (*out)->dense_bytes = dense_bytes < (*out)->dense_bytes ? dense_bytes : (*out)->dense_bytes;
        status = add_trees(*out, data, *center, err);
    }
    return status;
}
