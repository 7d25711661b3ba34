#include "nearmiss/spread.h"

#include "stats/summary.h"

enum {
    CELL_LEAST = 5,   /* fewer picks are no kind of their own: the species, then all picks, then the plan stand in */
    SPREAD_LEAST = 10 /* below that a spread is no measure */
};
/* A closer spread than this is not believed: no load indicator reads that well (a choice of ours). */
#define SPREAD_FLOOR 0.05
/* Taken where no spread can be fitted: the sd that methods and reference tables use for a crew's estimates. */
#define SPREAD_ASSUMED 0.15

typedef struct kinds {
    const ap_roster *roster;
    size_t end;
    double *middle;
    uint32_t *order; /* compared picks by cell, in pick order within one */
    double *scratch;
    size_t *start;       /* of each cell in `order` */
    size_t cells;        /* species and cut with a middle of their own, */
    size_t cell_species; /* and the species among them */
} kinds;

/* Level 0: species and cut; 1: species; 2: all picks. */
static size_t cell_of(const kinds *k, const ap_fact *fact, int level) {
    size_t cuts = (size_t)ap_intern_count(k->roster->labels[AP_BY_CUT]) + 1;
    size_t species = level < 2 ? ap_fact_group(fact, AP_BY_SPECIES) : 0;
    return species * cuts + (level < 1 ? ap_fact_group(fact, AP_BY_CUT) : 0);
}

/* Cells with enough picks give their median to those that have none yet. */
static ap_status give_middles(kinds *k, size_t cells, int level, ap_error *err) {
    size_t cuts = (size_t)ap_intern_count(k->roster->labels[AP_BY_CUT]) + 1;
    size_t last_species = 0;
    memset(k->start, 0, (cells + 2) * sizeof *k->start);
    for (size_t i = 0; i < k->end; i++) {
        const ap_fact *fact = &k->roster->facts[i];
        k->start[cell_of(k, fact, level) + 1] += fact->compared == AP_COMPARED;
    }
    for (size_t c = 1; c <= cells; c++) {
        k->start[c] += k->start[c - 1];
    }
    for (size_t i = 0; i < k->end; i++) {
        const ap_fact *fact = &k->roster->facts[i];
        if (fact->compared == AP_COMPARED) {
            k->order[k->start[cell_of(k, fact, level)]++] = (uint32_t)i;
        }
    }
    ap_status status = AP_OK;
    for (size_t c = 0, from = 0; c < cells && status == AP_OK; from = k->start[c++]) {
        size_t count = k->start[c] - from; /* every start has moved to the cell's end */
        double median = NAN;
        for (size_t i = 0; i < count && count >= CELL_LEAST; i++) {
            k->scratch[i] = (double)k->roster->facts[k->order[from + i]].log_error;
        }
        if (count >= CELL_LEAST) {
            status = ap_stats_median(&median, k->scratch, count, err);
            size_t species = cuts ? c / cuts + 1 : 1;
            k->cells += level == 0;
            k->cell_species += level == 0 && species != last_species;
            last_species = species;
        }
        for (size_t i = 0; i < count && count >= CELL_LEAST; i++) {
            double *middle = &k->middle[k->order[from + i]];
            *middle = isnan(*middle) ? median : *middle;
        }
    }
    return status;
}

/* Median ln(ratio) of each pick's kind (species and cut; species; all; else 0, the plan itself), and the spread of the rest
 * about them (MAD as sd, so that the outliers looked for do not hide themselves). Uses all picks up to the period's end. */
static ap_status fit_kinds(ap_spread *out, const ap_roster *roster, size_t end, ap_error *err) {
    double *middle = out->middle;
    double *sd = &out->robust_sd;
    size_t cells = ((size_t)ap_intern_count(roster->labels[AP_BY_SPECIES]) + 1) *
                   ((size_t)ap_intern_count(roster->labels[AP_BY_CUT]) + 1);
    kinds k = {.roster = roster, .end = end, .middle = middle};
    k.order = calloc(end + 1, sizeof *k.order);
    k.scratch = malloc((end + 1) * sizeof *k.scratch);
    k.start = malloc((cells + 2) * sizeof *k.start);
    ap_status status = AP_OK;
    *sd = NAN;
    if (!k.order || !k.scratch || !k.start) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the spread of %zu picks", end);
        goto done;
    }
    for (size_t i = 0; i < end; i++) {
        middle[i] = NAN;
    }
    for (int level = 0; level < 3 && status == AP_OK; level++) {
        status = give_middles(&k, cells, level, err);
    }
    size_t rests = 0;
    for (size_t i = 0; i < end && status == AP_OK; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->compared == AP_COMPARED && isnan(middle[i])) {
            middle[i] = 0;
        } else if (fact->compared == AP_COMPARED) {
            k.scratch[rests++] = (double)fact->log_error - middle[i];
        }
    }
    if (status == AP_OK && rests >= SPREAD_LEAST) {
        status = ap_stats_mad(sd, k.scratch, rests, err);
    }
    out->kinds = k.cells;
    out->species = k.cell_species;
