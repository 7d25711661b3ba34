/* One cell: its own mean and scale from picks that come in trees, and the bounds that follow. */
#include "analysis/pooled_private.h"
#include "stats/tolerance.h"

bool pooled_estimator_is_named(const ap_pooled_level *level) {
    for (size_t k = 0; k < level->by_count; k++) {
        if (level->by[k] == AP_BY_ESTIMATOR) {
            return true;
        }
    }
    return false;
}

static double effect(const pooled_view *view, ap_pooled_term term, uint32_t number) {
    double value = 0;
    double se = 0;
    if (number && view->factor_of[term] >= 0 && view->level->variance[term] > 0) {
        bool had = ap_mixed_effect(&value, &se, view->fit, (size_t)view->factor_of[term], number);
        value = had ? value : 0;
    }
    return value;
}

/* The effects that a new piece does not carry: of the instrument, and of the estimator unless the grouping names him. */
static double beside(const pooled_view *view, const pooled_entry *entry) {
    const pooled_kind *kind = &view->plan->kind[entry->kind];
    double off = effect(view, AP_TERM_INSTRUMENT, kind->term[AP_TERM_INSTRUMENT]);
    return off + (view->estimator_named ? 0 : effect(view, AP_TERM_ESTIMATOR, kind->term[AP_TERM_ESTIMATOR]));
}

typedef struct cell_sum {
    double n;
    double trees;
    double weight;   /* sum over trees of 1 / (tree + rest / n) */
    double mean;     /* weighted, of e less the plan's shift */
    double adjusted; /* weighted, without the effects beside */
    double square;   /* sum over trees of the squares of the covariance matrix: for the degrees of freedom */
} cell_sum;

/* Weight of one pick of a tree that has n picks in the cell. */
static double pick_weight(const ap_pooled_level *level, double n) {
    return 1 / (level->tree_variance * n + level->rest_variance);
}

static cell_sum sum_entries(const pooled_view *view, const pooled_entry *const *entry, size_t count) {
    cell_sum sum = {0};
    double tree2 = view->level->tree_variance;
    double rest2 = view->level->rest_variance;
    for (size_t i = 0; i < count; i++) {
        double n = entry[i]->n;
        double w = pick_weight(view->level, n);
        sum.n += entry[i]->count;
        sum.trees += entry[i]->count / n;
        sum.weight += w * entry[i]->count;
        sum.mean += w * entry[i]->e;
        sum.adjusted += w * (entry[i]->e - entry[i]->count * beside(view, entry[i]));
        sum.square += entry[i]->count * (rest2 * rest2 + 2 * rest2 * tree2 + n * tree2 * tree2);
    }
    sum.mean /= sum.weight;
    sum.adjusted /= sum.weight;
    return sum;
}

/* Sum of the squares of the shares of weight that each level has: 1 when one estimator planned all. */
static ap_status concentration(double *out, const pooled_view *view, const pooled_entry *const *entry, size_t count,
                               double total, ap_pooled_term term, ap_error *err) {
    double *share = calloc((size_t)view->plan->levels[term] + 1, sizeof *share);
    if (!share) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the estimators of a cell");
    }
    for (size_t i = 0; i < count; i++) {
        uint32_t number = view->plan->kind[entry[i]->kind].term[term];
        share[number] += pick_weight(view->level, entry[i]->n) * entry[i]->count / total;
    }
    *out = 0;
    for (size_t k = 1; k <= view->plan->levels[term]; k++) {
        *out += share[k] * share[k];
    }
    free(share);
    return AP_OK;
}

/* P1: the cell's own scale^2, unbiased about its weighted mean, with its degrees of freedom, shrunk to the pooled one. */
static void set_scale(ap_pooled_cell *cell, const pooled_view *view, const pooled_entry *const *entry, size_t count,
                      const cell_sum *sum) {
    const ap_pooled_level *level = view->level;
    double pooled2 = level->tree_variance + level->rest_variance;
    double lost = 1 / (sum->weight * pooled2); /* share of scale^2 that the mean takes */
    double squares = 0;
    for (size_t i = 0; i < count; i++) {
        double about = sum->adjusted + beside(view, entry[i]);
        double mean = entry[i]->count > 0 ? entry[i]->e / entry[i]->count : 0;
        squares += fmax(0, entry[i]->square - entry[i]->e * mean) + entry[i]->count * (mean - about) * (mean - about);
    }
    double df = sum->n * sum->n * pooled2 * pooled2 / sum->square * (1 - lost);
    cell->own_scale_df = cell->count > 1 && lost < 1 - 1e-9 ? df : 0;
    cell->own_scale2 = cell->own_scale_df > 0 ? squares / (sum->n * (1 - lost)) : NAN;
    double own = cell->own_scale_df > 0 ? cell->own_scale2 : 0;
    double others = cell->own_scale_df > 0 ? fmax(0, level->scale_df - df) : level->scale_df;
    double prior = fmin(AP_POOLED_PRIOR_DF, others);
    double scale2 = (prior * pooled2 + cell->own_scale_df * own) / (prior + cell->own_scale_df);
    cell->scale = sqrt(scale2);
    cell->scale_df = prior + cell->own_scale_df;
}

