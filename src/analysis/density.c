#include "analysis/density.h"

#include "analysis/key_map.h"
#include "stats/mixed.h"

const ap_density_priors ap_density_priors_default = {
    .species_sd = 0.12,
    .weak_sd = 0.20,
    .instrument_sd = 0.04,
    .butt_sd = 0.20,
    .condition_sd = 0.30,
    .brush_sd = 0.30,
    .company_sd = 0.08,
    .trees = true,
};

/* Cells while they are added up, and the effects' numbers. */
typedef struct builder {
    ap_density *out;
    ap_arena *arena;
    const ap_density_picks *picks;
    const ap_density_priors *priors;
    ap_key_map map;
    ap_posterior_cell *cells; /* heap; by map number */
    size_t room;
    uint32_t butt; /* effect number + 1 */
    uint32_t condition[AP_WOOD_CLASS_COUNT];
    uint32_t brush[AP_DENSITY_BRUSH_CLASSES + 1];
    size_t effect_room;
} builder;

static bool speaks_of(const ap_evidence_item *item, const ap_density_picks *picks, ap_density_kind kind, uint32_t key) {
    switch (kind) {
    case AP_DENSITY_SPECIES:
        return item->kind == AP_EVIDENCE_SPECIES && item->species_id == picks->species[key]->id;
    case AP_DENSITY_BUTT:
        return item->kind == AP_EVIDENCE_BUTT;
    case AP_DENSITY_CONDITION:
        return item->kind == AP_EVIDENCE_CONDITION && item->class == key;
    case AP_DENSITY_BRUSH:
        return item->kind == AP_EVIDENCE_BRUSH && item->class == key;
    case AP_DENSITY_INSTRUMENT:
        break;
    }
    return false;
}

/* D7: normal prior times the normal figures of others, each as one more look at the effect. */
static void set_prior(ap_density_effect *effect, const builder *b) {
    double precision = 1 / (effect->handbook_sd * effect->handbook_sd);
    double sum = 0;
    for (size_t i = 0; i < b->picks->outside_count; i++) {
        const ap_evidence_item *item = &b->picks->outside[i];
        if (speaks_of(item, b->picks, effect->kind, effect->key)) {
            double variance = item->se_log * item->se_log + b->priors->company_sd * b->priors->company_sd;
            precision += 1 / variance;
            sum += item->log_shift / variance;
            effect->outside++;
            effect->outside_trees += item->trees;
        }
    }
    effect->prior_mean = sum / precision;
    effect->prior_sd = effect->outside ? sqrt(1 / precision) : effect->handbook_sd;
}

static uint32_t add_effect(builder *b, uint32_t *slot, ap_density_kind kind, uint32_t key, double prior_sd) {
    if (*slot == 0 && b->out->effect_count < b->effect_room) {
        ap_density_effect *effect = &b->out->effects[b->out->effect_count++];
        *effect = (ap_density_effect){.kind = kind, .key = key, .handbook_sd = prior_sd, .mean = NAN, .sd = NAN};
        set_prior(effect, b);
        *slot = (uint32_t)b->out->effect_count;
    }
    return *slot - 1;
}

/* The effects of one pick's cell, numbered as they appear. */
static void set_effects(builder *b, ap_posterior_cell *cell, const ap_density_pick *pick) {
    const ap_density_priors *priors = b->priors;
    bool weak = b->picks->species[pick->species]->placeholder;
    cell->effect[cell->effects++] = add_effect(b, &b->out->species_effect[pick->species], AP_DENSITY_SPECIES,
                                               pick->species, weak ? priors->weak_sd : priors->species_sd);
    if (priors->instrument_sd > 0) {
        cell->effect[cell->effects++] = 0;
    }
    if (pick->butt) {
        cell->effect[cell->effects++] = add_effect(b, &b->butt, AP_DENSITY_BUTT, 0, priors->butt_sd);
    }
    if (pick->condition > AP_WOOD_SOUND) {
        cell->effect[cell->effects++] =
            add_effect(b, &b->condition[pick->condition], AP_DENSITY_CONDITION, pick->condition, priors->condition_sd);
    }
    if (pick->brush) {
        cell->effect[cell->effects++] =
            add_effect(b, &b->brush[pick->brush], AP_DENSITY_BRUSH, pick->brush - 1u, priors->brush_sd);
    }
}

