/* One level: the model fitted, then each cell's pooled mean. */
#include <gsl/gsl_cdf.h>

#include "analysis/pooled_private.h"
#include "stats/summary.h"

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

static void choose_terms(ap_pooled_level *level) {
    level->used[AP_TERM_SPECIES] = names(level, AP_BY_SPECIES);
    level->used[AP_TERM_CUT] = names(level, AP_BY_CUT);
    level->used[AP_TERM_SPECIES_CUT] = level->used[AP_TERM_SPECIES] && level->used[AP_TERM_CUT];
    level->used[AP_TERM_ESTIMATOR] = true;
    level->used[AP_TERM_INSTRUMENT] = true;
}

/* Level numbers of the terms in use; what is blank has none. */
static void term_levels(uint32_t *to, const ap_pooled_level *level, uint32_t species, uint32_t cut, uint32_t estimator,
                        uint32_t instrument, uint32_t cut_labels) {
    const uint32_t all[AP_TERM_COUNT] = {
        [AP_TERM_SPECIES] = species,
        [AP_TERM_CUT] = cut,
        [AP_TERM_SPECIES_CUT] = species && cut ? species * (cut_labels + 1) + cut : 0,
        [AP_TERM_ESTIMATOR] = estimator,
        [AP_TERM_INSTRUMENT] = instrument,
    };
    size_t count = 0;
    for (int term = 0; term < AP_TERM_COUNT; term++) {
        if (level->used[term]) {
            to[count++] = all[term];
        }
    }
}

static ap_status fit_terms(ap_mixed *fit, const ap_pooled_level *level, const ap_pooled_picks *picks, const bool *skip,
                           ap_error *err) {
    size_t terms = 0;
    for (int term = 0; term < AP_TERM_COUNT; term++) {
        terms += level->used[term];
    }
    ap_mixed_data *data = ap_mixed_data_new(terms);
    ap_status status = data ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the model of the error");
    for (size_t i = 0; status == AP_OK && i < picks->count; i++) {
        const ap_pooled_pick *pick = &picks->items[i];
        uint32_t levels[AP_MIXED_FACTORS_MAX] = {0};
        if (!skip || !skip[i]) {
            term_levels(levels, level, pick->species, pick->cut, pick->estimator, pick->instrument, picks->cut_labels);
            status = ap_mixed_add(data, pick->tree, levels, pick->e, err);
        }
    }
    if (status == AP_OK) {
        status = ap_mixed_fit(fit, data, err);
    }
    ap_mixed_data_free(data);
    return status;
}

