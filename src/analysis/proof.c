#include "analysis/proof.h"

#include "analysis/pooled_private.h"
#include "stats/rates.h"

enum { FOLDS_MOST = 60, FOLDS_LEAST = 3, FOLD_EFFORT = 100000, MANY_PICKS = 20000, SCRATCH_MAX = 64 << 20 };

typedef struct proof_run {
    ap_proof *out;
    const ap_roster *roster;
    const pooled_plan *plan;
    const ap_pooled_bound **bound; /* by cell of the grouping, of the fit in force */
    ap_arena scratch;
} proof_run;

bool ap_proof_coverage(double *share, ap_interval *interval, const ap_proof_line *line) {
    ap_error why;
    *share = NAN;
    if (line->held_out == 0 || ap_share_interval(interval, line->within, line->held_out, 0.95, &why) != AP_OK) {
        return false;
    }
    *share = (double)line->within / (double)line->held_out;
    return true;
}

const ap_proof_group *ap_proof_find(const ap_proof *proof, const uint32_t key[AP_WEIGHTS_BY_MAX]) {
    for (size_t g = 0; g < proof->group_count; g++) {
        if (memcmp(proof->groups[g].key, key, sizeof proof->groups[g].key) == 0) {
            return &proof->groups[g];
        }
    }
    return NULL;
}

static void count_pick(ap_proof_line *line, const ap_pooled_bound *bound, double e) {
    if (!bound) {
        line->no_factor++;
        return;
    }
    line->held_out++;
    line->within += !ap_over(exp(e), bound->planning);
    line->within_plan += !ap_over(exp(e), 1);
    line->added += bound->planning - 1;
}

static void judge(proof_run *run, size_t pick, bool rolling) {
    uint32_t cell = run->plan->kind[run->plan->kind_of[run->plan->place_of[pick]]].cell[0];
    ap_proof_group *group = &run->out->groups[cell];
    double e = run->plan->picks->items[pick].e;
    count_pick(rolling ? &run->out->rolling : &run->out->left_out, run->bound[cell], e);
    count_pick(rolling ? &group->rolling : &group->left_out, run->bound[cell], e);
}

static void set_bounds(proof_run *run, const ap_pooled *pooled) {
    for (size_t g = 0; g < run->out->group_count; g++) {
        run->bound[g] = ap_pooled_bound_for(pooled, run->out->groups[g].key);
    }
}

/* One group for each cell of the grouping. */
static ap_status make_groups(proof_run *run, ap_arena *arena, ap_error *err) {
    const ap_key_map *cells = &run->plan->cells[0];
    run->out->group_count = cells->count;
    run->out->groups = ap_arena_alloc_array(arena, cells->count + 1, sizeof *run->out->groups);
    run->bound = ap_arena_alloc_array(arena, cells->count + 1, sizeof *run->bound);
    for (size_t g = 0; run->out->groups && g < cells->count; g++) {
        memcpy(run->out->groups[g].key, cells->keys[g], sizeof run->out->groups[g].key);
    }
    return ap_arena_check(arena, "the groups of the proof", err);
}

static uint32_t job_of(const proof_run *run, size_t pick) {
    return ap_fact_group(&run->roster->facts[run->plan->picks->items[pick].fact], AP_BY_JOB);
}

static ap_date date_of(const proof_run *run, size_t pick) {
    return run->roster->facts[run->plan->picks->items[pick].fact].date;
}

/* The month, counted from the first one, in which each pick's job began. A pick without a job is a job of its own. */
static ap_status begin_months(const proof_run *run, uint32_t *month, int *first, size_t *months, ap_error *err) {
    uint32_t jobs = ap_intern_count(run->roster->labels[AP_BY_JOB]);
    uint32_t *began = calloc((size_t)jobs + 1, sizeof *began); /* month + 1 */
    if (!began) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for %u jobs", jobs);
    }
    *first = run->plan->picks->count ? ap_month_index(date_of(run, 0)) : 0;
    for (size_t i = 0; i < run->plan->picks->count; i++) {
        uint32_t job = job_of(run, i);
        uint32_t now = (uint32_t)(ap_month_index(date_of(run, i)) - *first);
        run->out->jobs += began[job] == 0 || job == 0;
        if (began[job] == 0 || job == 0) {
            began[job] = now + 1;
        }
        month[i] = began[job] - 1;
        *months = now + 1;
    }
    free(began);
    return AP_OK;
}

static bool has_grown(size_t now, size_t fitted) {
    double step = fitted > MANY_PICKS ? 1.5 : 1.01;
    return (double)now >= step * (double)fitted && now > fitted;
}

