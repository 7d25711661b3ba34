#include "nearmiss/spread.h"

#include "stats/oneway.h"
#include "stats/summary.h"

typedef struct cell_value {
    uint64_t cell;
    size_t fact;
    double log_error;
} cell_value;

static int by_cell(const void *left, const void *right) {
    const cell_value *a = left;
    const cell_value *b = right;
    if (a->cell != b->cell) {
        return a->cell < b->cell ? -1 : 1;
    }
    return (a->log_error > b->log_error) - (a->log_error < b->log_error);
}

enum {
    CELL_LEAST = 5,   /* fewer picks are no kind of their own: the species, then all picks, then the plan stand in */
    SPREAD_LEAST = 10 /* below that a spread is no measure */
};
/* A closer spread than this is not believed: no load indicator reads that well (a choice of ours). */
#define SPREAD_FLOOR 0.05
/* Taken where no spread can be fitted: the sd that methods and reference tables use for a crew's estimates. */
#define SPREAD_ASSUMED 0.15

static double middle_of(const cell_value *values, size_t n) {
    return (values[(n - 1) / 2].log_error + values[n / 2].log_error) / 2;
}

/* One pass over the values sorted by cell: cells with enough picks give their median to those that have none yet. The rest
 * of each pick about the middle it was first given goes to `rest`. */
static void give_middles(double *middle, cell_value *values, size_t count, double *rest, size_t *rests) {
    qsort(values, count, sizeof *values, by_cell);
    for (size_t from = 0, to = 0; from < count; from = to) {
        while (to < count && values[to].cell == values[from].cell) {
            to++;
        }
        double median = middle_of(values + from, to - from);
        for (size_t i = from; to - from >= CELL_LEAST && i < to; i++) {
            if (isnan(middle[values[i].fact])) {
                middle[values[i].fact] = median;
                rest[(*rests)++] = values[i].log_error - median;
            }
        }
    }
}

/* Median ln(ratio) of each pick's kind (species and cut; species; all; else 0, the plan itself), and the spread of the rest
 * about them (MAD as sd, so that the outliers looked for do not hide themselves). Uses all picks up to the period's end. */
static ap_status fit_kinds(double *middle, double *sd, const ap_roster *roster, size_t end, ap_error *err) {
    *sd = NAN;
    cell_value *values = calloc(end + 1, sizeof *values);
    double *rest = calloc(end + 1, sizeof *rest);
    ap_status status = AP_OK;
    if (!values || !rest) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the spread of %zu picks", end);
        goto done;
    }
    size_t rests = 0;
    for (size_t i = 0; i < end; i++) {
        middle[i] = NAN;
    }
    for (int level = 0; level < 3; level++) {
        size_t count = 0;
        for (size_t i = 0; i < end; i++) {
            const ap_fact *fact = &roster->facts[i];
            if (fact->compared == AP_COMPARED) {
                uint64_t species = level < 2 ? fact->group[AP_BY_SPECIES] : 0;
                uint64_t cut = level < 1 ? fact->group[AP_BY_CUT] : 0;
                values[count++] = (cell_value){species << 32 | cut, i, fact->log_error};
            }
        }
        give_middles(middle, values, count, rest, &rests);
    }
    for (size_t i = 0; i < end; i++) {
        middle[i] = roster->facts[i].compared == AP_COMPARED && isnan(middle[i]) ? 0 : middle[i];
    }
    if (rests >= SPREAD_LEAST) {
        status = ap_stats_mad(sd, rest, rests, err);
    }
done:
    free(values);
    free(rest);
    return status;
}

/* The variance between and within trees of what is left about the middle of each kind, wild picks left out: moments, because a
 * month's review and a million picks have to take the same way. Too few picks leave NaN. */
static ap_status fit_variances(ap_spread *out, const ap_roster *roster, size_t end, double suspect_z, ap_error *err) {
    double *rest = malloc((end + 1) * sizeof *rest);
    uint32_t *tree = malloc((end + 1) * sizeof *tree);
    ap_status status = AP_OK;
    if (!rest || !tree) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the spread of %zu picks", end);
        goto done;
    }
    size_t n = 0;
    double squares = 0;
    for (size_t i = 0; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->compared == AP_COMPARED && !ap_spread_suspects(out, fact, i, suspect_z)) {
            double left = fact->log_error - out->middle[i];
            tree[n] = fact->group[AP_BY_TREE];
            rest[n++] = left;
            squares += left * left;
        }
    }
    ap_oneway fit;
    ap_error none;
    out->picks = n;
    if (n >= SPREAD_LEAST && ap_oneway_fit(&fit, rest, tree, n, &none) == AP_OK) {
        out->rest_sd = fit.pooled_sd;
        out->tree_sd = sqrt(fit.between_variance);
        out->trees = fit.groups;
        out->trees_told_apart = true;
    } else if (n >= SPREAD_LEAST) {
        out->rest_sd = sqrt(squares / (double)(n - 1)); /* every tree has one pick */
    }
done:
    free(rest);
    free(tree);
    return status;
}

ap_status ap_spread_fit(ap_spread *out, const ap_roster *roster, size_t end, double suspect_z, ap_error *err) {
    *out = (ap_spread){.rest_sd = NAN};
    out->middle = calloc(end + 1, sizeof *out->middle);
    if (!out->middle) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the detectors over %zu picks", end);
    }
    ap_status status = fit_kinds(out->middle, &out->robust_sd, roster, end, err);
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
