/* What is said about each species on top of the fit. */
#include "analysis/density.h"
#include "stats/summary.h"

enum { PRIOR_DF = 8 }; /* as P1 of analysis/pooled.h: what is known about a variance beforehand */

static bool carries(const ap_density *density, const ap_posterior_cell *cell, ap_density_kind kind) {
    for (size_t k = 0; k < cell->effects; k++) {
        if (density->effects[cell->effect[k]].kind == kind) {
            return true;
        }
    }
    return false;
}

/* Cells stand by tree, so that the last tree seen tells whether one is new. `last` and `row`: by effect. */
static void count_bare(ap_density *density, uint32_t *last, const uint32_t *row_of) {
    for (size_t i = 0; i < density->cell_count; i++) {
        const ap_posterior_cell *cell = &density->cells[i];
        ap_density_species *row = &density->species[row_of[cell->effect[0]]];
        if (!carries(density, cell, AP_DENSITY_BUTT)) {
            row->bare_picks += (size_t)cell->count;
            row->bare_trees += last[cell->effect[0]] != cell->tree;
            last[cell->effect[0]] = cell->tree;
        }
    }
}

bool ap_density_own(double *own, double *se, const ap_density_effect *effect) {
    double prior = 1 / (effect->prior_sd * effect->prior_sd);
    double posterior = 1 / (effect->sd * effect->sd);
    double precision = posterior - prior;
    bool says = precision > 1e-6 * prior;
    *own = says ? (effect->mean * posterior - effect->prior_mean * prior) / precision : NAN;
    *se = says ? sqrt(1 / precision) : NAN;
    return says;
}

double ap_density_alone(const ap_density_species *row) {
    if (isnan(row->own)) {
        return 0;
    }
    double picks = 1 / (row->own_se * row->own_se);
    return row->own * picks / (picks + 1 / (row->prior_sd * row->prior_sd));
}

static ap_status set_figures(ap_density *density, ap_density_species *row, ap_error *err) {
    const ap_density_effect *effect = &density->effects[row->effect];
    ap_interval interval;
    double df = PRIOR_DF + (density->assumed ? 0 : density->df);
    ap_status status = ap_stats_t_interval(&interval, effect->mean, effect->sd, df, AP_DENSITY_LEVEL, err);
    if (status != AP_OK) {
        return status;
    }
    row->picks = effect->picks;
    row->trees = effect->trees;
    row->prior_sd = effect->handbook_sd;
    row->outside = effect->outside;
    row->outside_trees = effect->outside_trees;
    row->shift = effect->mean;
    row->sd = effect->sd;
    row->low = interval.low;
    row->high = interval.high;
    /* The posterior is prior x likelihood, both normal: their precisions differ by what the picks say. */
    row->own_se = row->apart = NAN;
    if (ap_density_own(&row->own, &row->own_se, effect)) {
        row->apart = row->own / sqrt(row->prior_sd * row->prior_sd + row->own_se * row->own_se);
        row->conflict = fabs(row->apart) > AP_DENSITY_CONFLICT_SD;
    }
    return AP_OK;
}

static void find_narrowest(ap_density *density, ap_density_species *row) {
    bool instrument = density->effects[0].kind == AP_DENSITY_INSTRUMENT;
    uint32_t with[3] = {row->effect, 0, 0};
    size_t count = 1 + (size_t)instrument;
    double best = ap_posterior_variance_after(&density->posterior, row->effect, with, count, AP_DENSITY_MORE_PICKS);
    uint32_t group = row->info->hardwood ? AP_WOOD_HARDWOOD : AP_WOOD_SOFTWOOD;
    for (size_t k = 0; k < density->effect_count; k++) {
        const ap_density_effect *effect = &density->effects[k];
        if (effect->kind == AP_DENSITY_BRUSH && effect->key % 3 == group) {
            with[count] = (uint32_t)k;
            double variance =
                ap_posterior_variance_after(&density->posterior, row->effect, with, count + 1, AP_DENSITY_MORE_PICKS);
            row->narrow.brush = variance < best ? effect->key + 1 : row->narrow.brush;
            best = fmin(best, variance);
        }
    }
    row->narrow.weigh_sd = sqrt(fmax(0, best));
    row->narrow.instrument_sd =
        instrument ? sqrt(fmax(0, ap_posterior_variance_knowing(&density->posterior, row->effect, 0))) : NAN;
}

