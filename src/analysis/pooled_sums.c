/* Sums over whole trees: added, taken off and added again with fewer picks. */
#include "analysis/pooled_private.h"

#include "base/grow.h"

enum { FIRST_ROOM = 256, MOST_NEAR = 1 << 20 };

void pooled_sums_release(pooled_sums *sums) {
    ap_mixed_sums_free(sums->model);
    for (size_t l = 0; l < AP_POOLED_LEVELS_MAX; l++) {
        free(sums->level[l].entry);
        free(sums->level[l].near);
        free(sums->level[l].slot);
        free(sums->level[l].in_cell);
    }
    free(sums->kind);
    free(sums->e);
    free(sums->open);
    free(sums->mark);
    free(sums->marked);
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
        if (plan->kinds * POOLED_NEAR <= MOST_NEAR) {
            out->level[l].near = calloc(plan->kinds * POOLED_NEAR + 1, sizeof *out->level[l].near);
            done = done && out->level[l].near;
        }
    }
    out->mark = calloc(plan->picks->count + 1, sizeof *out->mark);
    done = done && out->mark;
    return done ? make_model(out, err) : ap_error_set(err, AP_E_MEMORY, "out of memory for the model of the error");
}

static bool is_near(const pooled_table *table, uint32_t n) {
    return table->near && n < POOLED_NEAR;
}

static uint32_t *place_of(pooled_table *table, uint32_t kind, uint32_t n) {
    if (is_near(table, n)) {
        return &table->near[(size_t)kind * POOLED_NEAR + n];
    }
    size_t at = (size_t)(((uint64_t)kind << 20 ^ n) * UINT64_C(0x9e3779b97f4a7c15) >> 20) & (table->slots - 1);
    while (table->slot[at]) {
        const pooled_entry *entry = &table->entry[table->slot[at] - 1];
        if (entry->kind == kind && entry->n == n) {
            break;
        }
        at = (at + 1) & (table->slots - 1);
    }
    return &table->slot[at];
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
        if (!is_near(table, entry[i].n)) {
            *place_of(table, entry[i].kind, entry[i].n) = (uint32_t)(i + 1);
        }
    }
    return true;
}

/* The entry of a kind and n, a new one when there is none; NULL when memory is out. */
static pooled_entry *find_entry(pooled_table *table, uint32_t kind, uint32_t n) {
    if (table->count == table->room && !grow(table)) {
        return NULL;
    }
    uint32_t *at = place_of(table, kind, n);
    if (!*at) {
        table->entry[table->count] = (pooled_entry){.kind = kind, .n = n};
        *at = (uint32_t)(++table->count);
    }
    return &table->entry[*at - 1];
}

static bool add_entry(pooled_table *table, uint32_t kind, uint32_t n, double e, int sign) {
    pooled_entry *entry = find_entry(table, kind, n);
    if (entry) {
        entry->count += sign;
        entry->e += sign * e;
        entry->square += sign * (e * e);
    }
    return entry != NULL;
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

/* The tree's picks among the first `count` that are taken in and not marked. */
static ap_status add_some(pooled_sums *sums, size_t tree, size_t count, const bool *mark, int sign, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    pooled_share in = pooled_takes_tree(plan, tree, sums->jobs);
    size_t first = plan->start[tree];
    size_t end = plan->start[tree + 1];
    if (in == POOLED_NONE) {
        return AP_OK;
    }
    if (in == POOLED_ALL && !mark && plan->pick[end - 1] < count) {
        return add_tree(sums, plan->kind_of + first, plan->e + first, end - first, sign, err);
    }
    size_t n = 0;
    for (size_t at = first; at < end && plan->pick[at] < count; at++) {
        if ((in == POOLED_ALL || pooled_takes(plan, at, sums->jobs)) && (!mark || !mark[at])) {
            sums->kind[n] = plan->kind_of[at];
            sums->e[n++] = plan->e[at];
        }
    }
    return n ? add_tree(sums, sums->kind, sums->e, n, sign, err) : AP_OK;
}

static bool keep_open(pooled_sums *sums, size_t tree) {
    if (sums->open_count == sums->open_room) {
        uint32_t *grown = ap_grown(sums->open, &sums->open_room, FIRST_ROOM, sizeof *grown);
        if (!grown) {
            return false;
        }
        sums->open = grown;
    }
    sums->open[sums->open_count++] = (uint32_t)tree;
    return true;
}

ap_status pooled_sums_extend(pooled_sums *sums, size_t count, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    ap_status status = AP_OK;
    size_t was_open = sums->open_count;
    sums->open_count = 0;
    for (size_t i = 0; status == AP_OK && i < was_open; i++) { /* the list is read ahead of where it is written */
        size_t tree = sums->open[i];
        status = add_some(sums, tree, sums->count, NULL, -1, err);
        if (status == AP_OK) {
            status = add_some(sums, tree, count, NULL, 1, err);
        }
        if (plan->pick[plan->start[tree + 1] - 1] >= count) {
            sums->open[sums->open_count++] = (uint32_t)tree;
        }
    }
    for (; status == AP_OK && sums->met < plan->trees && plan->pick[plan->start[sums->met]] < count; sums->met++) {
        status = add_some(sums, sums->met, count, NULL, 1, err);
        if (plan->pick[plan->start[sums->met + 1] - 1] >= count && !keep_open(sums, sums->met)) {
            status = ap_error_set(err, AP_E_MEMORY, "out of memory for the model of the error");
        }
    }
    sums->count = count;
    return status;
}

static bool merge_tables(pooled_sums *sums, const pooled_sums *from) {
    for (size_t l = 0; l <= sums->plan->by_count; l++) {
        for (size_t i = 0; i < from->level[l].count; i++) {
            const pooled_entry *entry = &from->level[l].entry[i];
            pooled_entry *to = find_entry(&sums->level[l], entry->kind, entry->n);
            if (!to) {
                return false;
            }
            to->count += entry->count;
            to->e += entry->e;
            to->square += entry->square;
        }
    }
    return true;
}

ap_status pooled_sums_merge(pooled_sums *sums, const pooled_sums *from, ap_error *err) {
    if (!merge_tables(sums, from)) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the cells of the grouping");
    }
    return from->model ? ap_mixed_sums_merge(sums->model, from->model, err) : AP_OK;
}

ap_status pooled_sums_take_off(pooled_sums *sums, pooled_jobs off, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    const pooled_jobs rest = {off.divisor, off.remainder, true};
    ap_status status = AP_OK;
    for (size_t t = 0; status == AP_OK && t < plan->trees; t++) {
        pooled_share out = pooled_takes_tree(plan, t, off);
        if (out == POOLED_NONE) {
            continue;
        }
        sums->jobs = (pooled_jobs){0, 0, false};
        status = add_some(sums, t, sums->count, NULL, -1, err);
        sums->jobs = rest;
        if (status == AP_OK && out == POOLED_PART) {
            status = add_some(sums, t, sums->count, NULL, 1, err);
        }
    }
    sums->jobs = rest;
    return status;
}

ap_status pooled_sums_unmark(pooled_sums *sums, size_t tree, const bool *mark, bool back, ap_error *err) {
    ap_status status = add_some(sums, tree, sums->count, back ? mark : NULL, -1, err);
    return status == AP_OK ? add_some(sums, tree, sums->count, back ? NULL : mark, 1, err) : status;
}
