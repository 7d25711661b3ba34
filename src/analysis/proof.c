#include "analysis/proof.h"

#include "analysis/pooled_private.h"
#include "stats/rates.h"

enum { FOLDS_MOST = 60, FOLDS_LEAST = 3, FOLD_EFFORT = 100000, MANY_PICKS = 20000, SCRATCH_MAX = 64 << 20 };

/* Of the picks of one cell, planned with one bound. */
typedef struct tally {
    size_t picks;
    size_t within;
    size_t within_plan;
} tally;

typedef struct proof_run {
    ap_proof *out;
    const ap_roster *roster;
    const pooled_plan *plan;
    const ap_pooled_bound **bound; /* by cell of the grouping, of the fit in force */
    ap_log_limit *limit;           /* the same of the logarithm less the plan's shift */
    tally *tallies;                /* by cell, all 0 between two fits */
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

static void judge(proof_run *run, size_t place, const ap_log_limit *plan_limit) {
    uint32_t cell = run->plan->kind[run->plan->kind_of[place]].cell[0];
    double e = run->plan->e[place] + run->plan->shift;
    tally *to = &run->tallies[cell];
    to->picks++;
    to->within += !ap_log_over(e, &run->limit[cell]);
    to->within_plan += !ap_log_over(e, plan_limit);
}

static void add_tally(ap_proof_line *line, const tally *of, const ap_pooled_bound *bound) {
    if (!bound) {
        line->no_factor += of->picks;
        return;
    }
    line->held_out += of->picks;
    line->within += of->within;
    line->within_plan += of->within_plan;
    line->added += (double)of->picks * (bound->planning - 1);
}

/* The tallies go into the lines, and are 0 again. */
static void close_tallies(proof_run *run, bool rolling) {
    for (size_t g = 0; g < run->out->group_count; g++) {
        ap_proof_group *group = &run->out->groups[g];
        add_tally(rolling ? &run->out->rolling : &run->out->left_out, &run->tallies[g], run->bound[g]);
        add_tally(rolling ? &group->rolling : &group->left_out, &run->tallies[g], run->bound[g]);
        run->tallies[g] = (tally){0};
    }
}

static void set_bounds(proof_run *run, const ap_pooled *pooled) {
    for (size_t g = 0; g < run->out->group_count; g++) {
        run->bound[g] = ap_pooled_bound_for(pooled, run->out->groups[g].key);
        run->limit[g] = ap_log_limit_of(run->bound[g] ? run->bound[g]->planning : 1);
    }
}

/* One group for each cell of the grouping, made by the first of the two runs. Release the scratch also after an error. */
static ap_status begin_run(proof_run *run, ap_proof *out, ap_arena *arena, const ap_roster *roster,
                           const pooled_plan *plan, ap_error *err) {
    const ap_key_map *cells = &plan->cells[0];
    *run = (proof_run){.out = out, .roster = roster, .plan = plan};
    ap_arena_init(&run->scratch, SCRATCH_MAX);
    if (!out->groups) {
        out->group_count = cells->count;
        out->groups = ap_arena_alloc_array(arena, cells->count + 1, sizeof *out->groups);
        for (size_t g = 0; out->groups && g < cells->count; g++) {
            memcpy(out->groups[g].key, cells->keys[g], sizeof out->groups[g].key);
        }
    }
    run->bound = ap_arena_alloc_array(arena, cells->count + 1, sizeof *run->bound);
    run->limit = ap_arena_alloc_array(arena, cells->count + 1, sizeof *run->limit);
    run->tallies = ap_arena_alloc_array(arena, cells->count + 1, sizeof *run->tallies);
    for (size_t g = 0; run->limit && g < cells->count; g++) {
        run->limit[g] = ap_log_limit_of(1);
    }
    return ap_arena_check(arena, "the groups of the proof", err);
}

static ap_date date_of(const proof_run *run, size_t pick) {
    return run->roster->facts[run->plan->picks->items[pick].fact].date;
}

/* Months are counted from that of the first pick. */
typedef struct month_list {
    int first;
    size_t count;
    uint32_t *began;  /* by job: the month of its first pick + 1; a pick without a job is a job of its own */
    size_t *end;      /* by month: picks dated up to its end, the first so many */
    size_t *start;    /* by month: where its places stand below, and one more */
    uint32_t *places; /* by the month in which the pick's job began */
} month_list;

static void release_months(month_list *months) {
    free(months->began);
    free(months->end);
    free(months->start);
    free(months->places);
}

/* The first pick from `low` on that is of `date` or later: picks rise in date. */
static size_t first_from(const proof_run *run, size_t low, ap_date date) {
    size_t high = run->plan->picks->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (date_of(run, middle) < date) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

static ap_status count_months(month_list *out, proof_run *run, ap_error *err) {
    const ap_pooled_picks *picks = run->plan->picks;
    uint32_t jobs = ap_intern_count(run->roster->labels[AP_BY_JOB]);
    out->first = picks->count ? ap_month_index(date_of(run, 0)) : 0;
    out->count = picks->count ? (size_t)(ap_month_index(date_of(run, picks->count - 1)) - out->first) + 1 : 0;
    out->began = calloc((size_t)jobs + 1, sizeof *out->began);
    out->end = calloc(out->count + 1, sizeof *out->end);
    out->start = calloc(out->count + 3, sizeof *out->start);
    out->places = calloc(picks->count + 1, sizeof *out->places);
    if (!out->began || !out->end || !out->start || !out->places) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the proof");
    }
    size_t pick = 0;
    for (size_t m = 0; m < out->count; m++) {
        out->end[m] = first_from(run, pick, ap_month_first(out->first + (int)m + 1));
        for (; pick < out->end[m]; pick++) {
            uint32_t job = picks->items[pick].job;
            run->out->jobs += out->began[job] == 0 || job == 0;
            out->began[job] = out->began[job] && job ? out->began[job] : (uint32_t)m + 1;
        }
    }
    return AP_OK;
}

/* The months of the picks of one tree, which mostly is of one job, to each() by place. */
static void each_of_tree(month_list *months, const proof_run *run, size_t tree,
                         void (*each)(month_list *months, size_t month, size_t place)) {
    const pooled_plan *plan = run->plan;
    uint32_t of_all = plan->job_of_tree[tree];
    for (size_t at = plan->start[tree]; at < plan->start[tree + 1]; at++) {
        uint32_t job = of_all == POOLED_JOBS_MIXED ? plan->picks->items[plan->pick[at]].job : of_all;
        each(months,
             job ? months->began[job] - 1 : (size_t)(ap_month_index(date_of(run, plan->pick[at])) - months->first), at);
    }
}

static void count_place(month_list *months, size_t month, size_t place) {
    (void)place;
    months->start[month + 2]++;
}

static void put_place(month_list *months, size_t month, size_t place) {
    months->places[months->start[month + 1]++] = (uint32_t)place;
}

/* A counting sort. */
static void list_places(month_list *months, const proof_run *run) {
    for (size_t t = 0; t < run->plan->trees; t++) {
        each_of_tree(months, run, t, count_place);
    }
    for (size_t m = 1; m <= months->count; m++) {
        months->start[m + 1] += months->start[m];
    }
    for (size_t t = 0; t < run->plan->trees; t++) {
        each_of_tree(months, run, t, put_place);
    }
}

static bool has_grown(size_t now, size_t fitted) {
    double step = fitted > MANY_PICKS ? 1.5 : 1.01;
    return (double)now >= step * (double)fitted && now > fitted;
}

static ap_status roll(proof_run *run, pooled_parts *parts, const month_list *months, ap_error *err) {
    const ap_log_limit plan_limit = ap_log_limit_of(1);
    ap_pooled pooled = {0};
    size_t fitted = 0;
    ap_status status = AP_OK;
    for (size_t m = 0; status == AP_OK && m < months->count; m++) {
        size_t before = m ? months->end[m - 1] : 0; /* picks dated before the month */
        bool needed = months->start[m] < months->start[m + 1];
        if (needed && has_grown(before, fitted)) {
            close_tallies(run, true);
            ap_arena_clear(&run->scratch);
            pooled_sums *sums = NULL;
            status = pooled_parts_first(&sums, parts, before, err);
            if (status == AP_OK) {
                status = pooled_fit(&pooled, &run->scratch, sums, err);
            }
            if (status == AP_OK) {
                set_bounds(run, &pooled);
            }
            fitted = before;
        }
        for (size_t i = months->start[m]; status == AP_OK && i < months->start[m + 1]; i++) {
            judge(run, months->places[i], &plan_limit);
        }
    }
    close_tallies(run, true);
    return status;
}

static ap_status run_rolling(proof_run *run, pooled_parts *parts, ap_error *err) {
    month_list months = {0};
    ap_status status = count_months(&months, run, err);
    if (status == AP_OK) {
        list_places(&months, run);
        status = roll(run, parts, &months, err);
    }
    release_months(&months);
    return status;
}

static void judge_fold(proof_run *run, pooled_jobs fold) {
    const ap_log_limit plan_limit = ap_log_limit_of(1);
    const pooled_plan *plan = run->plan;
    for (size_t t = 0; t < plan->trees; t++) {
        pooled_share share = pooled_takes_tree(plan, t, fold);
        for (size_t at = plan->start[t]; share != POOLED_NONE && at < plan->start[t + 1]; at++) {
            if (share == POOLED_ALL || pooled_takes(plan, at, fold)) {
                judge(run, at, &plan_limit);
            }
        }
    }
    close_tallies(run, false);
}

static ap_status leave_out(proof_run *run, pooled_jobs fold, const pooled_parts *parts, ap_error *err) {
    pooled_sums others;
    ap_pooled pooled = {0};
    ap_arena_clear(&run->scratch);
    ap_status status = pooled_parts_without(&others, parts, fold, err);
    if (status == AP_OK) {
        status = pooled_fit(&pooled, &run->scratch, &others, err);
    }
    if (status == AP_OK) {
        set_bounds(run, &pooled);
        judge_fold(run, fold);
    }
    pooled_sums_release(&others);
    return status;
}

static bool has_picks(const pooled_plan *plan, pooled_jobs fold) {
    for (size_t at = 0; at < plan->picks->count; at++) {
        if (pooled_takes(plan, at, fold)) {
            return true;
        }
    }
    return false;
}

size_t proof_folds(const ap_roster *roster, size_t picks) {
    size_t folds = picks ? FOLD_EFFORT / picks : FOLDS_MOST;
    folds = folds < FOLDS_LEAST ? FOLDS_LEAST : folds > FOLDS_MOST ? FOLDS_MOST : folds;
    size_t labels = (size_t)ap_intern_count(roster->labels[AP_BY_JOB]) + 1;
    return labels < folds ? labels : folds; /* a job's number is its fold while there are few */
}

ap_status proof_leave_out(ap_proof *out, ap_arena *arena, const ap_roster *roster, const pooled_parts *parts,
                          ap_error *err) {
    proof_run run;
    ap_status status = begin_run(&run, out, arena, roster, parts->plan, err);
    out->folds = parts->folds;
    for (uint32_t fold = 0; status == AP_OK && fold < parts->folds; fold++) {
        const pooled_jobs left = {parts->folds, fold, false};
        status = has_picks(run.plan, left) ? leave_out(&run, left, parts, err) : AP_OK;
    }
    ap_arena_release(&run.scratch);
    return status;
}

ap_status proof_roll(ap_proof *out, ap_arena *arena, const ap_roster *roster, pooled_parts *parts, ap_error *err) {
    proof_run run;
    *out = (ap_proof){0};
    ap_status status = begin_run(&run, out, arena, roster, parts->plan, err);
    if (status == AP_OK) {
        status = run_rolling(&run, parts, err);
    }
    ap_arena_release(&run.scratch);
    return status;
}
