#include "nearmiss/spread.h"

#include <gsl/gsl_cdf.h>

#include "stats/summary.h"

enum {
    SPREAD_LEAST = 10 /* below that a spread is no measure */
};
/* A closer spread than this is not believed: no load indicator reads that well (a choice of ours). */
#define SPREAD_FLOOR 0.05
/* Taken where no spread can be fitted: the sd that methods and reference tables use for a crew's estimates. */
#define SPREAD_ASSUMED 0.15

typedef struct kinds {
    const ap_roster *roster;
    size_t end;
    ap_spread *out;
    uint32_t *order; /* compared picks by cell, in pick order within one */
    double *scratch;
    size_t *start;     /* of each cell in `order` */
    uint32_t *of_tree; /* picks by tree of the cell at hand */
} kinds;

/* Level 0: species and cut; 1: species; 2: all picks. */
static size_t cell_of(const kinds *k, const ap_fact *fact, int level) {
    size_t cuts = (size_t)ap_intern_count(k->roster->labels[AP_BY_CUT]) + 1;
    size_t species = level < 2 ? ap_fact_group(fact, AP_BY_SPECIES) : 0;
    return species * cuts + (level < 1 ? ap_fact_group(fact, AP_BY_CUT) : 0);
}

static ap_spread_kind describe(kinds *k, const uint32_t *order, size_t count) {
    ap_spread_kind kind = {.picks = (double)count};
    for (size_t i = 0; i < count; i++) {
        uint32_t *of_tree = &k->of_tree[ap_fact_group(&k->roster->facts[order[i]], AP_BY_TREE)];
        kind.squares += 2.0 * *of_tree + 1;
        ++*of_tree;
    }
    for (size_t i = 0; i < count; i++) {
        k->of_tree[ap_fact_group(&k->roster->facts[order[i]], AP_BY_TREE)] = 0;
    }
    return kind;
}

/* Cells with enough picks give their median to those that have none yet. */
static ap_status give_middles(kinds *k, size_t cells, int level, ap_error *err) {
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
        for (size_t i = 0; i < count && count >= AP_SPREAD_KIND_LEAST; i++) {
            k->scratch[i] = (double)k->roster->facts[k->order[from + i]].log_error;
        }
        if (count >= AP_SPREAD_KIND_LEAST) {
            status = ap_stats_median(&median, k->scratch, count, err);
            k->out->kinds_known[k->out->kinds_count++] = describe(k, k->order + from, count);
        }
        for (size_t i = 0; i < count && count >= AP_SPREAD_KIND_LEAST; i++) {
            size_t pick = k->order[from + i];
            if (isnan(k->out->middle[pick])) {
                k->out->middle[pick] = median;
                k->out->kind[pick] = (uint32_t)k->out->kinds_count - 1;
            }
        }
    }
    return status;
}

/* Median ln(ratio) of each pick's kind (species and cut; species; all; else 0, the plan itself), and the spread of the rest
 * about them (MAD as sd, so that the outliers looked for do not hide themselves). Uses all picks up to the period's end. */
static ap_status fit_kinds(ap_spread *out, const ap_roster *roster, size_t end, ap_error *err) {
    double *sd = &out->robust_sd;
    size_t cells = ((size_t)ap_intern_count(roster->labels[AP_BY_SPECIES]) + 1) *
                   ((size_t)ap_intern_count(roster->labels[AP_BY_CUT]) + 1);
    kinds k = {.roster = roster, .end = end, .out = out};
    k.order = calloc(end + 1, sizeof *k.order);
    k.scratch = malloc((end + 1) * sizeof *k.scratch);
    k.start = malloc((cells + 2) * sizeof *k.start);
    k.of_tree = calloc((size_t)ap_intern_count(roster->labels[AP_BY_TREE]) + 1, sizeof *k.of_tree);
    ap_status status = AP_OK;
    *sd = NAN;
    out->kinds_known = calloc(2 * cells + 2, sizeof *out->kinds_known);
    out->kinds_count = 1;
    if (!k.order || !k.scratch || !k.start || !k.of_tree || !out->kinds_known) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the spread of %zu picks", end);
        goto done;
    }
    for (size_t i = 0; i < end; i++) {
        out->middle[i] = NAN;
    }
    for (int level = 0; level < 3 && status == AP_OK; level++) {
        status = give_middles(&k, cells, level, err);
    }
    size_t rests = 0;
    for (size_t i = 0; i < end && status == AP_OK; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->compared == AP_COMPARED && isnan(out->middle[i])) {
            out->middle[i] = 0;
        } else if (fact->compared == AP_COMPARED) {
            k.scratch[rests++] = (double)fact->log_error - out->middle[i];
        }
    }
    if (status == AP_OK && rests >= SPREAD_LEAST) {
        status = ap_stats_mad(sd, k.scratch, rests, err);
    }
