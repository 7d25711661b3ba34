/* R4 of reestimate.h: what plan x factor would have covered, before and after, on trees left out. */
#include "analysis/pooled.h"
#include "analysis/reestimate.h"
#include "stats/summary.h"

enum { FOLDS_LEAST = 5, FOLDS_MOST = 30, FOLD_EFFORT = 600000, SCRATCH_MAX = 96 << 20 };

typedef struct guard_run {
    const ap_roster *roster;
    const ap_density *density;
    uint32_t label;
    double add;
    ap_pooled_picks all;  /* every compared pick, planned with the figures in force */
    ap_pooled_pick *rest; /* heap: those of one fit */
    ap_posterior_cell *cells;
    uint32_t *fold; /* by tree label; 0 = never left out */
    double *sd;     /* prior sds of the effects */
    double *rise;   /* per judged pick */
    uint32_t *tree;
    size_t judged;
    size_t before, after; /* heavier than plan x factor */
    ap_arena scratch;
} guard_run;

static bool moves(const guard_run *g, const ap_pooled_pick *pick) {
    return pick->species == g->label && (g->roster->facts[pick->fact].wood & AP_FACT_PLANNED_BY_DENSITY);
}

/* The species' figure without the trees of a fold (0: with all), ln over the one in force. */
static ap_status change_without(double *out, guard_run *g, uint32_t fold, ap_error *err) {
    const ap_density *density = g->density;
    ap_posterior posterior = {0};
    size_t count = 0;
    for (size_t i = 0; i < density->cell_count; i++) {
        if (fold == 0 || g->fold[density->cells[i].tree] != fold) {
            g->cells[count++] = density->cells[i];
        }
    }
    const ap_posterior_model model = {.params = density->effect_count,
                                      .prior_sd = g->sd,
                                      .tree_variance = density->tree_variance,
                                      .rest_variance = density->rest_variance};
    ap_status status = ap_posterior_solve(&posterior, &model, g->cells, count, err);
    if (status == AP_OK) {
        *out = posterior.mean[density->species_effect[g->label] - 1] + g->add -
               ap_roster_density_log(g->roster, g->label, g->roster->until);
    }
    ap_posterior_release(&posterior);
    return status;
}

/* ln of the species' planning factor fitted without a fold, on plans moved by `change`; NaN when there is none. */
static ap_status factor_without(double *out, guard_run *g, uint32_t fold, double change, ap_error *err) {
    static const ap_by by[] = {AP_BY_SPECIES};
    ap_pooled pooled;
    ap_pooled_picks rest = {g->rest, 0, g->all.cut_labels};
    for (size_t i = 0; i < g->all.count; i++) {
        if (fold == 0 || g->fold[g->all.items[i].tree] != fold) {
            rest.items[rest.count] = g->all.items[i];
            rest.items[rest.count++].e -= moves(g, &g->all.items[i]) ? change : 0;
        }
    }
    ap_arena_clear(&g->scratch);
    ap_status status = ap_pooled_fit(&pooled, &g->scratch, &rest, by, 1, err);
    const uint32_t key[AP_WEIGHTS_BY_MAX] = {g->label};
    const ap_pooled_bound *bound = status == AP_OK ? ap_pooled_bound_for(&pooled, key) : NULL;
    *out = bound ? log(bound->planning) : NAN;
    return status;
}

static ap_status judge_fold(guard_run *g, uint32_t fold, ap_error *err) {
    double change = 0;
    double before = NAN;
    double after = NAN;
    ap_status status = change_without(&change, g, fold, err);
    if (status == AP_OK) {
        status = factor_without(&before, g, fold, 0, err);
    }
    if (status == AP_OK) {
        status = factor_without(&after, g, fold, change, err);
    }
    for (size_t i = 0; status == AP_OK && !isnan(before) && !isnan(after) && i < g->all.count; i++) {
        const ap_pooled_pick *pick = &g->all.items[i];
        if (moves(g, pick) && g->fold[pick->tree] == fold) {
            bool was = ap_over(exp(pick->e), exp(before));
            bool is = ap_over(exp(pick->e - change), exp(after));
            g->before += was;
            g->after += is;
            g->tree[g->judged] = pick->tree;
            g->rise[g->judged++] = (double)is - (double)was;
        }
    }
    return status;
}

