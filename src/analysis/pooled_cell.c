/* One cell: its own mean and scale from picks that come in trees, and the bounds that follow. */
#include "analysis/pooled_private.h"
#include "stats/tolerance.h"

/* What the picks of one tree in this cell add up to. */
typedef struct tree_sum {
    double n;
    double mean;     /* of e */
    double adjusted; /* of e without the estimators' and instruments' effects */
    double m2;       /* squares about `adjusted` */
} tree_sum;

typedef struct view {
    const ap_mixed *fit;
    const ap_pooled_level *level;
    const int *factor_of;
    const ap_pooled_picks *picks;
    const uint32_t *order;
    size_t count;
    const bool *skip;
} view;

static double effect(const view *v, ap_pooled_term term, uint32_t number) {
    double value = 0;
    double se = 0;
    if (number && v->factor_of[term] >= 0 && v->level->variance[term] > 0) {
        bool had = ap_mixed_effect(&value, &se, v->fit, (size_t)v->factor_of[term], number);
        value = had ? value : 0;
    }
    return value;
}

static bool estimator_is_named(const ap_pooled_level *level) {
    for (size_t k = 0; k < level->by_count; k++) {
        if (level->by[k] == AP_BY_ESTIMATOR) {
            return true;
        }
    }
    return false;
}

/* The next tree's picks from order[*at] on; *at moves behind them. A pick without a tree is one of its own. */
static tree_sum take_tree(const view *v, size_t *at, bool estimator_named) {
    tree_sum sum = {0};
    uint32_t tree = v->picks->items[v->order[*at]].tree;
    do {
        uint32_t number = v->order[(*at)++];
        const ap_pooled_pick *pick = &v->picks->items[number];
        if (v->skip && v->skip[number]) {
            continue;
        }
        double adjusted = pick->e - effect(v, AP_TERM_INSTRUMENT, pick->instrument);
        adjusted -= estimator_named ? 0 : effect(v, AP_TERM_ESTIMATOR, pick->estimator);
        sum.n += 1;
        sum.mean += (pick->e - sum.mean) / sum.n;
        double apart = adjusted - sum.adjusted;
        sum.adjusted += apart / sum.n;
        sum.m2 += apart * (adjusted - sum.adjusted);
    } while (tree && *at < v->count && v->picks->items[v->order[*at]].tree == tree);
    return sum;
}

typedef struct cell_sum {
    double n;
    double weight;   /* sum over trees of 1 / (tree + rest / n) */
    double mean;     /* weighted */
    double adjusted; /* weighted */
    double square;   /* sum over trees of the squares of the covariance matrix: for the degrees of freedom */
} cell_sum;

static double tree_weight(const ap_pooled_level *level, double n) {
    return 1 / (level->tree_variance + level->rest_variance / n);
}

static cell_sum sum_trees(ap_pooled_cell *cell, const view *v, bool estimator_named, double *weight) {
    cell_sum sum = {0};
    double tree2 = v->level->tree_variance;
    double rest2 = v->level->rest_variance;
    for (size_t at = 0; at < v->count;) {
        size_t first = at;
        tree_sum tree = take_tree(v, &at, estimator_named);
        if (tree.n == 0) {
            continue;
        }
        double w = tree_weight(v->level, tree.n);
        for (size_t i = first; i < at; i++) {
            weight[v->order[i]] = w / tree.n;
        }
        sum.n += tree.n;
        sum.weight += w;
        sum.mean += w * (tree.mean - sum.mean) / sum.weight;
        sum.adjusted += w * (tree.adjusted - sum.adjusted) / sum.weight;
        sum.square += tree.n * rest2 * rest2 + 2 * tree.n * rest2 * tree2 + tree.n * tree.n * tree2 * tree2;
        cell->trees++;
    }
    cell->count = (size_t)sum.n;
    return sum;
}

