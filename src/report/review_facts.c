#include "report/review.h"

/* The trend looks back this many months, the period's own included. */
enum { TREND_MONTHS = 18 };

static ap_status gather_tables(ap_review *r, ap_error *err) {
    struct {
        ap_weight_table *table;
        size_t first, end;
        ap_by by[2];
        size_t by_count;
    } wanted[] = {
        {&r->species, r->first, r->end, {AP_BY_SPECIES}, 1},
        {&r->cuts, r->first, r->end, {AP_BY_CUT}, 1},
        {&r->grid, r->first, r->end, {AP_BY_SPECIES, AP_BY_CUT}, 2},
        {&r->basis, r->first, r->end, {AP_BY_BASIS}, 1},
        {&r->crews, r->first, r->end, {AP_BY_CREW}, 1},
        {&r->cranes, r->first, r->end, {AP_BY_CRANE}, 1},
        {&r->estimators, r->first, r->end, {AP_BY_ESTIMATOR}, 1},
        {&r->species_before, r->before_first, r->first, {AP_BY_SPECIES}, 1},
    };
    ap_status status = AP_OK;
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0] && status == AP_OK; i++) {
        status = ap_weights(wanted[i].table, r->arena, r->roster, wanted[i].first, wanted[i].end, wanted[i].by,
                            wanted[i].by_count, err);
    }
    return status == AP_OK ? ap_share_heavier_interval(&r->heavier, r->roster, r->first, r->end, err) : status;
}

static ap_status gather_pooled(ap_review *r, ap_error *err) {
    static const ap_by pair[] = {AP_BY_SPECIES, AP_BY_CUT};
    ap_pooled_picks picks = {0};
    ap_status status = ap_pooled_picks_take(&picks, r->roster, 0, r->end, err);
    if (status == AP_OK) {
        status = ap_pooled_fit(&r->pooled_species, r->arena, &picks, pair, 1, err);
    }
    if (status == AP_OK) {
        status = ap_pooled_fit(&r->pooled_cuts, r->arena, &picks, pair + 1, 1, err);
    }
    if (status == AP_OK) {
        status = ap_pooled_fit(&r->pooled_grid, r->arena, &picks, pair, 2, err);
    }
    ap_pooled_picks_release(&picks);
    if (status == AP_OK) {
        status = ap_trend_work_out(&r->trend, r->arena, r->roster, r->trend_first, r->end, NULL, 0, err);
    }
    return status == AP_OK ? ap_weighing_read(&r->weighing, r->roster, r->first, r->end, err) : status;
}

static ap_status gather_findings(ap_review *r, ap_book *book, ap_error *err) {
    ap_hung_list hung = {0};
    const ap_detect_given given = {r->roster, &r->limits, &hung, &r->said};
    ap_finding_list_init(&r->findings, r->arena);
    ap_status status = ap_limits_read(&r->limits, book, err);
    if (status == AP_OK) {
        status = ap_hung_load(&hung, book, r->roster, NULL, &r->limits, r->period.since, r->period.until, err);
    }
    if (status == AP_OK) {
        status = ap_said_read(&r->said, r->arena, book, r->roster, r->period.since, r->period.until, err);
    }
    if (status == AP_OK) {
        status = ap_detect_all(&r->findings, &r->chance, &given, r->period.since, r->period.until, err);
    }
    r->clashes = hung.clashes;
    ap_hung_release(&hung);
    return status;
}

/* The period before: the calendar month before a whole month, else the same number of days. */
static ap_period period_before(ap_period period) {
    if (period.since == AP_DATE_NONE || period.until == AP_DATE_NONE) {
        return (ap_period){AP_DATE_NONE, AP_DATE_NONE};
    }
    int month = ap_month_index(period.since);
    bool whole = period.since == ap_month_first(month) && period.until + 1 == ap_month_first(month + 1);
    ap_date since = whole ? ap_month_first(month - 1) : period.since - (period.until - period.since + 1);
    return (ap_period){since, period.since - 1};
}

static size_t count_jobs(ap_review *r) {
    uint32_t jobs = ap_intern_count(r->roster->labels[AP_BY_JOB]);
    bool *seen = ap_arena_alloc_array(r->arena, (size_t)jobs + 1, sizeof *seen);
    size_t count = 0;
    for (size_t i = r->first; seen && i < r->end; i++) {
        uint32_t job = ap_fact_group(&r->roster->facts[i], AP_BY_JOB);
        count += !seen[job];
        seen[job] = true;
    }
    return count;
}

ap_status ap_review_gather(ap_review *out, ap_arena *arena, ap_book *book, const ap_roster *roster, ap_period period,
                           ap_unit_system units, ap_error *err) {
    memset(out, 0, sizeof *out);
    out->arena = arena;
    out->roster = roster;
    out->period = period;
    out->before = period_before(period);
    out->units = units;
    size_t before_end;
    ap_roster_slice(roster, period.since, period.until, &out->first, &out->end);
    ap_roster_slice(roster, out->before.since, out->before.until, &out->before_first, &before_end);
    if (out->before.since == AP_DATE_NONE) {
        out->before_first = out->first;
    }
    ap_date last = out->end ? roster->facts[out->end - 1].date : AP_DATE_NONE;
    ap_date trend_since = out->end ? ap_month_first(ap_month_index(last) - TREND_MONTHS + 1) : AP_DATE_NONE;
    size_t trend_end;
    ap_roster_slice(roster, trend_since, period.until, &out->trend_first, &trend_end);

    ap_status status = gather_tables(out, err);
    if (status == AP_OK) {
        status = gather_pooled(out, err);
    }
    if (status == AP_OK) {
        status = gather_findings(out, book, err);
    }
    if (status == AP_OK) {
        status = ap_quality_read(&out->quality, arena, book, roster, out->before_first, out->first, out->end, err);
    }
    if (status == AP_OK) {
        status = ap_movement(&out->moved_by_cut, arena, roster, out->first, out->end, AP_BY_CUT, err);
    }
    if (status == AP_OK) {
        status = ap_movement(&out->moved_by_setup, arena, roster, out->first, out->end, AP_BY_SETUP, err);
    }
    if (status == AP_OK) {
        ap_date end = period.until == AP_DATE_NONE ? last : period.until;
        status = ap_actions_read(&out->actions, arena, book, roster, end, end, 0, err);
    }
    if (status == AP_OK) {
        status = ap_density_study_run(&out->wood, arena, roster, 0, err);
    }
    if (status == AP_OK) {
        ap_movement_kerf(&out->kerf, roster, out->first, out->end);
        status = ap_predicted_count(&out->predicted, arena, roster, 0, out->end, err);
    }
    if (status == AP_OK) {
        status = ap_between_count(&out->between, arena, roster, 0, out->end, err);
    }
    if (status == AP_OK) {
        status = ap_associations_find(&out->associations, arena, roster, 0, out->end, err);
    }
    if (status == AP_OK) {
        out->jobs = count_jobs(out);
        status = ap_arena_check(arena, "the review", err);
    }
    return status;
}

void ap_review_release(ap_review *review) {
    ap_density_study_release(&review->wood);
}
