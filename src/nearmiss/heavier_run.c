/* Weighed picks in a row heavier than planned by more than 10 %, per estimator, crew, species, species and cut.
 *
 * R1  a pick that cannot be compared is skipped, it neither ends nor lengthens a run;
 * R2  a blank estimator, crew or species forms no group;
 * R3  runs span jobs and months; a finding belongs to the period its last pick falls in;
 * R4  runs that rest on the same picks (one inside the other) are one finding that names every group it shows in. */
#include "nearmiss/detect.h"

#include "stats/summary.h"

const ap_run_group ap_run_groups[AP_RUN_GROUPS] = {
    {{AP_BY_ESTIMATOR, AP_BY_ESTIMATOR}, 1},
    {{AP_BY_CREW, AP_BY_CREW}, 1},
    {{AP_BY_SPECIES, AP_BY_SPECIES}, 1},
    {{AP_BY_SPECIES, AP_BY_CUT}, 2},
};

typedef struct run {
    size_t *picks;
    size_t count;
    size_t group; /* index in ap_run_groups */
    uint32_t key[2];
    bool merged;
} run;

typedef struct run_list {
    run *items;
    size_t count;
    size_t cap;
} run_list;

/* The run being built for one group value. */
typedef struct open_run {
    size_t *picks;
    size_t count;
    size_t cap;
} open_run;

static bool push(open_run *open, size_t pick) {
    if (open->count == open->cap) {
        size_t cap = open->cap ? open->cap * 2 : 8;
        size_t *grown = realloc(open->picks, cap * sizeof *grown);
        if (!grown) {
            return false;
        }
        open->picks = grown;
        open->cap = cap;
    }
    open->picks[open->count++] = pick;
    return true;
}

/* Keeps a run that is long enough and whose last pick lies in the period. */
static bool close_run(run_list *runs, open_run *open, const ap_detect_input *in, size_t group, const uint32_t *key) {
    bool keep = open->picks && open->count >= in->run_length && open->picks[open->count - 1] >= in->first;
    if (keep) {
        if (runs->count == runs->cap) {
            size_t cap = runs->cap ? runs->cap * 2 : 16;
            run *grown = realloc(runs->items, cap * sizeof *grown);
            if (!grown) {
                return false;
            }
            runs->items = grown;
            runs->cap = cap;
        }
        runs->items[runs->count++] = (run){open->picks, open->count, group, {key[0], key[1]}, false};
        *open = (open_run){0}; /* the list owns the picks now */
    }
    open->count = 0;
    return true;
}

static bool scan_group(run_list *runs, const ap_detect_input *in, size_t group) {
    const ap_run_group *by = &ap_run_groups[group];
    const ap_roster *roster = in->roster;
    size_t width = by->by_count == 2 ? (size_t)ap_intern_count(roster->labels[by->by[1]]) + 1 : 1;
    size_t slots = ((size_t)ap_intern_count(roster->labels[by->by[0]]) + 1) * width;
    open_run *open = calloc(slots, sizeof *open);
    bool fine = open != NULL;
    double limit = 1 + roster->settings.heavier;
    for (size_t i = 0; fine && i < in->end; i++) {
        const ap_fact *fact = &roster->facts[i];
        uint32_t key[2] = {fact->group[by->by[0]], by->by_count == 2 ? fact->group[by->by[1]] : 0};
        if (fact->compared != AP_COMPARED || key[0] == 0 || (by->by_count == 2 && key[1] == 0)) {
            continue; /* R1, R2 */
        }
        open_run *slot = &open[key[0] * width + key[1]];
        fine = ap_over(ap_fact_ratio(fact), limit) ? push(slot, i) : close_run(runs, slot, in, group, key);
    }
    for (size_t s = 0; open && s < slots; s++) {
        uint32_t key[2] = {(uint32_t)(s / width), (uint32_t)(s % width)};
        fine = fine && close_run(runs, &open[s], in, group, key); /* still going at the period's end */
        free(open[s].picks);
    }
    free(open);
    return fine;
}

