#include "analysis/reestimate.h"

#include "stats/summary.h"

enum { SCRATCH_MAX = 96 << 20, MANY_PICKS = 20000, CLASSES = 3 };

bool ap_density_is_recommended(ap_density_verdict verdict) {
    return verdict == AP_DENSITY_HEAVIER || verdict == AP_DENSITY_LIGHTER;
}

typedef enum plan_kind { PLAN_ANEW, PLAN_BY_EYE, PLAN_BUTT, PLAN_OTHER } plan_kind;

typedef struct plan {
    double e;     /* as planned */
    double used;  /* ln figure of the plan's day over the handbook's */
    double left;  /* shift from the other trees */
    double later; /* shift from earlier jobs; NaN when there was none to plan from */
    uint32_t fact, tree, species;
    uint32_t month; /* in which its job began, from the first one */
    plan_kind kind;
} plan;

typedef struct run {
    const ap_roster *roster;
    const ap_density_picks *picks;
    const ap_density *density;
    const ap_density_priors *priors;
    plan *plans; /* heap, in pick order */
    size_t count;
    uint32_t months;
    int first_month;
    double *gains; /* heap scratch of `count` places */
    uint32_t *trees;
} run;

static plan_kind kind_of(const ap_roster *roster, const ap_fact *fact) {
    ap_str basis = ap_roster_label(roster, AP_BY_BASIS, ap_fact_group(fact, AP_BY_BASIS));
    if (basis.ptr && ap_word_find(AP_VOC_BASIS, basis) == AP_BASIS_BY_EYE) {
        return PLAN_BY_EYE;
    }
    bool sound = fact->wood_class == AP_WOOD_SOUND || fact->wood_class == AP_WOOD_CONDITION_BLANK;
    if (!(fact->wood & AP_FACT_PLANNED_BY_DENSITY) || !sound) {
        return PLAN_OTHER;
    }
    return (fact->wood & AP_FACT_BUTT) && !(fact->wood & AP_FACT_MID_TAPED) ? PLAN_BUTT : PLAN_ANEW;
}

/* The carried figure may be heavier than the fit's (D5): that much on top. */
static double carried(const ap_density *density, uint32_t label) {
    const ap_density_species *row = ap_density_find(density, label);
    return row ? row->shift - ap_density_shift(density, label) : 0;
}

static ap_status take_plans(run *r, ap_error *err) {
    const ap_roster *roster = r->roster;
    uint32_t jobs = ap_intern_count(roster->labels[AP_BY_JOB]);
    uint32_t *began = calloc((size_t)jobs + 1, sizeof *began); /* month + 1 */
    r->plans = calloc(roster->count + 1, sizeof *r->plans);
    r->gains = calloc(roster->count + 1, sizeof *r->gains);
    r->trees = calloc(roster->count + 1, sizeof *r->trees);
    if (!began || !r->plans || !r->gains || !r->trees) {
        free(began);
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the plans of %zu picks", roster->count);
    }
    r->first_month = roster->count ? ap_month_index(roster->facts[0].date) : 0;
    for (size_t i = 0; i < roster->count; i++) {
        const ap_fact *fact = &roster->facts[i];
        uint32_t label = ap_fact_group(fact, AP_BY_SPECIES);
        uint32_t job = ap_fact_group(fact, AP_BY_JOB);
        uint32_t month = (uint32_t)(ap_month_index(fact->date) - r->first_month);
        began[job] = began[job] == 0 || job == 0 ? month + 1 : began[job];
        r->months = month + 1;
        if (fact->compared == AP_COMPARED && label && ap_density_find(r->density, label)) {
            r->plans[r->count++] = (plan){.e = fact->log_error,
                                          .used = ap_roster_density_log(roster, label, fact->date),
                                          .left = ap_density_shift(r->density, label) + carried(r->density, label),
                                          .later = NAN,
                                          .fact = (uint32_t)i,
                                          .tree = ap_fact_group(fact, AP_BY_TREE),
                                          .species = label,
                                          .month = began[job] - 1,
                                          .kind = kind_of(roster, fact)};
        }
    }
    free(began);
    return AP_OK;
}

