#include "analysis/density.h"

#include "analysis/density_trees.h"
#include "base/grow.h"

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

/* The effects' numbers, and the cells of one tree while they are added up. */
typedef struct builder {
    ap_density *out;
    const ap_density_picks *picks;
    const ap_density_priors *priors;
    ap_density_trees trees;
    ap_posterior_cell *cells; /* heap */
    size_t count, room;
    uint32_t butt; /* effect number + 1 */
    uint32_t condition[AP_WOOD_CLASS_COUNT];
    uint32_t brush[AP_DENSITY_BRUSH_CLASSES + 1];
    size_t effect_room;
    uint32_t *last_tree; /* by effect, while trees are counted: label + 1 */
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

/* The effects of one pick, numbered as they appear. */
static ap_posterior_cell effects_of(builder *b, const ap_density_pick *pick) {
    const ap_density_priors *priors = b->priors;
    bool weak = b->picks->species[pick->species]->placeholder;
    ap_posterior_cell cell = {.tree = pick->tree};
    cell.effect[cell.effects++] = add_effect(b, &b->out->species_effect[pick->species], AP_DENSITY_SPECIES,
                                             pick->species, weak ? priors->weak_sd : priors->species_sd);
    if (priors->instrument_sd > 0) {
        cell.effect[cell.effects++] = 0;
    }
    if (pick->butt) {
        cell.effect[cell.effects++] = add_effect(b, &b->butt, AP_DENSITY_BUTT, 0, priors->butt_sd);
    }
    if (pick->condition > AP_WOOD_SOUND) {
        cell.effect[cell.effects++] =
            add_effect(b, &b->condition[pick->condition], AP_DENSITY_CONDITION, pick->condition, priors->condition_sd);
    }
    if (pick->brush) {
        cell.effect[cell.effects++] =
            add_effect(b, &b->brush[pick->brush], AP_DENSITY_BRUSH, pick->brush - 1u, priors->brush_sd);
    }
    return cell;
}

static ap_status make_effects(builder *b, ap_arena *arena, ap_error *err) {
    ap_density *out = b->out;
    out->labels = b->picks->labels;
    out->species_effect = ap_arena_alloc_array(arena, (size_t)out->labels + 1, sizeof *out->species_effect);
    b->effect_room = (size_t)out->labels + AP_DENSITY_BRUSH_CLASSES + AP_WOOD_CLASS_COUNT + 3;
    out->effects = ap_arena_alloc_array(arena, b->effect_room, sizeof *out->effects);
    b->last_tree = ap_arena_alloc_array(arena, b->effect_room, sizeof *b->last_tree);
    ap_status status = ap_arena_check(arena, "the density model", err);
    uint32_t instrument = 0;
    if (status == AP_OK && b->priors->instrument_sd > 0) {
        (void)add_effect(b, &instrument, AP_DENSITY_INSTRUMENT, 0, b->priors->instrument_sd);
    }
    for (size_t i = 0; status == AP_OK && i < out->picks; i++) {
        (void)effects_of(b, &b->picks->items[i]);
    }
    return status;
}

static bool add_pick(builder *b, const ap_density_pick *pick) {
    const ap_posterior_cell fresh = effects_of(b, pick);
    size_t at = 0;
    while (at < b->count && memcmp(b->cells[at].effect, fresh.effect, sizeof fresh.effect) != 0) {
        at++;
    }
    if (at == b->room) {
        ap_posterior_cell *grown = ap_grown(b->cells, &b->room, 64, sizeof *grown);
        if (!grown) {
            return false;
        }
        b->cells = grown;
    }
    ap_posterior_cell *cell = &b->cells[at];
    if (at == b->count) {
        *cell = fresh;
        b->count++;
    }
    cell->count += 1;
    cell->mean += (pick->y - cell->mean) / cell->count;
    return true;
}

static int by_effect(const void *left, const void *right) {
    const ap_posterior_cell *a = left;
    const ap_posterior_cell *b = right;
    return memcmp(a->effect, b->effect, sizeof a->effect);
}

static bool make_cells_of_tree(builder *b, size_t tree) {
    b->count = 0;
    for (size_t at = b->trees.start[tree]; at < b->trees.start[tree + 1]; at++) {
        if (!add_pick(b, &b->picks->items[b->trees.order[at]])) {
            return false;
        }
    }
    if (b->count > 1) {
        qsort(b->cells, b->count, sizeof *b->cells, by_effect);
    }
    return true;
}

static void count_evidence(builder *b) {
    b->out->trees += b->count > 0;
    for (size_t i = 0; i < b->count; i++) {
        const ap_posterior_cell *cell = &b->cells[i];
        for (size_t k = 0; k < cell->effects; k++) {
            ap_density_effect *effect = &b->out->effects[cell->effect[k]];
            effect->picks += (size_t)cell->count;
            effect->trees += b->last_tree[cell->effect[k]] != cell->tree + 1;
            b->last_tree[cell->effect[k]] = cell->tree + 1;
        }
    }
}

/* Adds up the cells tree by tree; keeps them when there is an arena for them. */
static ap_status add_trees(ap_posterior_work *work, builder *b, ap_arena *keep, ap_error *err) {
    ap_density *out = b->out;
    ap_status status = AP_OK;
    size_t room = 0;
    for (size_t tree = 0; keep && status == AP_OK && tree < b->trees.labels; tree++) {
        status = make_cells_of_tree(b, tree) ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for a tree");
        room += b->count;
    }
    if (keep && status == AP_OK) {
        out->cells = ap_arena_alloc_array(keep, room + 1, sizeof *out->cells);
        status = ap_arena_check(keep, "the density model", err);
    }
    for (size_t tree = 0; status == AP_OK && tree < b->trees.labels; tree++) {
        if (!make_cells_of_tree(b, tree)) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory for a tree");
        }
        count_evidence(b);
        if (keep && b->count) {
            memcpy(out->cells + out->cell_count, b->cells, b->count * sizeof *out->cells);
        }
        out->cell_count += keep ? b->count : 0;
        status = ap_posterior_add(work, b->cells, b->count, err);
    }
    return status;
}