/* Too many kinds for the model: the terms that only stand beside the grouping go first. */
static ap_status fit_model(ap_mixed *fit, ap_pooled_level *level, const ap_pooled_picks *picks, const bool *skip,
                           ap_error *err) {
    ap_status status = fit_terms(fit, level, picks, skip, err);
    if (status == AP_E_LIMIT && !names(level, AP_BY_ESTIMATOR)) {
        level->used[AP_TERM_ESTIMATOR] = false;
        status = fit_terms(fit, level, picks, skip, err);
    }
    if (status == AP_E_LIMIT) {
        level->used[AP_TERM_INSTRUMENT] = false;
        status = fit_terms(fit, level, picks, skip, err);
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

double pooled_mean_df(const ap_pooled_level *level, double variance, double rest_df) {
    double left = 1;
    double lost = 0;
    for (int term = AP_TERM_ESTIMATOR; term < AP_TERM_COUNT; term++) {
        bool beside = term == AP_TERM_INSTRUMENT || !names(level, AP_BY_ESTIMATOR);
        if (beside && level->levels[term] > 1 && level->variance[term] > 0) {
            double share = fmin(left, level->variance[term] / (double)level->levels[term] / variance);
            lost += share * share / (double)(level->levels[term] - 1);
            left -= share;
        }
    }
    return 1 / (lost + left * left / rest_df);
}

static uint32_t key_of(const ap_pooled_level *level, const ap_pooled_cell *cell, ap_by by) {
    for (size_t k = 0; k < level->by_count; k++) {
        if (level->by[k] == by) {
            return cell->key[k];
        }
    }
    return 0;
}

static ap_status pool_cell(ap_pooled_cell *cell, const ap_pooled_level *level, const ap_mixed *fit, uint32_t cut_labels,
                           ap_error *err) {
    uint32_t levels[AP_MIXED_FACTORS_MAX] = {0};
    term_levels(levels, level, key_of(level, cell, AP_BY_SPECIES), key_of(level, cell, AP_BY_CUT),
                key_of(level, cell, AP_BY_ESTIMATOR), 0, cut_labels);
    ap_mixed_predict(&cell->pooled_log, &cell->pooled_se, NULL, fit, levels);
    double own2 = cell->own_se * cell->own_se;
    double df = between_df(level);
    if (df > 0) { /* P6 */
        double pulled = cell->own_log - cell->pooled_log;
        cell->pooled_se = sqrt(cell->pooled_se * cell->pooled_se + 2 / fmax(1, df - 2) * pulled * pulled);
    }
    cell->shrink = level->by_count == 0 ? 1 : between(level) / (between(level) + own2);
    ap_interval interval;
    double mean_df = pooled_mean_df(level, cell->pooled_se * cell->pooled_se, fit->scale_df);
    ap_status status =
        ap_stats_t_interval(&interval, cell->pooled_log, cell->pooled_se, mean_df, AP_WEIGHTS_CONFIDENCE, err);
    if (status == AP_OK) {
        cell->pooled_low = interval.low;
        cell->pooled_high = interval.high;
        cell->p_value = gsl_cdf_tdist_Q(cell->t, fit->scale_df);
    }
    return status;
}

static ap_status work_out_cells(ap_pooled_level *level, const ap_mixed *fit, const int *factor_of,
                                const ap_pooled_picks *picks, const pooled_order *order, const bool *skip,
                                ap_error *err) {
    double *weight = calloc(picks->count + 1, sizeof *weight);
    if (!weight) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the cells of %zu picks", picks->count);
    }
    ap_status status = AP_OK;
    for (size_t c = 0; status == AP_OK && c < level->cell_count; c++) {
        ap_pooled_cell *cell = &level->cells[c];
        status = pooled_cell_own(cell, fit, level, factor_of, picks, order->order + order->start[c],
                                 order->start[c + 1] - order->start[c], skip, weight, err);
        if (status == AP_OK && cell->count && cell->named) {
            status = pool_cell(cell, level, fit, picks->cut_labels, err);
            cell->has_own = status == AP_OK && pooled_cell_bound(&cell->own_bound, level, cell);
        }
    }
    free(weight);
    return status;
}

static ap_status make_cells(ap_pooled_level *level, ap_arena *arena, ap_error *err) {
    level->cell_count = level->map.count;
    level->cells = ap_arena_alloc_array(arena, level->cell_count + 1, sizeof *level->cells);
    for (size_t c = 0; level->cells && c < level->cell_count; c++) {
        ap_pooled_cell *cell = &level->cells[c];
        memcpy(cell->key, level->map.keys[c], sizeof cell->key);
        cell->named = true;
        for (size_t k = 0; k < level->by_count; k++) {
            cell->named = cell->named && cell->key[k] != 0;
        }
        cell->own_log = cell->own_se = cell->pooled_log = cell->pooled_se = NAN;
        cell->pooled_low = cell->pooled_high = cell->shrink = cell->own_scale2 = NAN;
        cell->scale = cell->scale_df = cell->t = cell->p_value = cell->q_value = NAN;
    }
    return ap_arena_check(arena, "the cells of the grouping", err);
}

ap_status pooled_level_fit(ap_pooled_level *out, ap_arena *arena, const ap_pooled_picks *picks,
                           const pooled_order *order, const bool *skip, ap_error *err) {
    ap_mixed fit = {0};
    int factor_of[AP_TERM_COUNT];
    ap_error why;
    ap_error_clear(&why);
    ap_status status = make_cells(out, arena, err);
    if (status != AP_OK) {
        return status;
    }
    choose_terms(out);
    status = fit_model(&fit, out, picks, skip, &why);
    if (status == AP_E_DOMAIN || status == AP_E_LIMIT) {
        out->why_not = ap_arena_str(arena, ap_str_from(why.text));
        for (size_t i = 0; i < picks->count; i++) {
            out->cells[order->cell[i]].count += !skip || !skip[i];
        }
        return ap_arena_check(arena, "the cells of the grouping", err);
    }
    if (status != AP_OK) {
        return ap_error_set(err, status, "%s", why.text);
    }
    keep_summary(out, &fit, factor_of);
    status = work_out_cells(out, &fit, factor_of, picks, order, skip, err);
    ap_mixed_release(&fit);
    return status;
}