done:
    free(k.order);
    free(k.scratch);
    free(k.start);
    return status;
}

typedef struct tree_sum {
    double sum, squares;
    uint32_t count;
} tree_sum;

/* The variance between and within trees of what is left about the middle of each kind, wild picks left out: moments in one pass, because a
 * month's review and a million picks have to take the same way. Values are small about 0, so that sums of squares lose nothing that
 * matters. Too few picks leave NaN. */
static ap_status fit_variances(ap_spread *out, const ap_roster *roster, size_t end, double suspect_z, ap_error *err) {
    size_t labels = (size_t)ap_intern_count(roster->labels[AP_BY_TREE]) + 1;
    tree_sum *trees = calloc(labels, sizeof *trees);
    if (!trees) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the spread of %zu picks", end);
    }
    double n = 0;
    double sum = 0;
    double squares = 0;
    for (size_t i = 0; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->compared == AP_COMPARED && !ap_spread_suspects(out, fact, i, suspect_z)) {
            double left = (double)fact->log_error - out->middle[i];
            tree_sum *tree = &trees[ap_fact_group(fact, AP_BY_TREE)];
            tree->count++;
            tree->sum += left;
            tree->squares += left * left;
            n++;
            sum += left;
            squares += left * left;
        }
    }
    double within = 0;
    double between = 0;
    double counts = 0;
    for (size_t t = 0; t < labels; t++) {
        if (trees[t].count) {
            double size = trees[t].count;
            within += trees[t].squares - trees[t].sum * trees[t].sum / size;
            between += size * pow(trees[t].sum / size - sum / n, 2);
            counts += size * size;
            out->trees++;
        }
    }
    free(trees);
    out->picks = (size_t)n;
    double groups = (double)out->trees;
    /* The middles were fitted too: of species between trees, of cuts within one. */
    double between_df = groups - fmax((double)out->species, 1);
    double within_df = n - groups - (double)(out->kinds - out->species);
    if (n >= SPREAD_LEAST && between_df >= 1 && within_df >= 1) {
        double mean_within = within / within_df;
        double size = (n - counts / n) / (groups - 1);
        out->rest_sd = sqrt(fmax(mean_within, 0));
        out->tree_sd = sqrt(fmax((between / between_df - mean_within) / size, 0));
        out->trees_told_apart = true;
    } else if (n >= SPREAD_LEAST) {
        out->rest_sd = sqrt(squares / (n - 1)); /* every tree has one pick, or there is but one tree */
    }
    return AP_OK;
}

ap_status ap_spread_fit(ap_spread *out, const ap_roster *roster, size_t end, double suspect_z, ap_error *err) {
    *out = (ap_spread){.rest_sd = NAN};
    out->middle = calloc(end + 1, sizeof *out->middle);
    if (!out->middle) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the detectors over %zu picks", end);
    }
    ap_status status = fit_kinds(out, roster, end, err);
    out->surprise_sd = isnan(out->robust_sd) ? SPREAD_ASSUMED : fmax(out->robust_sd, SPREAD_FLOOR);
    if (status == AP_OK) {
        status = fit_variances(out, roster, end, suspect_z, err);
    }
    out->assumed = !(out->rest_sd > 0) && !(out->robust_sd > 0);
    out->sd = out->rest_sd > 0     ? hypot(out->tree_sd, out->rest_sd)
              : out->robust_sd > 0 ? out->robust_sd
                                   : SPREAD_ASSUMED;
    out->sd = fmax(out->sd, SPREAD_FLOOR);
    return status;
}

bool ap_spread_suspects(const ap_spread *spread, const ap_fact *fact, size_t pick, double suspect_z) {
    bool above_ceiling = fact->wood & AP_FACT_ABOVE_CEILING;
    return above_ceiling || fabs(fact->log_error - spread->middle[pick]) > suspect_z * spread->surprise_sd;
}

void ap_spread_release(ap_spread *spread) {
    free(spread->middle);
    *spread = (ap_spread){0};
}