static ap_status solve(builder *b, ap_arena *arena, ap_arena *keep, ap_error *err) {
    ap_density *out = b->out;
    double *sd = ap_arena_alloc_array(arena, 2 * out->effect_count + 1, sizeof *sd);
    double *mean = sd + out->effect_count;
    ap_posterior_work *work = NULL;
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
    status = ap_posterior_open(&work, &model, err);
    if (status == AP_OK) {
        status = add_trees(work, b, keep, err);
    }
    if (status != AP_OK) {
        ap_posterior_drop(work);
        return status;
    }
    status = ap_posterior_close(&out->posterior, work, err);
    for (size_t k = 0; status == AP_OK && k < out->effect_count; k++) {
        out->effects[k].mean = out->posterior.mean[k];
        out->effects[k].sd = sqrt(out->posterior.covariance[k * out->effect_count + k]);
    }
    return status;
}

static ap_status fit(ap_density *out, ap_arena *arena, ap_arena *keep, const ap_density_picks *picks, size_t count,
                     const ap_density_priors *priors, ap_error *err) {
    *out = (ap_density){.picks = count};
    builder b = {.out = out, .picks = picks, .priors = priors};
    ap_status status = ap_density_trees_make(&b.trees, picks, count, err);
    if (status == AP_OK) {
        status = make_effects(&b, arena, err);
    }
    if (status == AP_OK && count) {
        status = ap_density_variances(out, picks, &b.trees, priors, err);
    }
    if (status == AP_OK && count) {
        status = solve(&b, arena, keep, err);
    }
    ap_density_trees_release(&b.trees);
    free(b.cells);
    return status;
}

ap_status ap_density_fit(ap_density *out, ap_arena *arena, const ap_density_picks *picks, size_t count,
                         const ap_density_priors *priors, ap_error *err) {
    return fit(out, arena, arena, picks, count, priors, err);
}

ap_status ap_density_fit_effects(ap_density *out, ap_arena *arena, const ap_density_picks *picks, size_t count,
                                 const ap_density_priors *priors, ap_error *err) {
    return fit(out, arena, NULL, picks, count, priors, err);
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