/* Sum of the squares of the shares of weight that each level has: 1 when one estimator planned all. */
static ap_status concentration(double *out, const view *v, const double *weight, double total, bool instrument,
                               ap_error *err) {
    uint32_t most = 0;
    for (size_t i = 0; i < v->count; i++) {
        const ap_pooled_pick *pick = &v->picks->items[v->order[i]];
        uint32_t number = instrument ? pick->instrument : pick->estimator;
        most = number > most ? number : most;
    }
    double *share = calloc((size_t)most + 1, sizeof *share);
    if (!share) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the estimators of a cell");
    }
    for (size_t i = 0; i < v->count; i++) {
        const ap_pooled_pick *pick = &v->picks->items[v->order[i]];
        if (!v->skip || !v->skip[v->order[i]]) {
            share[instrument ? pick->instrument : pick->estimator] += weight[v->order[i]] / total;
        }
    }
    *out = 0;
    for (uint32_t k = 1; k <= most; k++) {
        *out += share[k] * share[k];
    }
    free(share);
    return AP_OK;
}

/* P1: the cell's own scale^2, unbiased about its weighted mean, with its degrees of freedom, shrunk to the pooled one. */
static void set_scale(ap_pooled_cell *cell, const view *v, const cell_sum *sum, bool estimator_named) {
    double pooled2 = v->level->tree_variance + v->level->rest_variance;
    double lost = 1 / (sum->weight * pooled2); /* share of scale^2 that the mean takes */
    double squares = 0;
    for (size_t at = 0; at < v->count;) {
        tree_sum tree = take_tree(v, &at, estimator_named);
        double off = tree.adjusted - sum->adjusted;
        squares += tree.m2 + tree.n * off * off;
    }
    double df = sum->n * sum->n * pooled2 * pooled2 / sum->square * (1 - lost);
    cell->own_scale_df = cell->count > 1 && lost < 1 - 1e-9 ? df : 0;
    cell->own_scale2 = cell->own_scale_df > 0 ? squares / (sum->n * (1 - lost)) : NAN;
    double own = cell->own_scale_df > 0 ? cell->own_scale2 : 0;
    double others = cell->own_scale_df > 0 ? fmax(0, v->level->scale_df - df) : v->level->scale_df;
    double prior = fmin(AP_POOLED_PRIOR_DF, others);
    double scale2 = (prior * pooled2 + cell->own_scale_df * own) / (prior + cell->own_scale_df);
    cell->scale = sqrt(scale2);
    cell->scale_df = prior + cell->own_scale_df;
}

ap_status pooled_cell_own(ap_pooled_cell *cell, const ap_mixed *fit, const ap_pooled_level *level, const int *factor_of,
                          const ap_pooled_picks *picks, const uint32_t *order, size_t count, const bool *skip,
                          double *weight, ap_error *err) {
    const view v = {fit, level, factor_of, picks, order, count, skip};
    bool estimator_named = estimator_is_named(level);
    cell->count = cell->trees = 0;
    cell_sum sum = sum_trees(cell, &v, estimator_named, weight);
    if (cell->count == 0) {
        return AP_OK;
    }
    double by_estimator = 0;
    double by_instrument = 0;
    ap_status status = AP_OK;
    if (!estimator_named && level->variance[AP_TERM_ESTIMATOR] > 0) {
        status = concentration(&by_estimator, &v, weight, sum.weight, false, err);
    }
    if (status == AP_OK && level->variance[AP_TERM_INSTRUMENT] > 0) {
        status = concentration(&by_instrument, &v, weight, sum.weight, true, err);
    }
    cell->own_log = sum.mean;
    cell->own_se = sqrt(1 / sum.weight + level->variance[AP_TERM_ESTIMATOR] * by_estimator +
                        level->variance[AP_TERM_INSTRUMENT] * by_instrument);
    cell->t = cell->own_log / cell->own_se;
    set_scale(cell, &v, &sum, estimator_named);
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
    double estimator = estimator_is_named(level) ? 0 : level->variance[AP_TERM_ESTIMATOR];
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