done:
    free(k.order);
    free(k.scratch);
    free(k.start);
    free(k.of_tree);
    return status;
}

typedef struct sums {
    double sum, squares;
    uint32_t count;
} sums;

static void add_to(sums *to, double value) {
    to->sum += value;
    to->squares += value * value;
    to->count++;
}

/* The picks that have a part in the variances, by kind. */
typedef struct level_sums {
    sums *level[2]; /* species and cut; species: places of cell_of() */
    sums all;
} level_sums;

static double mean_of_kind(const level_sums *of, const kinds *k, const ap_fact *fact) {
    for (int level = 0; level < 2; level++) {
        const sums *cell = &of->level[level][cell_of(k, fact, level)];
        if (cell->count >= AP_SPREAD_KIND_LEAST) {
            return cell->sum / cell->count;
        }
    }
    return of->all.count >= AP_SPREAD_KIND_LEAST ? of->all.sum / of->all.count : 0;
}

/* Kinds with a mean of their own, and the species among them. */
static void count_kinds(ap_spread *out, const level_sums *of, size_t cells, size_t cuts) {
    size_t last = SIZE_MAX;
    out->kinds = out->species = 0;
    for (size_t c = 0; c < cells; c++) {
        if (of->level[0][c].count >= AP_SPREAD_KIND_LEAST) {
            out->kinds++;
            out->species += c / cuts != last;
            last = c / cuts;
        }
    }
}

typedef struct parts {
    double within, between;
    double counts; /* squared tree sizes */
    sums all;
} parts;

static parts take_parts(ap_spread *out, const sums *trees, size_t labels) {
    parts p = {0};
    for (size_t t = 0; t < labels; t++) {
        p.all.sum += trees[t].sum;
        p.all.squares += trees[t].squares;
        p.all.count += trees[t].count;
    }
    for (size_t t = 0; t < labels; t++) {
        if (trees[t].count) {
            double size = trees[t].count;
            p.within += trees[t].squares - trees[t].sum * trees[t].sum / size;
            p.between += size * pow(trees[t].sum / size - p.all.sum / p.all.count, 2);
            p.counts += size * size;
            out->trees++;
        }
    }
    return p;
}

static void set_df(ap_spread *out, double size) {
    bool trees = out->tree_sd > 0;
    double within = out->within / out->within_df * (trees ? 1 - 1 / size : 1);
    double between = trees ? out->between / out->between_df / size : 0;
    out->df = pow(within + between, 2) / (within * within / out->within_df + between * between / out->between_df);
}

static void set_variances(ap_spread *out, const parts *p) {
    double n = p->all.count;
    double groups = (double)out->trees;
    /* The means were fitted too: of species between trees, of cuts within one. */
    double between_df = groups - fmax((double)out->species, 1);
    double within_df = n - groups - (double)(out->kinds - out->species);
    out->picks = p->all.count;
    if (n >= SPREAD_LEAST && between_df >= 1 && within_df >= 1) {
        double mean_within = p->within / within_df;
        double size = (n - p->counts / n) / (groups - 1);
        out->rest_sd = sqrt(fmax(mean_within, 0));
        out->tree_sd = sqrt(fmax((p->between / between_df - mean_within) / size, 0));
        out->trees_told_apart = true;
        out->within = p->within;
        out->between = p->between;
        out->within_df = within_df;
        out->between_df = between_df;
        set_df(out, size);
    } else if (n >= SPREAD_LEAST && n > (double)out->kinds) {
        /* Every tree has one pick, or there is but one tree. */
        out->within = p->all.squares;
        out->within_df = n - fmax((double)out->kinds, 1);
        out->rest_sd = sqrt(out->within / out->within_df);
        out->df = out->within_df;
    }
}