/* R2, the first: the shifts without each tree go to the plans of that tree. */
static ap_status leave_trees_out(run *r, ap_error *err) {
    const ap_density *density = r->density;
    uint32_t most = ap_intern_count(r->roster->labels[AP_BY_TREE]);
    uint32_t *first = calloc((size_t)most + 2, sizeof *first); /* plan + 1 of each tree */
    uint32_t *next = calloc(r->count + 1, sizeof *next);
    double *mean = calloc(density->effect_count + 1, sizeof *mean);
    ap_status status = first && next && mean ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the trees");
    for (size_t i = r->count; status == AP_OK && i-- > 0;) {
        next[i] = first[r->plans[i].tree];
        first[r->plans[i].tree] = (uint32_t)i + 1;
    }
    for (size_t at = 0; status == AP_OK && at < density->cell_count;) {
        size_t end = at + 1;
        while (end < density->cell_count && density->cells[end].tree == density->cells[at].tree) {
            end++;
        }
        uint32_t tree = density->cells[at].tree;
        if (first[tree]) {
            status = ap_posterior_leave_out(mean, &density->posterior, density->cells + at, end - at, err);
        }
        for (uint32_t p = first[tree]; status == AP_OK && p; p = next[p - 1]) {
            plan *one = &r->plans[p - 1];
            one->left = mean[density->species_effect[one->species] - 1] + carried(density, one->species);
        }
        at = end;
    }
    free(first);
    free(next);
    free(mean);
    return status;
}

/* R2, the second. */
static ap_status roll(run *r, ap_error *err) {
    ap_arena scratch;
    ap_arena_init(&scratch, SCRATCH_MAX);
    ap_density earlier = {0};
    size_t before = 0;
    size_t fitted = 0;
    ap_status status = AP_OK;
    for (uint32_t m = 0; status == AP_OK && m < r->months; m++) {
        ap_date begin = ap_month_first(r->first_month + (int)m);
        while (before < r->picks->count && r->roster->facts[r->picks->items[before].fact].date < begin) {
            before++;
        }
        if (before > fitted && (double)before >= (fitted > MANY_PICKS ? 1.5 : 1.01) * (double)fitted) {
            ap_density_release(&earlier);
            ap_arena_clear(&scratch);
            status = ap_density_fit(&earlier, &scratch, r->picks, before, r->priors, err);
            fitted = before;
        }
        for (size_t i = 0; status == AP_OK && fitted && i < r->count; i++) {
            if (r->plans[i].month == m) {
                r->plans[i].later = ap_density_shift(&earlier, r->plans[i].species);
            }
        }
    }
    ap_density_release(&earlier);
    ap_arena_release(&scratch);
    return status;
}

typedef enum how { AS_PLANNED, LEFT_OUT, LATER } how;

static double error_after(const plan *one, how road) {
    double shift = road == LEFT_OUT ? one->left : one->later;
    return road == AS_PLANNED ? one->e : one->e - (shift - one->used);
}

/* Whether a plan counts in a line: of this species (0: any), of this kind, and planned on this road. */
static bool counts(const plan *one, uint32_t label, plan_kind kind, how road) {
    return one->kind == kind && (label == 0 || one->species == label) && (road != LATER || !isnan(one->later));
}

static void put_line(ap_held_line *out, const run *r, uint32_t label, plan_kind kind, how picked, how road) {
    *out = (ap_held_line){.bias = NAN, .sd = NAN, .heavier = NAN};
    double mean = 0;
    double squares = 0;
    size_t heavier = 0;
    for (size_t i = 0; i < r->count; i++) {
        if (counts(&r->plans[i], label, kind, picked)) {
            double e = error_after(&r->plans[i], road);
            double off = e - mean;
            r->trees[out->picks++] = r->plans[i].tree;
            mean += off / (double)out->picks;
            squares += off * (e - mean);
            heavier += ap_over(exp(e), 1 + r->roster->settings.heavier);
        }
    }
    if (out->picks) {
        out->bias = mean;
        out->sd = out->picks > 1 ? sqrt(squares / (double)(out->picks - 1)) : NAN;
        out->heavier = (double)heavier / (double)out->picks;
    }
}

static void put_held_out(ap_held_out *out, const run *r, uint32_t label, how road) {
    *out = (ap_held_out){.gain = NAN, .gain_low = NAN, .gain_high = NAN};
    put_line(&out->before, r, label, PLAN_ANEW, road, AS_PLANNED);
    put_line(&out->after, r, label, PLAN_ANEW, road, road);
    size_t count = 0;
    for (size_t i = 0; i < r->count; i++) {
        if (counts(&r->plans[i], label, PLAN_ANEW, road)) {
            double after = error_after(&r->plans[i], road);
            r->trees[count] = r->plans[i].tree;
            r->gains[count++] = r->plans[i].e * r->plans[i].e - after * after;
        }
    }
    ap_cluster_mean gain;
    ap_error few;
    if (ap_stats_cluster_mean(&gain, r->gains, r->trees, count, AP_DENSITY_LEVEL, &few) == AP_OK) {
        out->has_gain = true;
        out->gain = gain.mean;
        out->gain_low = gain.interval.low;
        out->gain_high = gain.interval.high;
        out->before.trees = out->after.trees = gain.clusters;
    } else {
        out->before.trees = out->after.trees = count > 0;
    }
}