/* D5: the same without the picks above the ceiling; the heavier figure is carried. */
static ap_status fit_without(ap_density *density, ap_arena *arena, const ap_density_picks *picks,
                             const ap_density_priors *priors, ap_error *err) {
    ap_density_picks sound = *picks;
    ap_density other = {0};
    sound.items = calloc(picks->count + 1, sizeof *sound.items);
    sound.count = 0;
    if (!sound.items) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the wood without questioned picks");
    }
    for (size_t i = 0; i < density->picks; i++) {
        if (!picks->items[i].above_ceiling) {
            sound.items[sound.count++] = picks->items[i];
        }
    }
    ap_status status = ap_density_fit(&other, arena, &sound, sound.count, priors, err);
    for (size_t s = 0; status == AP_OK && s < density->species_count; s++) {
        ap_density_species *row = &density->species[s];
        if (row->above_ceiling) {
            row->shift_without = ap_density_shift(&other, row->label);
            double more = fmax(0, row->shift_without - row->shift);
            row->shift += more;
            row->low += more;
            row->high += more;
        }
    }
    ap_density_release(&other);
    free(sound.items);
    return status;
}

static int most_trees_first(const void *left, const void *right) {
    const ap_density_species *a = left;
    const ap_density_species *b = right;
    if (a->bare_trees != b->bare_trees) {
        return a->bare_trees > b->bare_trees ? -1 : 1;
    }
    return a->trees != b->trees ? (a->trees > b->trees ? -1 : 1) : ap_str_compare(a->info->common, b->info->common);
}

static ap_status make_rows(ap_density *density, ap_arena *arena, const ap_density_picks *picks, ap_error *err) {
    uint32_t *last = ap_arena_alloc_array(arena, 2 * density->effect_count + 2, sizeof *last);
    uint32_t *row_of = last + density->effect_count;
    density->species = ap_arena_alloc_array(arena, density->effect_count + 1, sizeof *density->species);
    ap_status status = ap_arena_check(arena, "the densities", err);
    for (uint32_t k = 0; status == AP_OK && k < density->effect_count; k++) {
        if (density->effects[k].kind == AP_DENSITY_SPECIES) {
            row_of[k] = (uint32_t)density->species_count;
            density->species[density->species_count++] =
                (ap_density_species){.label = density->effects[k].key,
                                     .info = picks->species[density->effects[k].key],
                                     .effect = k,
                                     .shift_without = NAN};
        }
    }
    if (status == AP_OK) {
        count_bare(density, last, row_of);
    }
    return status;
}

ap_status ap_density_judge(ap_density *density, ap_arena *arena, const ap_density_picks *picks,
                           const ap_density_priors *priors, ap_error *err) {
    if (density->picks == 0) {
        return AP_OK;
    }
    bool any = false;
    ap_status status = make_rows(density, arena, picks, err);
    for (size_t s = 0; status == AP_OK && s < density->species_count; s++) {
        status = set_figures(density, &density->species[s], err);
        find_narrowest(density, &density->species[s]);
    }
    for (size_t i = 0; status == AP_OK && i < density->picks; i++) {
        const ap_density_pick *pick = &picks->items[i];
        for (size_t s = 0; pick->above_ceiling && s < density->species_count; s++) {
            density->species[s].above_ceiling += density->species[s].label == pick->species;
            any = true;
        }
    }
    if (status == AP_OK && any) {
        status = fit_without(density, arena, picks, priors, err);
    }
    for (size_t k = 0; status == AP_OK && k < density->effect_count; k++) {
        ap_density_effect *effect = &density->effects[k];
        ap_interval interval;
        double df = PRIOR_DF + (density->assumed ? 0 : density->df);
        status = ap_stats_t_interval(&interval, effect->mean, effect->sd, df, AP_DENSITY_LEVEL, err);
        effect->low = interval.low;
        effect->high = interval.high;
    }
    if (status == AP_OK) {
        qsort(density->species, density->species_count, sizeof *density->species, most_trees_first);
    }
    return status;
}