static bool add_pick(builder *b, const ap_density_pick *pick) {
    const uint32_t key[AP_WEIGHTS_BY_MAX] = {pick->tree, pick->species, pick->condition * 2u + pick->butt, pick->brush};
    size_t before = b->map.count;
    uint32_t number;
    if (!ap_key_map_add(&b->map, key, &number)) {
        return false;
    }
    if (number >= b->room) {
        size_t room = b->room ? b->room * 2 : 64;
        ap_posterior_cell *grown = realloc(b->cells, room * sizeof *grown);
        if (!grown) {
            return false;
        }
        b->cells = grown;
        b->room = room;
    }
    ap_posterior_cell *cell = &b->cells[number];
    if (number == before) {
        *cell = (ap_posterior_cell){.tree = pick->tree};
        set_effects(b, cell, pick);
    }
    cell->count += 1;
    cell->mean += (pick->y - cell->mean) / cell->count;
    return true;
}

static int by_tree(const void *left, const void *right) {
    const ap_posterior_cell *a = left;
    const ap_posterior_cell *b = right;
    return a->tree != b->tree ? (a->tree < b->tree ? -1 : 1) : memcmp(a->effect, b->effect, sizeof a->effect);
}

static ap_status make_cells(builder *b, size_t count, ap_error *err) {
    ap_density *out = b->out;
    out->labels = b->picks->labels;
    out->species_effect = ap_arena_alloc_array(b->arena, (size_t)out->labels + 1, sizeof *out->species_effect);
    b->effect_room = (size_t)out->labels + AP_DENSITY_BRUSH_CLASSES + AP_WOOD_CLASS_COUNT + 3;
    out->effects = ap_arena_alloc_array(b->arena, b->effect_room, sizeof *out->effects);
    ap_status status = ap_arena_check(b->arena, "the density model", err);
    uint32_t instrument = 0;
    if (status == AP_OK && b->priors->instrument_sd > 0) {
        (void)add_effect(b, &instrument, AP_DENSITY_INSTRUMENT, 0, b->priors->instrument_sd);
    }
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        if (!add_pick(b, &b->picks->items[i])) {
            status = ap_error_set(err, AP_E_MEMORY, "out of memory for the wood of %zu picks", count);
        }
    }
    if (status != AP_OK) {
        return status;
    }
    out->cell_count = b->map.count;
    out->cells = ap_arena_alloc_array(b->arena, out->cell_count + 1, sizeof *out->cells);
    status = ap_arena_check(b->arena, "the density model", err);
    if (status == AP_OK && out->cell_count) {
        memcpy(out->cells, b->cells, out->cell_count * sizeof *out->cells);
        qsort(out->cells, out->cell_count, sizeof *out->cells, by_tree);
    }
    return status;
}

/* D6 and the mixed model: what a tree and what a single pick is off by. */
static ap_status fit_variances(ap_density *out, const ap_density_picks *picks, size_t count,
                               const ap_density_priors *priors, ap_error *err) {
    ap_mixed fit = {0};
    ap_error why;
    ap_mixed_data *data = ap_mixed_data_new(4);
    ap_status status = data ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the density model");
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        const ap_density_pick *pick = &picks->items[i];
        const uint32_t level[4] = {pick->species, 1u + pick->butt, pick->condition, 1u + pick->brush};
        status = ap_mixed_add(data, priors->trees ? pick->tree : 0, level, pick->y, err);
    }
    out->tree_variance = AP_DENSITY_TREE_SD * AP_DENSITY_TREE_SD;
    out->rest_variance = AP_DENSITY_REST_SD * AP_DENSITY_REST_SD;
    out->df = (double)(count > 1 ? count - 1 : 1);
    out->assumed = true;
    if (status == AP_OK && count >= AP_DENSITY_PICKS_LEAST && ap_mixed_fit(&fit, data, &why) == AP_OK &&
        fit.trees >= AP_DENSITY_TREES_LEAST && fit.rest_variance > 0) {
        out->assumed = false;
        out->converged = fit.converged;
        out->tree_variance = fit.tree_told_apart ? fit.tree_variance : 0; /* a pick a tree: all of it is in the rest */
        out->rest_variance = fit.rest_variance;
        out->df = fmax(1, fit.scale_df);
    }
    if (!priors->trees) {
        out->tree_variance = 0;
    }
    ap_mixed_release(&fit);
    ap_mixed_data_free(data);
    return status;
}