/* Trees with a plan of the species that moves, dealt out to the folds in order of appearance. */
static uint32_t deal_folds(guard_run *g) {
    size_t effort = FOLD_EFFORT / (g->all.count + 1);
    uint32_t folds = effort > FOLDS_MOST ? FOLDS_MOST : effort < FOLDS_LEAST ? FOLDS_LEAST : (uint32_t)effort;
    uint32_t trees = 0;
    for (size_t i = 0; i < g->all.count; i++) {
        const ap_pooled_pick *pick = &g->all.items[i];
        if (moves(g, pick) && g->fold[pick->tree] == 0) {
            g->fold[pick->tree] = 1 + trees++ % folds;
        }
    }
    return trees < folds ? trees : folds;
}

static ap_status prepare(guard_run *g, ap_error *err) {
    ap_arena_init(&g->scratch, SCRATCH_MAX);
    ap_status status = ap_pooled_picks_take(&g->all, g->roster, 0, g->roster->count, err);
    if (status != AP_OK) {
        return status;
    }
    size_t count = g->all.count + 1;
    g->rest = calloc(count, sizeof *g->rest);
    g->rise = calloc(count, sizeof *g->rise);
    g->tree = calloc(count, sizeof *g->tree);
    g->cells = calloc(g->density->cell_count + 1, sizeof *g->cells);
    g->sd = calloc(g->density->effect_count + 1, sizeof *g->sd);
    g->fold = calloc((size_t)ap_intern_count(g->roster->labels[AP_BY_TREE]) + 1, sizeof *g->fold);
    if (!g->rest || !g->rise || !g->tree || !g->cells || !g->sd || !g->fold) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the guard of lighter plans");
    }
    for (size_t k = 0; k < g->density->effect_count; k++) {
        g->sd[k] = g->density->effects[k].prior_sd;
    }
    return AP_OK;
}

static void set_result(ap_lighter_guard *out, const guard_run *g) {
    ap_cluster_mean rise;
    ap_error few;
    out->picks = g->judged;
    if (ap_stats_cluster_mean(&rise, g->rise, g->tree, g->judged, AP_DENSITY_LEVEL, &few) == AP_OK) {
        out->told = true;
        out->trees = rise.clusters;
        out->rise = rise.mean;
        out->rise_low = rise.interval.low;
        out->rise_high = rise.interval.high;
        out->share_before = (double)g->before / (double)g->judged;
        out->share_after = (double)g->after / (double)g->judged;
    }
}

ap_status ap_lighter_guard_run(ap_lighter_guard *out, const ap_roster *roster, const ap_density *density,
                               uint32_t label, double add, bool factors_only, ap_error *err) {
    guard_run g = {.roster = roster, .density = density, .label = label, .add = add};
    double change = 0;
    double before = NAN;
    double after = NAN;
    ap_status status = prepare(&g, err);
    uint32_t folds = status == AP_OK && !factors_only ? deal_folds(&g) : 0;
    for (uint32_t fold = 1; status == AP_OK && fold <= folds; fold++) {
        status = judge_fold(&g, fold, err);
    }
    if (status == AP_OK) {
        set_result(out, &g);
        status = change_without(&change, &g, 0, err);
    }
    if (status == AP_OK) {
        status = factor_without(&before, &g, 0, 0, err);
    }
    if (status == AP_OK) {
        status = factor_without(&after, &g, 0, change, err);
    }
    out->factor_before = exp(before);
    out->factor_after = exp(after);
    ap_pooled_picks_release(&g.all);
    ap_arena_release(&g.scratch);
    free(g.rest);
    free(g.rise);
    free(g.tree);
    free(g.cells);
    free(g.sd);
    free(g.fold);
    return status;
}
