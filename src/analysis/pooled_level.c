/* One level: the model fitted, then each cell's pooled mean. */
#include <gsl/gsl_cdf.h>

#include "analysis/pooled_private.h"
#include "stats/summary.h"

enum { PICKS_LEAST = 3 };
/* A spread below this only shows how weights were rounded: no hook scale reads as evenly. A choice of ours, no source. A factor
 * of it would be the plan's own share, without any margin. */
#define SPREAD_LEAST 0.005

const char *ap_pooled_term_name(ap_pooled_term term) {
    static const char *const names[AP_TERM_COUNT] = {"species", "cut", "species x cut", "estimator", "crane and scale"};
    return names[term];
}

static bool names(const ap_pooled_level *level, ap_by by) {
    for (size_t k = 0; k < level->by_count; k++) {
        if (level->by[k] == by) {
            return true;
        }
    }
    return false;
}

/* The model of the level's own terms from the picks themselves: for groupings with more levels than one model takes. */
static ap_status fit_apart(ap_mixed *fit, const ap_pooled_level *level, const pooled_sums *sums, const bool *mark,
                           ap_error *err) {
    const pooled_plan *plan = sums->plan;
    size_t factors = 0;
    for (int term = 0; term < AP_TERM_COUNT; term++) {
        factors += level->used[term];
    }
    ap_mixed_data *data = ap_mixed_data_new(factors);
    ap_status status = data ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the model of the error");
    for (size_t at = 0; status == AP_OK && at < plan->picks->count; at++) {
        uint32_t levels[AP_MIXED_FACTORS_MAX] = {0};
        size_t count = 0;
        for (int term = 0; term < AP_TERM_COUNT; term++) {
            if (level->used[term]) {
                levels[count++] = plan->kind[plan->kind_of[at]].term[term];
            }
        }
        if (pooled_has(sums, at) && !(mark && mark[at])) {
            const ap_pooled_pick *pick = &plan->picks->items[plan->pick[at]];
            status = ap_mixed_add(data, pick->tree, levels, pick->e, err);
        }
    }
    if (status == AP_OK) {
        status = ap_mixed_fit(fit, data, err);
    }
    ap_mixed_data_free(data);
    return status;
}

static const char says_alike[] = "the weighed picks of a kind came to the same share of their plan, more evenly than a "
                                 "scale reads: look whether weights were copied from the plan";

/* What no model says anything about. The picks of one tree say nothing about the next tree: how trees differ has no answer, not
 * even a wide one. */
static ap_status enough_to_fit(const pooled_sums *sums, const bool *mark, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    const ap_pooled_pick *first = NULL;
    size_t count = 0;
    bool trees_differ = false;
    bool errors_differ = false;
    for (size_t at = 0; at < plan->picks->count && !(count >= PICKS_LEAST && trees_differ && errors_differ); at++) {
        if (pooled_has(sums, at) && !(mark && mark[at])) {
            const ap_pooled_pick *pick = &plan->picks->items[plan->pick[at]];
            first = first ? first : pick;
            trees_differ = trees_differ || pick->tree != first->tree;
            errors_differ = errors_differ || pick->e != first->e;
            count++;
        }
    }
    if (count > 0 && !trees_differ) {
        return ap_error_set(err, AP_E_DOMAIN, "all weighed picks are of one tree, which says nothing about the next");
    }
    if (count < PICKS_LEAST) {
        return ap_error_set(err, AP_E_DOMAIN, "that takes %d weighed picks, there are %zu", PICKS_LEAST, count);
    }
    return errors_differ ? AP_OK : ap_error_set(err, AP_E_DOMAIN, "%s", says_alike);
}

static ap_status fit_shared(ap_mixed *fit, const ap_pooled_level *level, const pooled_sums *sums, ap_error *err) {
    bool used[AP_MIXED_FACTORS_MAX] = {false};
    size_t count = 0;
    for (int term = 0; term < AP_TERM_COUNT; term++) {
        if (sums->plan->used[term]) {
            used[count++] = level->used[term];
        }
    }
    return ap_mixed_fit_sums(fit, sums->model, used, sums->plan->shift, err);
}

