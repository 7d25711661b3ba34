#include "analysis/trend_months.h"

#include "analysis/error_columns.h"
#include "stats/control.h"
#include "stats/summary.h"

#define DAYS_A_YEAR 365.2425 /* of the Gregorian calendar */

/* One month or job of one series, before they are put in order. */
typedef struct point {
    uint32_t series;
    int64_t at;                   /* month index, or label number of the job: both rise with time */
    const ap_weight_group *group; /* of a month */
    double median_log;
} point;

static int in_order(const void *left, const void *right) {
    const point *a = left;
    const point *b = right;
    if (a->series != b->series) {
        return a->series < b->series ? -1 : 1;
    }
    return (a->at > b->at) - (a->at < b->at);
}

static int64_t place_of(const ap_roster *roster, uint32_t month) {
    ap_date first;
    ap_date last;
    return ap_month_from_iso(&first, &last, ap_roster_label(roster, AP_BY_MONTH, month)) ? ap_month_index(first) : 0;
}

/* The series of a key whose first part is the month or job; a new one when it is not there. */
static bool find_series(uint32_t *number, ap_key_map *map, const uint32_t *key, size_t by_count) {
    uint32_t rest[AP_WEIGHTS_BY_MAX] = {0};
    memcpy(rest, key + 1, (by_count - 1) * sizeof *rest);
    return ap_key_map_add(map, rest, number);
}

/* Groups of `table`, whose first name is the month, as points of their series. Heap. */
static ap_status month_points(point **points, size_t *count, ap_key_map *map, const ap_roster *roster,
                              const ap_weight_table *table, ap_error *err) {
    *points = calloc(table->count + 1, sizeof **points);
    if (!*points) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the months of a trend");
    }
    for (size_t g = 0; g < table->count; g++) {
        const ap_weight_group *group = &table->groups[g];
        uint32_t number = 0;
        if (group->count == 0 || group->key[0] == 0) {
            continue;
        }
        if (!find_series(&number, map, group->key, table->by_count)) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory for the groups of a trend");
        }
        (*points)[(*count)++] = (point){number, place_of(roster, group->key[0]), group, group->median_log};
    }
    qsort(*points, *count, sizeof **points, in_order);
    return AP_OK;
}

/* Jobs, of which only the medians are asked. Heap. */
static ap_status job_points(point **points, size_t *count, ap_key_map *map, const ap_error_columns *columns,
                            const ap_roster *roster, const ap_by *by, size_t by_count, ap_error *err) {
    ap_error_groups jobs;
    ap_status status = ap_error_groups_make(&jobs, columns, roster, by, by_count, err);
    if (status == AP_OK) {
        *points = calloc(jobs.keys.count + 1, sizeof **points);
        status = *points ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the jobs of a trend");
    }
    for (size_t g = 0; status == AP_OK && g < jobs.keys.count; g++) {
        const uint32_t *key = jobs.keys.keys[g];
        point found = {.at = key[0]};
        if (jobs.start[g] == jobs.start[g + 1] || key[0] == 0) {
            continue;
        }
        status = ap_stats_median(&found.median_log, jobs.e + jobs.start[g], jobs.start[g + 1] - jobs.start[g], err);
        if (status == AP_OK && !find_series(&found.series, map, key, by_count)) {
            status = ap_error_set(err, AP_E_MEMORY, "out of memory for the groups of a trend");
        }
        (*points)[(*count)++] = found;
    }
    ap_error_groups_release(&jobs);
    if (status == AP_OK) {
        qsort(*points, *count, sizeof **points, in_order);
    }
    return status;
}

static ap_trend_month month_of(const point *at) {
    const ap_weight_group *group = at->group;
    bool interval = !isnan(group->ratio_low);
    return (ap_trend_month){
        .month = (int)at->at,
        .count = group->count,
        .trees = group->trees,
        .median_log = at->median_log,
        .bias_log = interval ? (log(group->ratio_low) + log(group->ratio_high)) / 2 : group->mean_log_ratio,
        .low_log = interval ? log(group->ratio_low) : NAN,
        .high_log = interval ? log(group->ratio_high) : NAN,
        .spread_log = group->sd_log_ratio,
        .share_heavier = group->share_heavier,
    };
}

