#include "nearmiss/detect.h"

#include "stats/runs.h"
#include "stats/summary.h"

static const ap_detector_fn detectors[AP_DETECT_COUNT] = {
    [AP_DETECT_DAMAGE] = ap_detect_damage,           [AP_DETECT_NEAR_MISS] = ap_detect_near_miss,
    [AP_DETECT_OVER_CHART] = ap_detect_over_chart,   [AP_DETECT_TOWARD_PERSON] = ap_detect_toward_person,
    [AP_DETECT_THIN_MARGIN] = ap_detect_thin_margin, [AP_DETECT_HEAVIER_RUN] = ap_detect_heavier_run,
    [AP_DETECT_SURPRISE] = ap_detect_surprise,
};

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
static ap_status fit_cells(double *middle, double *sd, const ap_roster *roster, size_t end, ap_error *err) {
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

static size_t count_looks(const ap_roster *roster, size_t first, size_t end) {
    size_t looks = 0;
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        for (size_t g = 0; g < AP_RUN_GROUPS && fact->compared == AP_COMPARED; g++) {
            const ap_run_group *by = &ap_run_groups[g];
            looks += fact->group[by->by[0]] != 0 && fact->group[by->by[by->by_count - 1]] != 0;
        }
    }
    return looks;
}

static void judge_chance(ap_run_chance *chance, const ap_detect_input *in) {
    *chance = (ap_run_chance){.sd = in->sd, .share = NAN, .picks_per_alarm = NAN, .expected = NAN};
    chance->looks = count_looks(in->roster, in->first, in->end);
    ap_error none;
    if (in->sd > 0 && ap_runs_share(&chance->share, 1 + in->roster->settings.heavier, 0, in->sd, &none) == AP_OK &&
        ap_runs_arl(&chance->picks_per_alarm, chance->share, in->run_length, &none) == AP_OK) {
        chance->expected = (double)chance->looks / chance->picks_per_alarm;
    }
}

ap_status ap_detect_all(ap_finding_list *out, ap_run_chance *chance, const ap_roster *roster, ap_date since,
                        ap_date until, ap_error *err) {
    ap_detect_input in = {.roster = roster, .run_length = (unsigned)roster->settings.run_length};
    ap_roster_slice(roster, since, until, &in.first, &in.end);
    double *middle = calloc(in.end + 1, sizeof *middle);
    if (!middle) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the detectors over %zu picks", in.end);
    }
    ap_status status = fit_cells(middle, &in.sd, roster, in.end, err);
    in.cell_middle = middle;
    in.surprise_sd = isnan(in.sd) ? SPREAD_ASSUMED : fmax(in.sd, SPREAD_FLOOR);
    for (size_t d = 0; d < AP_DETECT_COUNT && status == AP_OK; d++) {
        status = detectors[d](out, &in, err);
    }
    if (status == AP_OK) {
        ap_finding_sort(out);
        if (chance) {
            judge_chance(chance, &in);
        }
    }
    free(middle);
    return status;
}