/* Too many kinds for the model: the terms that only stand beside the grouping go first. */
static ap_status fit_model(ap_mixed *fit, ap_pooled_level *level, const pooled_sums *sums, const bool *mark,
                           ap_error *err) {
    ap_status status = enough_to_fit(sums, mark, err);
    if (status != AP_OK) {
        return status;
    }
    if (sums->model) {
        return fit_shared(fit, level, sums, err);
    }
    status = fit_apart(fit, level, sums, mark, err);
    if (status == AP_E_LIMIT && !names(level, AP_BY_ESTIMATOR)) {
        level->used[AP_TERM_ESTIMATOR] = false;
        status = fit_apart(fit, level, sums, mark, err);
    }
    if (status == AP_E_LIMIT) {
        level->used[AP_TERM_INSTRUMENT] = false;
        status = fit_apart(fit, level, sums, mark, err);
    }
    return status;
}

static void keep_summary(ap_pooled_level *level, const ap_mixed *fit, int factor_of[AP_TERM_COUNT]) {
    int term_of[AP_MIXED_FACTORS_MAX] = {0};
    int count = 0;
    for (int term = 0; term < AP_TERM_COUNT; term++) {
        factor_of[term] = -1;
        if (level->used[term]) {
            term_of[count] = term;
            factor_of[term] = count++;
        }
    }
    for (int f = 0; f < count; f++) {
        level->variance[term_of[f]] = fit->factor[f].variance;
        level->levels[term_of[f]] = fit->factor[f].levels;
        level->same_as[term_of[f]] =
            fit->factor[f].same_as >= 0 ? term_of[fit->factor[f].same_as] : fit->factor[f].same_as;
    }
    level->fitted = true;
    level->converged = fit->converged;
    level->picks = fit->picks;
    level->trees = fit->trees;
    level->mean = fit->mean;
    level->mean_se = fit->mean_se;
    level->tree_variance = fit->tree_variance;
    level->rest_variance = fit->rest_variance;
    level->scale_df = fit->scale_df;
    level->tree_told_apart = fit->tree_told_apart;
}

/* The variance between the cells of the grouping. */
static double between(const ap_pooled_level *level) {
    double tau2 =
        level->variance[AP_TERM_SPECIES] + level->variance[AP_TERM_CUT] + level->variance[AP_TERM_SPECIES_CUT];
    return tau2 + (names(level, AP_BY_ESTIMATOR) ? level->variance[AP_TERM_ESTIMATOR] : 0);
}

/* Degrees of freedom behind that variance, Satterthwaite's; with all of it at 0, those of the largest term. */
static double between_df(const ap_pooled_level *level) {
    double total = between(level);
    double lost = 0;
    double most = 0;
    for (int term = 0; term < AP_TERM_ESTIMATOR + names(level, AP_BY_ESTIMATOR); term++) {
        double df = level->levels[term] > 1 ? (double)(level->levels[term] - 1) : 0;
        most = fmax(most, df);
        double share = total > 0 ? level->variance[term] / total : 0;
        lost += df > 0 ? share * share / df : 0;
    }
    return lost > 0 ? 1 / lost : most;
}

double pooled_mean_df(const ap_pooled_level *level, double variance, double rest_df, size_t below) {
    double left = 1;
    double lost = 0;
    for (int term = AP_TERM_ESTIMATOR; term < AP_TERM_COUNT; term++) {
        bool beside = term == AP_TERM_INSTRUMENT || !names(level, AP_BY_ESTIMATOR);
        if (beside && level->levels[term] > 1 && level->levels[term] < below && level->variance[term] > 0) {
            double share = fmin(left, level->variance[term] / (double)level->levels[term] / variance);
            lost += share * share / (double)(level->levels[term] - 1);
            left -= share;
        }
    }
    /* A handful of picks can bring the scale's degrees of freedom near 0, where t has no finite interval and nothing would be
     * shown at all: one is the fewest that a variance can stand on, and gives an interval that is very wide already. */
    return fmax(1, 1 / (lost + left * left / rest_df));
}