static ap_status solve(ap_density *out, ap_arena *arena, ap_error *err) {
    double *sd = ap_arena_alloc_array(arena, 2 * out->effect_count + 1, sizeof *sd);
    double *mean = sd + out->effect_count;
    ap_status status = ap_arena_check(arena, "the density model", err);
    if (status != AP_OK) {
        return status;
    }
    for (size_t k = 0; k < out->effect_count; k++) {
        sd[k] = out->effects[k].prior_sd;
        mean[k] = out->effects[k].prior_mean;
    }
    const ap_posterior_model model = {.params = out->effect_count,
                                      .prior_mean = mean,
                                      .prior_sd = sd,
                                      .tree_variance = out->tree_variance,
                                      .rest_variance = out->rest_variance};
    status = ap_posterior_solve(&out->posterior, &model, out->cells, out->cell_count, err);
    for (size_t k = 0; status == AP_OK && k < out->effect_count; k++) {
        out->effects[k].mean = out->posterior.mean[k];
        out->effects[k].sd = sqrt(out->posterior.covariance[k * out->effect_count + k]);
    }
    return status;
}

ap_status ap_density_fit(ap_density *out, ap_arena *arena, const ap_density_picks *picks, size_t count,
                         const ap_density_priors *priors, ap_error *err) {
    *out = (ap_density){.picks = count};
    builder b = {.out = out, .arena = arena, .picks = picks, .priors = priors};
    ap_status status = make_cells(&b, count, err);
    if (status == AP_OK && count) {
        status = fit_variances(out, picks, count, priors, err);
    }
    if (status == AP_OK && count) {
        status = solve(out, arena, err);
    }
    for (size_t i = 0; i < out->cell_count; i++) {
        out->trees += i == 0 || out->cells[i].tree != out->cells[i - 1].tree;
    }
    ap_key_map_release(&b.map);
    free(b.cells);
    return status;
}

void ap_density_release(ap_density *density) {
    ap_posterior_release(&density->posterior);
}

double ap_density_shift(const ap_density *density, uint32_t label) {
    uint32_t number = label <= density->labels && density->species_effect ? density->species_effect[label] : 0;
    return number && density->posterior.mean ? density->posterior.mean[number - 1] : 0;
}

const ap_density_species *ap_density_find(const ap_density *density, uint32_t label) {
    for (size_t s = 0; s < density->species_count; s++) {
        if (density->species[s].label == label) {
            return &density->species[s];
        }
    }
    return NULL;
}

double ap_density_fitted(const ap_density *density, const ap_density_pick *pick) {
    double sum = 0;
    for (size_t k = 0; k < density->effect_count; k++) {
        const ap_density_effect *effect = &density->effects[k];
        bool carried = effect->kind == AP_DENSITY_INSTRUMENT ||
                       (effect->kind == AP_DENSITY_SPECIES && effect->key == pick->species) ||
                       (effect->kind == AP_DENSITY_BUTT && pick->butt) ||
                       (effect->kind == AP_DENSITY_CONDITION && effect->key == pick->condition) ||
                       (effect->kind == AP_DENSITY_BRUSH && effect->key + 1 == pick->brush);
        sum += carried ? effect->mean : 0;
    }
    return sum;
}