/* T2. Refusals (all equal, too many) leave the line without that figure: the page says so. */
static void fit_line(ap_trend_line *line, const double *years, const double *x, size_t n) {
    ap_theil_sen slope;
    ap_mann_kendall test;
    ap_error why;
    if (n < AP_TREND_SLOPE_LEAST) {
        return;
    }
    if (ap_trend_theil_sen(&slope, years, x, n, AP_WEIGHTS_CONFIDENCE, &why) == AP_OK) {
        line->has_slope = true;
        line->slope = slope.slope;
        line->has_interval = slope.has_interval;
        line->interval = slope.interval;
    }
    if (ap_trend_mann_kendall(&test, years, x, n, &why) == AP_OK) {
        line->has_p = true;
        line->p = test.p_two_sided;
    }
}

static void find_change(ap_trend_series *series, const double *x) {
    ap_pettitt change;
    ap_error why;
    if (series->month_count < AP_TREND_CHANGE_LEAST ||
        ap_trend_pettitt(&change, x, series->month_count, &why) != AP_OK) {
        return;
    }
    series->has_change_test = true;
    series->change_p = change.p;
    series->has_change = change.p <= AP_TREND_CHANGE_P && change.last < series->month_count;
    series->change_month = series->has_change ? series->months[change.last].month : 0;
    series->change_up = change.rises;
}

static ap_status add_months(ap_trend *out, ap_arena *arena, const point *points, size_t count, ap_error *err) {
    ap_trend_month *months = ap_arena_alloc_array(arena, count + 1, sizeof *months);
    double *years = calloc(count + 1, sizeof *years);
    double *x = calloc(count + 1, sizeof *x);
    ap_status status = months && years && x ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for a trend");
    for (size_t i = 0; status == AP_OK && i < count;) {
        ap_trend_series *series = &out->series[points[i].series];
        series->months = months + i;
        for (; i < count && &out->series[points[i].series] == series; i++) {
            size_t n = series->month_count++;
            months[i] = month_of(&points[i]);
            series->count += months[i].count;
            years[n] = (double)months[i].month / 12;
            x[n] = months[i].median_log;
        }
        fit_line(&series->by_month, years, x, series->month_count);
        find_change(series, x);
    }
    free(years);
    free(x);
    return status;
}

/* T4. A series that is too short or does not vary has no run figure. */
static void run_figure(ap_trend_series *series, const point *points, const double *x, size_t n) {
    ap_limits limits;
    ap_error why;
    if (n < AP_TREND_JOBS_LEAST || ap_individuals_limits(&limits, x, n, &why) != AP_OK) {
        return;
    }
    const ap_ewma_rule rule = {.target = limits.center, .sd = limits.spread / 1.128, .lambda = 0.2, .width = 2.86};
    ap_ewma_point *run = calloc(n, sizeof *run);
    if (run && ap_ewma_run(run, x, n, &rule, &why) == AP_OK) {
        series->has_run = true;
        for (size_t i = 0; i < n; i++) {
            bool crossed = run[i].side != 0 && (i == 0 || run[i - 1].side != run[i].side);
            if (crossed && series->signal_count < AP_TREND_SIGNALS_SHOWN) {
                series->signals[series->signal_count] = (ap_trend_signal){(uint32_t)points[i].at, run[i].side};
            }
            series->signal_count += crossed;
        }
    }
    free(run);
}

/* First day of each job: labels are numbered in the order of the picks. */
static ap_date *first_days(const ap_roster *roster, size_t first, size_t end) {
    ap_date *days = calloc((size_t)ap_intern_count(roster->labels[AP_BY_JOB]) + 1, sizeof *days);
    for (size_t i = end; days && i-- > first;) {
        days[ap_fact_group(&roster->facts[i], AP_BY_JOB)] = roster->facts[i].date;
    }
    return days;
}

static ap_status add_jobs(ap_trend *out, const ap_date *days, const point *points, size_t count, ap_error *err) {
    double *years = calloc(count + 1, sizeof *years);
    double *x = calloc(count + 1, sizeof *x);
    ap_status status = days && years && x ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for a trend");
    for (size_t i = 0; status == AP_OK && i < count;) {
        size_t first = i;
        ap_trend_series *series = &out->series[points[i].series];
        for (; i < count && &out->series[points[i].series] == series; i++) {
            years[i - first] = days[points[i].at] / DAYS_A_YEAR;
            x[i - first] = points[i].median_log;
        }
        series->jobs = i - first;
        fit_line(&series->by_job, years, x, series->jobs);
        run_figure(series, points + first, x, series->jobs);
    }
    free(years);
    free(x);
    return status;
}