static ap_status pool_cell(ap_pooled_cell *cell, const pooled_view *view, ap_error *err) {
    const ap_pooled_level *level = view->level;
    const ap_mixed *fit = view->fit;
    uint32_t term[AP_TERM_COUNT];
    uint32_t levels[AP_MIXED_FACTORS_MAX] = {0};
    pooled_term_levels(term, view->plan, level->by, level->by_count, cell->key);
    for (int t = 0; t < AP_TERM_COUNT; t++) {
        if (view->factor_of[t] >= 0) {
            levels[view->factor_of[t]] = term[t];
        }
    }
    ap_mixed_predict(&cell->pooled_log, &cell->pooled_se, NULL, fit, levels);
    double own2 = cell->own_se * cell->own_se;
    double df = between_df(level);
    if (df > 0) { /* P6 */
        double pulled = cell->own_log - cell->pooled_log;
        cell->pooled_se = sqrt(cell->pooled_se * cell->pooled_se + 2 / fmax(1, df - 2) * pulled * pulled);
    }
    cell->shrink = level->by_count == 0 ? 1 : between(level) / (between(level) + own2);
    ap_interval interval;
    double mean_df = pooled_mean_df(level, cell->pooled_se * cell->pooled_se, fit->scale_df, SIZE_MAX);
    ap_status status =
        ap_stats_t_interval(&interval, cell->pooled_log, cell->pooled_se, mean_df, AP_WEIGHTS_CONFIDENCE, err);
    if (status == AP_OK) {
        cell->pooled_low = interval.low;
        cell->pooled_high = interval.high;
        cell->t_df = pooled_mean_df(level, own2, fit->scale_df, AP_POOLED_FEW_LEVELS); /* P7 */
        cell->p_value = gsl_cdf_tdist_Q(cell->t, cell->t_df);
    }
    return status;
}

/* The level's entries by cell: entry[start[c] .. start[c + 1]). */
static bool sort_entries(const pooled_entry ***entry, size_t **start, const pooled_sums *sums, size_t number) {
    const pooled_table *table = &sums->level[number];
    size_t cells = sums->plan->cells[number].count;
    *entry = calloc(table->count + 1, sizeof **entry);
    *start = calloc(cells + 2, sizeof **start);
    if (!*entry || !*start) {
        return false;
    }
    for (size_t i = 0; i < table->count; i++) {
        (*start)[sums->plan->kind[table->entry[i].kind].cell[number] + 2]++;
    }
    for (size_t c = 2; c < cells + 2; c++) {
        (*start)[c] += (*start)[c - 1];
    }
    for (size_t i = 0; i < table->count; i++) {
        (*entry)[(*start)[sums->plan->kind[table->entry[i].kind].cell[number] + 1]++] = &table->entry[i];
    }
    return true;
}

static double count_of(const pooled_entry *const *entry, size_t count) {
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        sum += entry[i]->count;
    }
    return sum;
}

static double trees_of(const pooled_entry *const *entry, size_t count) {
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        sum += entry[i]->count / entry[i]->n;
    }
    return sum;
}

static void clear_cell(ap_pooled_cell *cell, const uint32_t *key, size_t by_count) {
    *cell = (ap_pooled_cell){.named = true};
    memcpy(cell->key, key, sizeof cell->key);
    for (size_t k = 0; k < by_count; k++) {
        cell->named = cell->named && cell->key[k] != 0;
    }
    cell->own_log = cell->own_se = cell->pooled_log = cell->pooled_se = NAN;
    cell->pooled_low = cell->pooled_high = cell->shrink = cell->own_scale2 = NAN;
    cell->scale = cell->scale_df = cell->t = cell->t_df = cell->p_value = cell->q_value = NAN;
}