/* The variance between and within trees of what is left about the mean of each kind, wild picks left out: moments in two passes, because
 * a month's review and a million picks have to take the same way. Values are small about 0, so that sums of squares lose nothing that
 * matters. Too few picks leave NaN. */
static ap_status fit_variances(ap_spread *out, const ap_roster *roster, size_t end, double suspect_z, ap_error *err) {
    const kinds k = {.roster = roster, .end = end};
    size_t labels = (size_t)ap_intern_count(roster->labels[AP_BY_TREE]) + 1;
    size_t cuts = (size_t)ap_intern_count(roster->labels[AP_BY_CUT]) + 1;
    size_t cells = ((size_t)ap_intern_count(roster->labels[AP_BY_SPECIES]) + 1) * cuts;
    sums *trees = calloc(labels, sizeof *trees);
    level_sums of = {.level = {calloc(cells, sizeof(sums)), calloc(cells, sizeof(sums))}};
    ap_status status = AP_OK;
    if (!trees || !of.level[0] || !of.level[1]) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the spread of %zu picks", end);
        goto done;
    }
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i < end; i++) {
            const ap_fact *fact = &roster->facts[i];
            if (fact->compared != AP_COMPARED || ap_spread_suspects(out, fact, i, suspect_z)) {
                continue;
            }
            if (pass == 0) {
                add_to(&of.level[0][cell_of(&k, fact, 0)], fact->log_error);
                add_to(&of.level[1][cell_of(&k, fact, 1)], fact->log_error);
                add_to(&of.all, fact->log_error);
            } else {
                add_to(&trees[ap_fact_group(fact, AP_BY_TREE)], fact->log_error - mean_of_kind(&of, &k, fact));
            }
        }
    }
    count_kinds(out, &of, cells, cuts);
    const parts found = take_parts(out, trees, labels);
    set_variances(out, &found);
done:
    free(trees);
    free(of.level[0]);
    free(of.level[1]);
    return status;
}

ap_status ap_spread_fit(ap_spread *out, const ap_roster *roster, size_t end, double suspect_z, ap_error *err) {
    *out = (ap_spread){.rest_sd = NAN};
    out->middle = calloc(end + 1, sizeof *out->middle);
    out->kind = calloc(end + 1, sizeof *out->kind);
    if (!out->middle || !out->kind) {
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

/* What the middle's error adds to a pick's variance: pi / 2 of the variance of a mean of such trees, less twice what the pick has in common
 * with those of its own tree. */
static double variance_of_middle(const ap_spread *spread, const ap_spread_kind *kind) {
    if (!(kind->picks > 0)) {
        return 0;
    }
    double tree = spread->tree_sd * spread->tree_sd;
    double rest = spread->sd * spread->sd - tree;
    double mates = kind->squares / kind->picks - 1;
    double mean = (tree * (mates + 1) + rest) / kind->picks;
    return acos(0) * mean - 2 * tree * mates / kind->picks;
}

double ap_spread_distance(const ap_spread *spread, const ap_fact *fact, size_t pick, double suspect_z) {
    const ap_spread_kind *kind = &spread->kinds_known[spread->kind[pick]];
    double above = fact->log_error - spread->middle[pick];
    double variance = spread->sd * spread->sd;
    if (spread->df > 0 && !ap_spread_suspects(spread, fact, pick, suspect_z)) {
        double own = (above * above - variance) / (double)spread->picks;
        variance = fmax(variance - own, variance / 4);
    }
    variance = fmax(variance, spread->surprise_sd * spread->surprise_sd);
    double moved = kind->picks > 0 ? sqrt(acos(0)) * spread->sd / kind->picks : 0;
    above += above > 0 ? moved : -moved;
    return above / sqrt(variance + variance_of_middle(spread, kind));
}

double ap_spread_chance_above(const ap_spread *spread, double distance) {
    return spread->df > 0 ? gsl_cdf_tdist_Q(distance, spread->df) : gsl_cdf_ugaussian_Q(distance);
}

void ap_spread_release(ap_spread *spread) {
    free(spread->middle);
    free(spread->kind);
    free(spread->kinds_known);
    *spread = (ap_spread){0};
}
