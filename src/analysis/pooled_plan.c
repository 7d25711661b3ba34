/* A grouping's picks put in order of their trees, each with the number of its kind. */
#include "analysis/pooled_private.h"

static bool names(const ap_by *by, size_t by_count, ap_by what) {
    for (size_t k = 0; k < by_count; k++) {
        if (by[k] == what) {
            return true;
        }
    }
    return false;
}

void pooled_choose_terms(bool used[AP_TERM_COUNT], const ap_by *by, size_t by_count) {
    used[AP_TERM_SPECIES] = names(by, by_count, AP_BY_SPECIES);
    used[AP_TERM_CUT] = names(by, by_count, AP_BY_CUT);
    used[AP_TERM_SPECIES_CUT] = used[AP_TERM_SPECIES] && used[AP_TERM_CUT];
    used[AP_TERM_ESTIMATOR] = true;
    used[AP_TERM_INSTRUMENT] = true;
}

void pooled_plan_release(pooled_plan *plan) {
    for (int term = 0; term < AP_TERM_COUNT; term++) {
        free(plan->number[term]);
    }
    for (size_t l = 0; l < AP_POOLED_LEVELS_MAX; l++) {
        ap_key_map_release(&plan->cells[l]);
    }
    ap_key_map_release(&plan->both);
    free(plan->kind);
    free(plan->pick);
    free(plan->kind_of);
    free(plan->e);
    free(plan->above_ceiling);
    free(plan->start);
    free(plan->tree_of);
    free(plan->place_of);
    *plan = (pooled_plan){0};
}

static uint32_t label_of(const ap_pooled_pick *pick, ap_pooled_term term) {
    switch (term) {
    case AP_TERM_SPECIES:
        return pick->species;
    case AP_TERM_CUT:
        return pick->cut;
    case AP_TERM_ESTIMATOR:
        return pick->estimator;
    case AP_TERM_INSTRUMENT:
        return pick->instrument;
    default:
        return 0;
    }
}

/* Levels without gaps, in order of first appearance. */
static bool number_labels(pooled_plan *plan, ap_pooled_term term) {
    uint32_t most = 0;
    const ap_pooled_picks *picks = plan->picks;
    for (size_t i = 0; i < picks->count; i++) {
        uint32_t label = label_of(&picks->items[i], term);
        most = label > most ? label : most;
    }
    plan->number[term] = calloc((size_t)most + 1, sizeof *plan->number[term]);
    for (size_t i = 0; plan->number[term] && i < picks->count; i++) {
        uint32_t label = label_of(&picks->items[i], term);
        if (label && !plan->number[term][label]) {
            plan->number[term][label] = ++plan->levels[term];
        }
    }
    return plan->number[term] != NULL;
}

static void cell_key(uint32_t key[AP_WEIGHTS_BY_MAX], const ap_pooled_pick *pick, const ap_by *by, size_t by_count) {
    memset(key, 0, AP_WEIGHTS_BY_MAX * sizeof *key);
    for (size_t k = 0; k < by_count; k++) {
        key[k] = by[k] == AP_BY_SPECIES ? pick->species : by[k] == AP_BY_CUT ? pick->cut : pick->estimator;
    }
}

/* What is new about a kind met for the first time. */
static bool set_kind(pooled_plan *plan, pooled_kind *kind, const ap_pooled_pick *pick, const uint32_t *key) {
    *kind = (pooled_kind){{0}, {0}};
    for (size_t l = 0; l <= plan->by_count; l++) {
        uint32_t cut_off[AP_WEIGHTS_BY_MAX] = {0};
        memcpy(cut_off, key, (plan->by_count - l) * sizeof *key);
        if (!ap_key_map_add(&plan->cells[l], cut_off, &kind->cell[l])) {
            return false;
        }
    }
    for (int term = 0; term < AP_TERM_COUNT; term++) {
        if (plan->used[term] && plan->number[term]) {
            kind->term[term] = plan->number[term][label_of(pick, (ap_pooled_term)term)];
        }
    }
    uint32_t both = 0;
    const uint32_t pair[AP_WEIGHTS_BY_MAX] = {pick->species, pick->cut};
    if (plan->used[AP_TERM_SPECIES_CUT] && pick->species && pick->cut) {
        if (!ap_key_map_add(&plan->both, pair, &both)) {
            return false;
        }
        kind->term[AP_TERM_SPECIES_CUT] = both + 1;
        plan->levels[AP_TERM_SPECIES_CUT] = (uint32_t)plan->both.count;
    }
    return true;
}