static ap_status roll(proof_run *run, pooled_sums *sums, const uint32_t *month, const uint32_t *order, int first,
                      size_t months, ap_error *err) {
    ap_pooled pooled = {0};
    size_t before = 0; /* picks dated before the month */
    size_t fitted = 0;
    size_t at = 0;
    size_t count = run->plan->picks->count;
    ap_status status = AP_OK;
    for (size_t m = 0; status == AP_OK && m < months; m++) {
        ap_date begin = ap_month_first(first + (int)m);
        while (before < count && date_of(run, before) < begin) {
            before++;
        }
        bool needed = at < count && month[order[at]] == m;
        if (needed && has_grown(before, fitted)) {
            ap_arena_clear(&run->scratch);
            status = pooled_sums_extend(sums, before, err);
            if (status == AP_OK) {
                status = pooled_fit(&pooled, &run->scratch, sums, err);
            }
            if (status == AP_OK) {
                set_bounds(run, &pooled);
            }
            fitted = before;
        }
        for (; status == AP_OK && at < count && month[order[at]] == m; at++) {
            judge(run, order[at], true);
        }
    }
    return status;
}

/* Picks by the month in which their job began, else in pick order: a counting sort. */
static bool order_by_month(uint32_t *order, const uint32_t *month, size_t count, size_t months) {
    size_t *start = calloc(months + 2, sizeof *start);
    if (!start) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        start[month[i] + 1]++;
    }
    for (size_t m = 1; m <= months; m++) {
        start[m] += start[m - 1];
    }
    for (size_t i = 0; i < count; i++) {
        order[start[month[i]]++] = (uint32_t)i;
    }
    free(start);
    return true;
}

static ap_status run_rolling(proof_run *run, pooled_sums *sums, ap_error *err) {
    size_t count = run->plan->picks->count;
    uint32_t *month = calloc(count + 1, sizeof *month);
    uint32_t *order = calloc(count + 1, sizeof *order);
    int first = 0;
    size_t months = 0;
    ap_status status = month && order ? begin_months(run, month, &first, &months, err)
                                      : ap_error_set(err, AP_E_MEMORY, "out of memory for the proof");
    if (status == AP_OK && !order_by_month(order, month, count, months)) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the proof");
    }
    if (status == AP_OK) {
        status = roll(run, sums, month, order, first, months, err);
    }
    free(month);
    free(order);
    return status;
}

static ap_status leave_out(proof_run *run, size_t fold, bool *skip, ap_error *err) {
    pooled_sums others;
    ap_pooled pooled = {0};
    size_t count = run->plan->picks->count;
    for (size_t i = 0; i < count; i++) {
        skip[run->plan->place_of[i]] = job_of(run, i) % run->out->folds == fold;
    }
    ap_arena_clear(&run->scratch);
    ap_status status = pooled_sums_make(&others, run->plan, err);
    if (status == AP_OK) {
        status = pooled_sums_add_but(&others, skip, err);
    }
    if (status == AP_OK) {
        status = pooled_fit(&pooled, &run->scratch, &others, err);
    }
    if (status == AP_OK) {
        set_bounds(run, &pooled);
    }
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        if (skip[run->plan->place_of[i]]) {
            judge(run, i, false);
        }
    }
    pooled_sums_release(&others);
    return status;
}

static ap_status run_left_out(proof_run *run, ap_error *err) {
    size_t count = run->plan->picks->count;
    size_t folds = count ? FOLD_EFFORT / count : FOLDS_MOST;
    folds = folds < FOLDS_LEAST ? FOLDS_LEAST : folds > FOLDS_MOST ? FOLDS_MOST : folds;
    uint32_t labels = ap_intern_count(run->roster->labels[AP_BY_JOB]);
    run->out->folds = labels + 1 < folds ? labels + 1 : folds; /* a job's number is its fold while there are few */
    bool *skip = calloc(count + 1, sizeof *skip);
    ap_status status = skip ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the proof");
    for (size_t fold = 0; status == AP_OK && fold < run->out->folds; fold++) {
        bool any = false;
        for (size_t i = 0; i < count && !any; i++) {
            any = job_of(run, i) % run->out->folds == fold;
        }
        status = any ? leave_out(run, fold, skip, err) : AP_OK;
    }
    free(skip);
    return status;
}

ap_status proof_run_on(ap_proof *out, ap_arena *arena, const ap_roster *roster, pooled_sums *sums, ap_error *err) {
    *out = (ap_proof){0};
    proof_run run = {.out = out, .roster = roster, .plan = sums->plan};
    ap_arena_init(&run.scratch, SCRATCH_MAX);
    ap_status status = make_groups(&run, arena, err);
    if (status == AP_OK) {
        status = run_rolling(&run, sums, err);
    }
    if (status == AP_OK) {
        memset(run.bound, 0, run.out->group_count * sizeof *run.bound);
        status = run_left_out(&run, err);
    }
    ap_arena_release(&run.scratch);
    return status;
}