static bool holds(const run *outer, const run *inner) {
    size_t at = 0;
    for (size_t i = 0; i < inner->count; i++) {
        while (at < outer->count && outer->picks[at] < inner->picks[i]) {
            at++;
        }
        if (at == outer->count || outer->picks[at] != inner->picks[i]) {
            return false;
        }
    }
    return true;
}

static void name_scope(ap_buf *scope, const ap_roster *roster, const run *item) {
    const ap_run_group *by = &ap_run_groups[item->group];
    if (scope->len) {
        ap_buf_append_cstr(scope, "; ");
    }
    ap_str label = ap_roster_label(roster, by->by[0], item->key[0]);
    const char *what = ap_by_label(by->by[0]);
    bool said = ap_str_starts(label, ap_str_from(what)); /* "crew B" is not "crew crew B" */
    ap_buf_appendf(scope, "%s%s%.*s", said ? "" : what, said ? "" : " ", AP_STR_ARG(label));
    if (by->by_count == 2) {
        ap_buf_appendf(scope, ", %s cut", ap_roster_label(roster, by->by[1], item->key[1]).ptr);
    }
}

static ap_status report_run(ap_finding_list *out, const ap_roster *roster, const run *item, ap_str scope,
                            ap_error *err) {
    double *errors = calloc(item->count, sizeof *errors);
    if (!errors) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a run of %zu picks", item->count);
    }
    for (size_t i = 0; i < item->count; i++) {
        errors[i] = roster->facts[item->picks[i]].log_error;
    }
    double median = NAN;
    ap_status status = ap_stats_median(&median, errors, item->count, err);
    free(errors);
    ap_finding finding = {.detector = AP_DETECT_HEAVIER_RUN,
                          .class = AP_FINDING_LIKELY,
                          .scope = scope,
                          .picks = item->picks,
                          .pick_count = item->count,
                          .first = roster->facts[item->picks[0]].date,
                          .last = roster->facts[item->picks[item->count - 1]].date,
                          .value = exp(median),
                          .z = NAN,
                          .rank = 100 + (double)item->count};
    return status == AP_OK ? ap_finding_add(out, &finding, err) : status;
}

static int longest_first(const void *left, const void *right) {
    const run *a = left;
    const run *b = right;
    if (a->count != b->count) {
        return a->count < b->count ? 1 : -1;
    }
    if (a->group != b->group) {
        return a->group < b->group ? -1 : 1;
    }
    return (a->picks[0] > b->picks[0]) - (a->picks[0] < b->picks[0]);
}

/* R4. */
static ap_status merge_and_report(ap_finding_list *out, run_list *runs, const ap_roster *roster, ap_error *err) {
    ap_status status = AP_OK;
    ap_buf scope;
    ap_buf_init(&scope, 1u << 16);
    if (runs->count > 1) {
        qsort(runs->items, runs->count, sizeof *runs->items, longest_first);
    }
    for (size_t a = 0; a < runs->count && status == AP_OK; a++) {
        if (runs->items[a].merged) {
            continue;
        }
        ap_buf_clear(&scope);
        name_scope(&scope, roster, &runs->items[a]);
        for (size_t b = a + 1; b < runs->count; b++) {
            if (!runs->items[b].merged && holds(&runs->items[a], &runs->items[b])) {
                name_scope(&scope, roster, &runs->items[b]);
                runs->items[b].merged = true;
            }
        }
        status = report_run(out, roster, &runs->items[a], ap_buf_str(&scope), err);
    }
    ap_buf_release(&scope);
    return status;
}

ap_status ap_detect_heavier_run(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    run_list runs = {0};
    ap_status status = AP_OK;
    for (size_t group = 0; group < AP_RUN_GROUPS && status == AP_OK; group++) {
        if (!scan_group(&runs, in, group)) {
            status = ap_error_set(err, AP_E_MEMORY, "out of memory for the runs of %zu picks", in->end);
        }
    }
    if (status == AP_OK) {
        status = merge_and_report(out, &runs, in->roster, err);
    }
    for (size_t i = 0; i < runs.count; i++) {
        free(runs.items[i].picks);
    }
    free(runs.items);
    return status;
}
