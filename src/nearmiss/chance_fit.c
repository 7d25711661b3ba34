#include "nearmiss/chance_fit.h"

typedef struct numbers {
    uint32_t *tree, *cell, *species; /* 1 + number, by label; 0 as long as none came */
} numbers;

static uint32_t number(uint32_t *numbered, size_t label, size_t *count) {
    if (numbered[label] == 0) {
        numbered[label] = (uint32_t)++ * count;
    }
    return numbered[label] - 1;
}

static void number_all(ap_fit *fit, const ap_roster *roster, numbers *n) {
    size_t cuts = (size_t)ap_intern_count(roster->labels[AP_BY_CUT]) + 1;
    for (size_t i = 0; i < fit->looks->count; i++) {
        const ap_fact *fact = &roster->facts[fit->looks->fact[i]];
        size_t kind = ap_fact_group(fact, AP_BY_SPECIES) * cuts + ap_fact_group(fact, AP_BY_CUT);
        uint32_t cell = number(n->cell, kind, &fit->cell_count);
        uint32_t species = number(n->species, kind / cuts, &fit->species_count);
        fit->cells[cell].species = species;
        fit->cells[cell].count++;
        fit->species[species].count++;
        if (i >= fit->begin) {
            uint32_t tree = number(n->tree, ap_fact_group(fact, AP_BY_TREE), &fit->tree_count);
            fit->tree[i - fit->begin] = tree;
            fit->cell[i - fit->begin] = cell;
            fit->trees[tree].size++;
        }
    }
}

ap_status ap_fit_init(ap_fit *out, const ap_roster *roster, const ap_looks *looks, size_t begin, ap_error *err) {
    size_t drawn = looks->count - begin;
    size_t species = (size_t)ap_intern_count(roster->labels[AP_BY_SPECIES]) + 1;
    size_t cells = species * ((size_t)ap_intern_count(roster->labels[AP_BY_CUT]) + 1);
    *out = (ap_fit){.looks = looks, .begin = begin};
    numbers n = {.tree = calloc((size_t)ap_intern_count(roster->labels[AP_BY_TREE]) + 1, sizeof *n.tree),
                 .cell = calloc(cells, sizeof *n.cell),
                 .species = calloc(species, sizeof *n.species)};
    out->tree = calloc(drawn + 1, sizeof *out->tree);
    out->cell = calloc(drawn + 1, sizeof *out->cell);
    out->trees = calloc(drawn + 1, sizeof *out->trees);
    out->cells = calloc(cells, sizeof *out->cells);
    out->species = calloc(species, sizeof *out->species);
    bool fine = n.tree && n.cell && n.species && out->tree && out->cell && out->trees && out->cells && out->species;
    if (fine) {
        number_all(out, roster, &n);
    }
    free(n.tree);
    free(n.cell);
    free(n.species);
    return fine ? AP_OK
                : ap_error_set(err, AP_E_MEMORY, "out of memory for what chance makes of %zu picks", looks->count);
}

/* Sums become the means that the fit takes: of the kind, of its species, of all, or the plan. */
static void set_means(ap_fit *fit) {
    double own = 0;
    double mean = 0;
    for (size_t s = 0; s < fit->species_count; s++) {
        fit->species[s].own = fit->species[s].mean = 0;
    }
    for (size_t c = 0; c < fit->cell_count; c++) {
        ap_fit_cell *species = &fit->species[fit->cells[c].species];
        species->own += fit->cells[c].own;
        species->mean += fit->cells[c].mean;
        own += fit->cells[c].own;
        mean += fit->cells[c].mean;
    }
    const ap_fit_cell all = {.count = (uint32_t)fit->looks->count, .own = own, .mean = mean};
    for (size_t c = 0; c < fit->cell_count; c++) {
        ap_fit_cell *cell = &fit->cells[c];
        const ap_fit_cell *from = cell->count >= AP_SPREAD_KIND_LEAST ? cell : &fit->species[cell->species];
        from = from->count >= AP_SPREAD_KIND_LEAST ? from : &all;
        double count = from->count >= AP_SPREAD_KIND_LEAST ? (double)from->count : (double)INFINITY;
        double own_mean = from->own / count;
        double mean_mean = from->mean / count;
        cell->own = own_mean;
        cell->mean = mean_mean;
    }
}

void ap_fit_take(ap_fit *fit, const float *own) {
    size_t drawn = fit->looks->count - fit->begin;
    const float *x = own + fit->begin;
    ap_fit_sums all = {0, 0, 0};
    ap_fit_sums between = {0, 0, 0};
    for (size_t c = 0; c < fit->cell_count; c++) {
        fit->cells[c].own = fit->cells[c].mean = 0;
    }
    for (size_t t = 0; t < fit->tree_count; t++) {
        fit->trees[t].own = fit->trees[t].mean = 0;
    }
    for (size_t i = 0; i < drawn; i++) {
        ap_fit_cell *cell = &fit->cells[fit->cell[i]];
        cell->own += (double)x[i];
        cell->mean += (double)fit->trees[fit->tree[i]].effect;
    }
    set_means(fit);
    for (size_t i = 0; i < drawn; i++) {
        const ap_fit_cell *cell = &fit->cells[fit->cell[i]];
        ap_fit_tree *tree = &fit->trees[fit->tree[i]];
        double a = (double)x[i] - cell->own;
        double b = (double)tree->effect - cell->mean;
        tree->own += a;
        tree->mean += b;
        all.own += a * a;
        all.both += 2 * a * b;
        all.mean += b * b;
    }
    for (size_t t = 0; t < fit->tree_count; t++) {
        const ap_fit_tree *tree = &fit->trees[t];
        between.own += tree->own * tree->own / tree->size;
        between.both += 2 * tree->own * tree->mean / tree->size;
        between.mean += tree->mean * tree->mean / tree->size;
    }
    fit->between = between;
    fit->within = (ap_fit_sums){all.own - between.own, all.both - between.both, all.mean - between.mean};
}

void ap_fit_release(ap_fit *fit) {
    free(fit->tree);
    free(fit->cell);
    free(fit->trees);
    free(fit->cells);
    free(fit->species);
    *fit = (ap_fit){0};
}
