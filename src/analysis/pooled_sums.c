/* Sums over whole trees: added, taken off and added again with fewer picks. */
#include "analysis/pooled_private.h"

enum { FIRST_ROOM = 256 };

void pooled_sums_release(pooled_sums *sums) {
    ap_mixed_sums_free(sums->model);
    for (size_t l = 0; l < AP_POOLED_LEVELS_MAX; l++) {
        free(sums->level[l].entry);
        free(sums->level[l].slot);
        free(sums->level[l].in_cell);
    }
    free(sums->kind);
    free(sums->e);
    *sums = (pooled_sums){0};
}

/* NULL model when the terms have too many levels together. */
static ap_status make_model(pooled_sums *sums, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    ap_mixed_kind *kind = calloc(plan->kinds + 1, sizeof *kind);
    if (!kind) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the model of the error");
    }
    size_t factors = 0;
    for (int term = 0; term < AP_TERM_COUNT; term++) {
        for (size_t i = 0; plan->used[term] && i < plan->kinds; i++) {
            kind[i].level[factors] = plan->kind[i].term[term];
        }
        factors += plan->used[term];
    }
    ap_error why;
    ap_status status = ap_mixed_sums_new(&sums->model, factors, kind, plan->kinds, &why);
    free(kind);
    return status == AP_OK || status == AP_E_LIMIT ? AP_OK : ap_error_set(err, status, "%s", why.text);
}

ap_status pooled_sums_make(pooled_sums *out, const pooled_plan *plan, ap_error *err) {
    *out = (pooled_sums){.plan = plan};
    size_t largest = 1;
    for (size_t t = 0; t < plan->trees; t++) {
        size_t n = plan->start[t + 1] - plan->start[t];
        largest = n > largest ? n : largest;
    }
    out->kind = calloc(largest, sizeof *out->kind);
    out->e = calloc(largest, sizeof *out->e);
    bool done = out->kind && out->e;
    for (size_t l = 0; l <= plan->by_count; l++) {
        out->level[l].in_cell = calloc(plan->cells[l].count + 1, sizeof *out->level[l].in_cell);
        done = done && out->level[l].in_cell;
    }
    return done ? make_model(out, err) : ap_error_set(err, AP_E_MEMORY, "out of memory for the model of the error");
}

static size_t slot_of(const pooled_table *table, uint32_t kind, uint32_t n) {
    size_t at = (size_t)(((uint64_t)kind << 20 ^ n) * UINT64_C(0x9e3779b97f4a7c15) >> 20) & (table->slots - 1);
    while (table->slot[at]) {
        const pooled_entry *entry = &table->entry[table->slot[at] - 1];
        if (entry->kind == kind && entry->n == n) {
            break;
        }
        at = (at + 1) & (table->slots - 1);
    }
    return at;
}

static bool grow(pooled_table *table) {
    size_t room = table->room ? table->room * 2 : FIRST_ROOM;
    pooled_entry *entry = realloc(table->entry, room * sizeof *entry);
    table->entry = entry ? entry : table->entry;
    uint32_t *slot = calloc(room * 4, sizeof *slot);
    if (!entry || !slot) {
        free(slot);
        return false;
    }
    free(table->slot);
    table->slot = slot;
    table->slots = room * 4;
    table->room = room;
    for (size_t i = 0; i < table->count; i++) {
        table->slot[slot_of(table, entry[i].kind, entry[i].n)] = (uint32_t)(i + 1);
    }
    return true;
}

static bool add_entry(pooled_table *table, uint32_t kind, uint32_t n, double e, int sign) {
    if (table->count == table->room && !grow(table)) {
        return false;
    }
    size_t at = slot_of(table, kind, n);
    if (!table->slot[at]) {
        table->entry[table->count] = (pooled_entry){.kind = kind, .n = n};
        table->slot[at] = (uint32_t)(++table->count);
    }
    pooled_entry *entry = &table->entry[table->slot[at] - 1];
    entry->count += sign;
    entry->e += sign * e;
    entry->square += sign * (e * e);
    return true;
}

static ap_status add_tree(pooled_sums *sums, const uint32_t *kind, const double *e, size_t count, int sign,
                          ap_error *err) {
    const pooled_plan *plan = sums->plan;
    bool done = true;
    for (size_t l = 0; l <= plan->by_count; l++) {
        pooled_table *table = &sums->level[l];
        for (size_t i = 0; i < count; i++) {
            table->in_cell[plan->kind[kind[i]].cell[l]]++;
        }
        for (size_t i = 0; done && i < count; i++) {
            done = add_entry(table, kind[i], table->in_cell[plan->kind[kind[i]].cell[l]], e[i], sign);
        }
        for (size_t i = 0; i < count; i++) {
            table->in_cell[plan->kind[kind[i]].cell[l]] = 0;
        }
    }
    if (!done) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the cells of the grouping");
    }
    return sums->model ? ap_mixed_sums_add(sums->model, kind, e, count, sign, err) : AP_OK;
}

/* The tree's picks among the first `count` that are neither skipped nor marked. */
static ap_status add_some(pooled_sums *sums, size_t tree, size_t count, const bool *mark, int sign, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    size_t n = 0;
    for (size_t at = plan->start[tree]; at < plan->start[tree + 1] && plan->pick[at] < count; at++) {
        if ((!sums->skip || !sums->skip[at]) && (!mark || !mark[at])) {
            sums->kind[n] = plan->kind_of[at];
            sums->e[n++] = plan->e[at];
        }
    }
    return n ? add_tree(sums, sums->kind, sums->e, n, sign, err) : AP_OK;
}

ap_status pooled_sums_extend(pooled_sums *sums, size_t count, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    ap_status status = AP_OK;
    for (size_t i = sums->count; status == AP_OK && i < count; i++) {
        size_t tree = plan->tree_of[i];
        size_t first = plan->start[tree];
        size_t at = plan->place_of[i];
        bool new_to_it =
            at == first || plan->pick[at - 1] < sums->count; /* the first of its new picks brings them all */
        if (new_to_it && at > first) {
            status = add_some(sums, tree, sums->count, NULL, -1, err);
        }
        if (status == AP_OK && new_to_it) {
            status = add_some(sums, tree, count, NULL, 1, err);
        }
    }
    sums->count = count;
    return status;
}

ap_status pooled_sums_add_but(pooled_sums *sums, const bool *skip, ap_error *err) {
    ap_status status = AP_OK;
    sums->count = sums->plan->picks->count;
    sums->skip = skip;
    for (size_t t = 0; status == AP_OK && t < sums->plan->trees; t++) {
        status = add_some(sums, t, sums->count, NULL, 1, err);
    }
    return status;
}

ap_status pooled_sums_unmark(pooled_sums *sums, size_t tree, const bool *mark, bool back, ap_error *err) {
    ap_status status = add_some(sums, tree, sums->count, back ? mark : NULL, -1, err);
    return status == AP_OK ? add_some(sums, tree, sums->count, back ? NULL : mark, 1, err) : status;
}