static ap_density_verdict judge(const ap_reestimate_species *s, const ap_density_species *row) {
    bool lighter = s->change < 0;
    if (row->bare_trees == 0) {
        return AP_DENSITY_ONLY_BUTTS;
    }
    if (row->bare_trees == 1) {
        return AP_DENSITY_ONE_TREE;
    }
    if (fabs(s->change) < AP_SAME_FIGURE_LOG) {
        return AP_DENSITY_AS_IS;
    }
    if (lighter && row->bare_trees < AP_LIGHTER_TREES_LEAST) {
        return AP_DENSITY_FEW_TREES;
    }
    if (s->tree.before.picks == 0) {
        return AP_DENSITY_NO_PLANS;
    }
    if (!s->tree.has_gain || !(s->tree.gain_low > 0)) {
        return AP_DENSITY_NOT_BETTER;
    }
    if (s->rolling.has_gain && s->rolling.before.trees >= AP_ROLLING_TREES_LEAST && s->rolling.gain < 0) {
        return AP_DENSITY_NOT_LATER;
    }
    if (!lighter) {
        return AP_DENSITY_HEAVIER;
    }
    return s->guard.told && s->guard.rise_high <= 0 ? AP_DENSITY_LIGHTER : AP_DENSITY_SHARE_RISES;
}

static void put_species(ap_reestimate_species *s, const run *r, uint32_t label) {
    *s = (ap_reestimate_species){.label = label, .in_force = NAN, .change = NAN};
    s->guard = (ap_lighter_guard){.share_before = NAN,
                                  .share_after = NAN,
                                  .rise = NAN,
                                  .rise_low = NAN,
                                  .rise_high = NAN,
                                  .factor_before = NAN,
                                  .factor_after = NAN};
    put_held_out(&s->tree, r, label, LEFT_OUT);
    put_held_out(&s->rolling, r, label, LATER);
    put_line(&s->by_eye, r, label, PLAN_BY_EYE, AS_PLANNED, AS_PLANNED);
    put_line(&s->butts, r, label, PLAN_BUTT, AS_PLANNED, AS_PLANNED);
    for (size_t i = 0; i < r->count; i++) {
        s->other += counts(&r->plans[i], label, PLAN_OTHER, AS_PLANNED);
    }
}

static ap_status finish_species(ap_reestimate_species *s, const run *r, const ap_density_species *row, uint32_t only,
                                ap_error *err) {
    put_species(s, r, row->label);
    s->in_force = ap_roster_density_log(r->roster, row->label, r->roster->until);
    s->change = row->shift - s->in_force;
    s->verdict = judge(s, row);
    bool asked = only == row->label;
    bool guard = s->verdict == AP_DENSITY_SHARE_RISES && (only == 0 || asked); /* all but the guard is passed */
    if (!guard && !asked) {
        return AP_OK;
    }
    ap_status status = ap_lighter_guard_run(&s->guard, r->roster, r->density, row->label,
                                            carried(r->density, row->label), !guard, err);
    s->verdict = judge(s, row);
    return status;
}

ap_status ap_reestimate_run(ap_reestimate *out, ap_arena *arena, const ap_roster *roster, const ap_density_picks *picks,
                            const ap_density *density, const ap_density_priors *priors, uint32_t only, ap_error *err) {
    *out = (ap_reestimate){0};
    run r = {.roster = roster, .picks = picks, .density = density, .priors = priors};
    out->species = ap_arena_alloc_array(arena, density->species_count + 1, sizeof *out->species);
    ap_status status = ap_arena_check(arena, "the plans made anew", err);
    if (status == AP_OK) {
        status = take_plans(&r, err);
    }
    if (status == AP_OK) {
        status = leave_trees_out(&r, err);
    }
    if (status == AP_OK) {
        status = roll(&r, err);
    }
    for (size_t s = 0; status == AP_OK && s < density->species_count; s++) {
        out->count++;
        status = finish_species(&out->species[s], &r, &density->species[s], only, err);
    }
    if (status == AP_OK) {
        put_species(&out->all, &r, 0);
    }
    free(r.plans);
    free(r.gains);
    free(r.trees);
    return status;
}