ap_status pooled_cell_own(ap_pooled_cell *cell, const pooled_view *view, const pooled_entry *const *entry, size_t count,
                          ap_error *err) {
    const ap_pooled_level *level = view->level;
    cell_sum sum = sum_entries(view, entry, count);
    cell->count = (size_t)llround(sum.n);
    cell->trees = (size_t)llround(sum.trees);
    if (cell->count == 0) {
        return AP_OK;
    }
    double by_estimator = 0;
    double by_instrument = 0;
    ap_status status = AP_OK;
    if (!view->estimator_named && level->variance[AP_TERM_ESTIMATOR] > 0) {
        status = concentration(&by_estimator, view, entry, count, sum.weight, AP_TERM_ESTIMATOR, err);
    }
    if (status == AP_OK && level->variance[AP_TERM_INSTRUMENT] > 0) {
        status = concentration(&by_instrument, view, entry, count, sum.weight, AP_TERM_INSTRUMENT, err);
    }
    cell->own_log = sum.mean + view->plan->shift;
    cell->own_se = sqrt(1 / sum.weight + level->variance[AP_TERM_ESTIMATOR] * by_estimator +
                        level->variance[AP_TERM_INSTRUMENT] * by_instrument);
    cell->t = cell->own_log / cell->own_se;
    set_scale(cell, view, entry, count, &sum);
    return status;
}

/* 1 / degrees of freedom that a term's variance brings into a sum of variances of `total`. */
static double loss(const ap_pooled_level *level, ap_pooled_term term, double total) {
    double share = level->variance[term] / total;
    return level->levels[term] > 1 ? share * share / (double)(level->levels[term] - 1) : 0;
}

bool pooled_cell_bound(ap_pooled_bound *out, const ap_pooled_level *level, const ap_pooled_cell *cell) {
    if (cell->trees < AP_POOLED_TREES_LEAST || !(cell->pooled_se > 0)) {
        return false;
    }
    double scale2 = cell->scale * cell->scale;
    double estimator = pooled_estimator_is_named(level) ? 0 : level->variance[AP_TERM_ESTIMATOR];
    double total = scale2 + estimator + level->variance[AP_TERM_INSTRUMENT];
    double share = scale2 / total;
    double lost = share * share / cell->scale_df + loss(level, AP_TERM_INSTRUMENT, total);
    lost += estimator > 0 ? loss(level, AP_TERM_ESTIMATOR, total) : 0;
    double mean_variance = cell->pooled_se * cell->pooled_se;
    *out = (ap_pooled_bound){.mean = cell->pooled_log, .scale = sqrt(total), .m = total / mean_variance};
    /* Behind the variance of the mean stand the cell's trees and, because that variance is pooled too, the prior's degrees of freedom. */
    double mean_df = (double)cell->trees - 1 + (cell->scale_df - cell->own_scale_df);
    ap_error why; /* a bound without a finite value is no bound: the cell says that it has none */
    bool done = ap_tolerance_df(&out->nu, AP_POOLED_CONTENT, mean_variance, mean_df, total, 1 / lost, &why) == AP_OK &&
                ap_tolerance_factor(&out->k, AP_POOLED_CONTENT, AP_POOLED_CONFIDENCE, out->m, out->nu, &why) == AP_OK &&
                ap_prediction_factor(&out->k_predict, AP_POOLED_CONTENT, out->m, out->nu, &why) == AP_OK;
    out->planning = fmax(1, exp(out->mean + out->k * out->scale));
    out->prediction = fmax(1, exp(out->mean + out->k_predict * out->scale));
    return done && isfinite(out->planning) && isfinite(out->prediction);
}