/* Mean and sd of the trees' means over all months, for the limits. */
static ap_status set_levels(ap_trend *out, ap_arena *arena, const ap_roster *roster, const ap_error_columns *columns,
                            const ap_key_map *map, ap_error *err) {
    ap_weight_table table;
    ap_status status = ap_weights_of(&table, arena, roster, columns, out->by, out->by_count, err);
    for (size_t g = 0; status == AP_OK && g < table.count; g++) {
        uint32_t number;
        if (ap_key_map_find(map, table.groups[g].key, &number)) {
            out->series[number].mean_log = table.groups[g].mean_log_ratio;
            out->series[number].sd_trees = table.groups[g].sd_trees;
        }
    }
    return status;
}

static int most_first(const void *left, const void *right) {
    const ap_trend_series *a = left;
    const ap_trend_series *b = right;
    if (a->count != b->count) {
        return a->count < b->count ? 1 : -1;
    }
    return memcmp(a->key, b->key, sizeof a->key);
}

void ap_trend_limits(double *low_log, double *high_log, const ap_trend_series *series, size_t trees) {
    double reach = trees ? 3 * series->sd_trees / sqrt((double)trees) : NAN;
    *low_log = series->mean_log - reach;
    *high_log = series->mean_log + reach;
}

typedef struct all_points {
    point *months;
    size_t month_count;
    point *jobs;
    size_t job_count;
    ap_key_map series;
    ap_weight_table by_month;
} all_points;

static ap_status take_points(all_points *out, ap_arena *arena, const ap_roster *roster, const ap_error_columns *columns,
                             const ap_by *by, size_t by_count, ap_error *err) {
    ap_by with[AP_WEIGHTS_BY_MAX] = {AP_BY_MONTH};
    memcpy(with + 1, by, by_count * sizeof *by);
    ap_status status = ap_weights_of(&out->by_month, arena, roster, columns, with, by_count + 1, err);
    if (status == AP_OK) {
        status = month_points(&out->months, &out->month_count, &out->series, roster, &out->by_month, err);
    }
    with[0] = AP_BY_JOB;
    if (status == AP_OK) {
        status = job_points(&out->jobs, &out->job_count, &out->series, columns, roster, with, by_count + 1, err);
    }
    return status;
}

ap_status ap_trend_work_out(ap_trend *out, ap_arena *arena, const ap_roster *roster, size_t first, size_t end,
                            const ap_by *by, size_t by_count, ap_error *err) {
    *out = (ap_trend){.by_count = by_count};
    for (size_t k = 0; k < by_count; k++) {
        out->by[k] = by[k];
    }
    ap_error_columns columns;
    all_points points = {0};
    ap_date *days = first_days(roster, first, end);
    ap_status status = ap_error_columns_take(&columns, roster, first, end, err);
    if (status == AP_OK) {
        status = take_points(&points, arena, roster, &columns, out->by, by_count, err);
    }
    if (status == AP_OK) {
        out->count = points.series.count;
        out->series = ap_arena_alloc_array(arena, out->count + 1, sizeof *out->series);
        status = ap_arena_check(arena, "the trend", err);
    }
    for (size_t s = 0; status == AP_OK && s < out->count; s++) {
        memcpy(out->series[s].key, points.series.keys[s], sizeof out->series[s].key);
    }
    if (status == AP_OK) {
        status = add_months(out, arena, points.months, points.month_count, err);
    }
    if (status == AP_OK) {
        status = add_jobs(out, days, points.jobs, points.job_count, err);
    }
    if (status == AP_OK) {
        status = set_levels(out, arena, roster, &columns, &points.series, err);
        qsort(out->series, out->count, sizeof *out->series, most_first);
    }
    free(days);
    free(points.months);
    free(points.jobs);
    ap_key_map_release(&points.series);
    ap_error_columns_release(&columns);
    return status;
}