/* Kinds by pick, into tree_of[], which is free meanwhile. */
static bool number_kinds(pooled_plan *plan) {
    ap_key_map kinds = {0};
    size_t room = 0;
    bool done = true;
    for (size_t i = 0; done && i < plan->picks->count; i++) {
        const ap_pooled_pick *pick = &plan->picks->items[i];
        uint32_t key[AP_WEIGHTS_BY_MAX];
        uint32_t cell = 0;
        cell_key(key, pick, plan->by, plan->by_count);
        done = ap_key_map_add(&plan->cells[0], key, &cell);
        const uint32_t of_kind[AP_WEIGHTS_BY_MAX] = {cell, pick->estimator, pick->instrument};
        done = done && ap_key_map_add(&kinds, of_kind, &plan->tree_of[i]);
        if (done && plan->tree_of[i] == plan->kinds) {
            if (plan->kinds == room) {
                room = room ? room * 2 : 256;
                pooled_kind *grown = realloc(plan->kind, room * sizeof *grown);
                done = grown != NULL;
                plan->kind = grown ? grown : plan->kind;
            }
            done = done && set_kind(plan, &plan->kind[plan->kinds++], pick, key);
        }
    }
    ap_key_map_release(&kinds);
    return done;
}

/* A counting sort by tree that keeps the order of the picks. */
static bool sort_by_tree(pooled_plan *plan) {
    const ap_pooled_picks *picks = plan->picks;
    uint32_t most = 0;
    for (size_t i = 0; i < picks->count; i++) {
        most = picks->items[i].tree > most ? picks->items[i].tree : most;
    }
    uint32_t *next = calloc((size_t)most + 2, sizeof *next);
    if (!next) {
        return false;
    }
    for (size_t i = 0; i < picks->count; i++) {
        next[picks->items[i].tree + 1]++;
    }
    for (size_t t = 1; t <= most; t++) {
        next[t] += next[t - 1];
    }
    for (size_t i = 0; i < picks->count; i++) {
        uint32_t at = next[picks->items[i].tree]++;
        plan->pick[at] = (uint32_t)i;
        plan->place_of[i] = at;
        plan->kind_of[at] = plan->tree_of[i];
        plan->e[at] = picks->items[i].e - plan->shift;
        plan->above_ceiling[at] = picks->items[i].above_ceiling;
    }
    free(next);
    for (size_t at = 0; at < picks->count; at++) {
        uint32_t tree = picks->items[plan->pick[at]].tree;
        if (at == 0 || tree == 0 || tree != picks->items[plan->pick[at - 1]].tree) {
            plan->start[plan->trees++] = (uint32_t)at;
        }
        plan->tree_of[plan->pick[at]] = (uint32_t)(plan->trees - 1);
    }
    plan->start[plan->trees] = (uint32_t)picks->count;
    return true;
}

ap_status pooled_plan_make(pooled_plan *out, const ap_pooled_picks *picks, const ap_by *by, size_t by_count,
                           ap_error *err) {
    *out = (pooled_plan){.picks = picks, .by_count = by_count};
    if (!ap_pooled_knows(by, by_count)) {
        return ap_error_set(err, AP_E_DOMAIN, "the model of the error knows species, cut and estimator only");
    }
    memcpy(out->by, by, by_count * sizeof *by);
    pooled_choose_terms(out->used, by, by_count);
    for (size_t i = 0; i < picks->count; i++) {
        out->shift += (picks->items[i].e - out->shift) / (double)(i + 1);
    }
    out->pick = calloc(picks->count + 1, sizeof *out->pick);
    out->kind_of = calloc(picks->count + 1, sizeof *out->kind_of);
    out->tree_of = calloc(picks->count + 1, sizeof *out->tree_of);
    out->place_of = calloc(picks->count + 1, sizeof *out->place_of);
    out->start = calloc(picks->count + 1, sizeof *out->start);
    out->e = calloc(picks->count + 1, sizeof *out->e);
    out->above_ceiling = calloc(picks->count + 1, sizeof *out->above_ceiling);
    bool done =
        out->above_ceiling && out->pick && out->kind_of && out->tree_of && out->place_of && out->start && out->e;
    for (int term = 0; done && term < AP_TERM_COUNT; term++) {
        done = term == AP_TERM_SPECIES_CUT || !out->used[term] || number_labels(out, (ap_pooled_term)term);
    }
    done = done && number_kinds(out) && sort_by_tree(out);
    return done ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the errors of %zu picks", picks->count);
}

void pooled_term_levels(uint32_t to[AP_TERM_COUNT], const pooled_plan *plan, const ap_by *by, size_t by_count,
                        const uint32_t *key) {
    uint32_t pair[AP_WEIGHTS_BY_MAX] = {0};
    memset(to, 0, AP_TERM_COUNT * sizeof *to);
    for (size_t k = 0; k < by_count; k++) {
        ap_pooled_term term = by[k] == AP_BY_SPECIES ? AP_TERM_SPECIES
                              : by[k] == AP_BY_CUT   ? AP_TERM_CUT
                                                     : AP_TERM_ESTIMATOR;
        to[term] = plan->number[term][key[k]];
        pair[0] = term == AP_TERM_SPECIES ? key[k] : pair[0];
        pair[1] = term == AP_TERM_CUT ? key[k] : pair[1];
    }
    uint32_t number = 0;
    if (pair[0] && pair[1] && ap_key_map_find(&plan->both, pair, &number)) {
        to[AP_TERM_SPECIES_CUT] = number + 1;
    }
}
