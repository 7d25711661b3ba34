/* A grouping's picks put in order of their trees, each with the number of its kind. */
#include "analysis/pooled_private.h"

#include "base/grow.h"
#include "base/wide.h"

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
    free(plan->start);
    free(plan->job_of_tree);
    free(plan->usual);
    free(plan->unusual);
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

/* The level of a label, without gaps in order of first appearance. */
static uint32_t level_of(pooled_plan *plan, ap_pooled_term term, uint32_t label) {
    uint32_t *number = plan->number[term];
    if (label && !number[label]) {
        number[label] = ++plan->levels[term];
    }
    return number[label];
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
        if (plan->used[term] && term != AP_TERM_SPECIES_CUT) {
            kind->term[term] = level_of(plan, (ap_pooled_term)term, label_of(pick, (ap_pooled_term)term));
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

/* What tells kinds apart: the labels that the grouping uses. */
static void kind_key(uint32_t key[AP_WEIGHTS_BY_MAX], const pooled_plan *plan, const ap_pooled_pick *pick) {
    key[0] = plan->used[AP_TERM_SPECIES] ? pick->species : 0;
    key[1] = plan->used[AP_TERM_CUT] ? pick->cut : 0;
    key[2] = pick->estimator;
    key[3] = pick->instrument;
}

static uint32_t larger(uint32_t a, uint32_t b) {
    return a > b ? a : b;
}

/* Room for the labels there are, and the mean of the errors. */
static bool look_at_labels(pooled_plan *plan, ap_key_map *kinds, uint32_t *trees) {
    const ap_pooled_picks *picks = plan->picks;
    uint32_t species = 0;
    uint32_t cut = 0;
    uint32_t estimator = 0;
    uint32_t instrument = 0;
    double sum = 0;
    for (size_t i = 0; i < picks->count; i++) {
        const ap_pooled_pick *pick = &picks->items[i];
        *trees = larger(*trees, pick->tree);
        species = larger(species, pick->species);
        cut = larger(cut, pick->cut);
        estimator = larger(estimator, pick->estimator);
        instrument = larger(instrument, pick->instrument);
        sum += pick->e;
    }
    plan->shift = picks->count ? sum / (double)picks->count : 0;
    const uint32_t most[AP_TERM_COUNT] = {[AP_TERM_SPECIES] = species,
                                          [AP_TERM_CUT] = cut,
                                          [AP_TERM_ESTIMATOR] = estimator,
                                          [AP_TERM_INSTRUMENT] = instrument};
    bool done = true;
    for (int term = 0; done && term < AP_TERM_COUNT; term++) {
        plan->number[term] = calloc((size_t)most[term] + 1, sizeof *plan->number[term]);
        done = plan->number[term] != NULL;
    }
    const ap_pooled_pick largest = {
        .species = (uint16_t)species, .cut = (uint8_t)cut, .estimator = estimator, .instrument = instrument};
    uint32_t key[AP_WEIGHTS_BY_MAX];
    kind_key(key, plan, &largest);
    return done && ap_key_map_start(kinds, key, picks->count);
}

/* *number of a pick's kind, a new one when it was not met. False when memory is out. */
static bool find_kind(uint32_t *number, pooled_plan *plan, ap_key_map *kinds, const ap_pooled_pick *pick,
                      size_t *room) {
    uint32_t key[AP_WEIGHTS_BY_MAX];
    kind_key(key, plan, pick);
    if (!ap_key_map_add(kinds, key, number)) {
        return false;
    }
    if (*number < plan->kinds) {
        return true;
    }
    if (plan->kinds == *room) {
        pooled_kind *grown = ap_grown(plan->kind, room, 256, sizeof *grown);
        if (!grown) {
            return false;
        }
        plan->kind = grown;
    }
    cell_key(key, pick, plan->by, plan->by_count);
    return set_kind(plan, &plan->kind[plan->kinds++], pick, key);
}

/* What is known of the picks, in their order, before they are sorted. */
typedef struct numbered {
    uint32_t *tree_of_label; /* + 1 */
    uint32_t *kind;          /* by pick */
} numbered;

/* Kinds and trees, numbered in order of first appearance; start[t + 2] counts the picks of tree t. */
static bool number_all(pooled_plan *plan, ap_key_map *kinds, numbered *by) {
    size_t room = 0;
    for (size_t i = 0; i < plan->picks->count; i++) {
        const ap_pooled_pick *pick = &plan->picks->items[i];
        if (!find_kind(&by->kind[i], plan, kinds, pick, &room)) {
            return false;
        }
        if (pick->tree == 0 || by->tree_of_label[pick->tree] == 0) {
            plan->job_of_tree[plan->trees++] = pick->job ? pick->job : POOLED_JOBS_MIXED;
            by->tree_of_label[pick->tree] = (uint32_t)plan->trees;
        }
        uint32_t tree = (pick->tree ? by->tree_of_label[pick->tree] : (uint32_t)plan->trees) - 1;
        plan->start[tree + 2]++;
        if (plan->job_of_tree[tree] != pick->job) {
            plan->job_of_tree[tree] = POOLED_JOBS_MIXED;
        }
    }
    return true;
}

/* The picks in the order of the trees: they are met in the order that numbered them. */
static void sort_by_tree(pooled_plan *plan, const numbered *by) {
    size_t met = 0;
    uint32_t *next = plan->start + 1;
    for (size_t t = 1; t <= plan->trees; t++) {
        next[t] += next[t - 1];
    }
    for (size_t i = 0; i < plan->picks->count; i++) {
        const ap_pooled_pick *pick = &plan->picks->items[i];
        uint32_t tree = pick->tree ? by->tree_of_label[pick->tree] - 1 : (uint32_t)met;
        met += tree == met;
        uint32_t at = next[tree]++;
        plan->pick[at] = (uint32_t)i;
        plan->kind_of[at] = by->kind[i];
        plan->e[at] = pick->e - plan->shift;
    }
}

/* Within three standard deviations of their cell's mean nearly all picks lie, and at most one in nine does not (Chebyshev). */
static bool list_unusual(pooled_plan *plan) {
    size_t cells = plan->cells[0].count;
    double *sum = calloc(3 * cells + 1, sizeof *sum);
    plan->usual = calloc(cells + 1, sizeof *plan->usual);
    if (!sum || !plan->usual) {
        free(sum);
        return false;
    }
    for (size_t at = 0; at < plan->picks->count; at++) {
        double *of = sum + 3 * (size_t)plan->kind[plan->kind_of[at]].cell[0];
        of[0] += 1;
        of[1] += plan->e[at];
        of[2] += plan->e[at] * plan->e[at];
    }
    for (size_t c = 0; c < cells; c++) {
        double mean = sum[3 * c + 1] / sum[3 * c];
        plan->usual[c] = (pooled_range){mean, 3 * sqrt(fmax(0, sum[3 * c + 2] / sum[3 * c] - mean * mean))};
    }
    free(sum);
    size_t room = 0;
    for (size_t at = 0; at < plan->picks->count; at++) {
        const pooled_range *in = &plan->usual[plan->kind[plan->kind_of[at]].cell[0]];
        if (fabs(plan->e[at] - in->middle) < in->reach && !plan->picks->items[plan->pick[at]].above_ceiling) {
            continue;
        }
        if (plan->unusual_count == room) {
            uint32_t *grown = ap_grown(plan->unusual, &room, 256, sizeof *grown);
            if (!grown) {
                return false;
            }
            plan->unusual = grown;
        }
        plan->unusual[plan->unusual_count++] = (uint32_t)at;
    }
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
    ap_key_map kinds = {0};
    uint32_t trees = 0;
    bool done = look_at_labels(out, &kinds, &trees);
    numbered by_pick = {calloc((size_t)trees + 1, sizeof(uint32_t)), ap_wide_array(picks->count + 1, sizeof(uint32_t))};
    out->pick = ap_wide_array(picks->count + 1, sizeof *out->pick);
    out->kind_of = ap_wide_array(picks->count + 1, sizeof *out->kind_of);
    out->e = ap_wide_array(picks->count + 1, sizeof *out->e);
    out->start = ap_wide_array(picks->count + 2, sizeof *out->start);
    out->job_of_tree = ap_wide_array(picks->count + 1, sizeof *out->job_of_tree);
    done = done && by_pick.tree_of_label && by_pick.kind && out->pick && out->kind_of && out->e && out->start &&
           out->job_of_tree && number_all(out, &kinds, &by_pick);
    if (done) {
        sort_by_tree(out, &by_pick);
        done = list_unusual(out);
    }
    free(by_pick.tree_of_label);
    free(by_pick.kind);
    ap_key_map_release(&kinds);
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