/* The cells that have picks, in order of first appearance. When the level is fitted without its suspects, its cells stay. */
static ap_status make_cells(ap_pooled_level *level, ap_arena *arena, const pooled_plan *plan, size_t number,
                            const pooled_entry *const *entry, const size_t *start, bool again, ap_error *err) {
    size_t cells = plan->cells[number].count;
    ap_pooled_cell *old = level->cells;
    bool done = true;
    level->cells = ap_arena_alloc_array(arena, cells + 1, sizeof *level->cells);
    if (again) {
        for (size_t c = 0; level->cells && c < level->cell_count; c++) {
            clear_cell(&level->cells[c], old[c].key, level->by_count);
        }
        return ap_arena_check(arena, "the cells of the grouping", err);
    }
    for (size_t c = 0; done && level->cells && c < cells; c++) {
        uint32_t at = 0;
        if (count_of(entry + start[c], start[c + 1] - start[c]) > 0) {
            done = ap_key_map_add(&level->map, plan->cells[number].keys[c], &at);
            clear_cell(&level->cells[level->cell_count++], plan->cells[number].keys[c], level->by_count);
        }
    }
    if (!done || !ap_key_map_settle(&level->map, arena)) {
        ap_key_map_release(&level->map);
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the cells of the grouping");
    }
    return ap_arena_check(arena, "the cells of the grouping", err);
}

static ap_status work_out_cells(ap_pooled_level *level, const pooled_view *view, size_t number,
                                const pooled_entry *const *entry, const size_t *start, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t c = 0; status == AP_OK && c < view->plan->cells[number].count; c++) {
        uint32_t at = 0;
        if (!ap_key_map_find(&level->map, view->plan->cells[number].keys[c], &at)) {
            continue;
        }
        ap_pooled_cell *cell = &level->cells[at];
        if (!view->fit) {
            cell->count = (size_t)llround(count_of(entry + start[c], start[c + 1] - start[c]));
            cell->trees = (size_t)llround(trees_of(entry + start[c], start[c + 1] - start[c]));
            continue;
        }
        status = pooled_cell_own(cell, view, entry + start[c], start[c + 1] - start[c], err);
        if (status == AP_OK && cell->count && cell->named) {
            status = pool_cell(cell, view, err);
            cell->has_own = status == AP_OK && pooled_cell_bound(&cell->own_bound, level, cell);
        }
    }
    return status;
}

ap_status pooled_level_fit(ap_pooled_level *out, ap_arena *arena, size_t number, const pooled_sums *sums,
                           const bool *mark, ap_error *err) {
    ap_mixed fit = {0};
    ap_error why;
    const pooled_entry **entry = NULL;
    size_t *start = NULL;
    pooled_view view = {.level = out, .plan = sums->plan, .estimator_named = pooled_estimator_is_named(out)};
    ap_error_clear(&why);
    ap_status status = sort_entries(&entry, &start, sums, number)
                           ? make_cells(out, arena, sums->plan, number, entry, start, mark != NULL, err)
                           : ap_error_set(err, AP_E_MEMORY, "out of memory for the cells of the grouping");
    if (status == AP_OK) {
        pooled_choose_terms(out->used, out->by, out->by_count);
        status = fit_model(&fit, out, sums, mark, &why);
        if (status == AP_OK && fit.tree_variance + fit.rest_variance < SPREAD_LEAST * SPREAD_LEAST) {
            out->too_even = true;
            status = ap_error_set(&why, AP_E_DOMAIN, "%s", says_alike);
        }
        if (status == AP_OK) {
            view.fit = &fit;
            keep_summary(out, &fit, view.factor_of);
        } else if (status == AP_E_DOMAIN || status == AP_E_LIMIT) {
            out->why_not = ap_arena_str(arena, ap_str_from(why.text));
            status = ap_arena_check(arena, "the cells of the grouping", err);
        } else {
            status = ap_error_set(err, status, "%s", why.text);
        }
    }
    if (status == AP_OK) {
        status = work_out_cells(out, &view, number, entry, start, err);
    }
    ap_mixed_release(&fit);
    free(entry);
    free(start);
    return status;
}
