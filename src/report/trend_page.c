#include "report/trend_page.h"

enum { SERIES_SHOWN = 12 };

static const char *month_name(char text[AP_ISO_SIZE], int month) {
    ap_month_to_iso(text, month);
    return text;
}

/* What a year makes of an error: beyond a doubling and a halving no figure of it is worth its digits. */
static const double year_most = 0.6931471805599453; /* ln 2 */

static ap_str say_a_year(ap_arena *arena, double log_per_year) {
    return log_per_year > year_most    ? AP_STR_LIT("over +100 %")
           : log_per_year < -year_most ? AP_STR_LIT("under -50 %")
                                       : ap_say_signed(arena, exp(log_per_year));
}

/* In a column, which has no room for words. */
static void put_a_year(ap_table *table, ap_arena *arena, bool known, double log_per_year) {
    ap_str words = !known                      ? AP_STR_NONE
                   : log_per_year > year_most  ? AP_STR_LIT(">+100 %")
                   : log_per_year < -year_most ? AP_STR_LIT("<-50 %")
                                               : ap_say_signed(arena, exp(log_per_year));
    ap_table_value_as(table, known ? exp(log_per_year) - 1 : NAN, words);
}

static bool too_wide(const ap_trend_line *line) {
    return line->interval.low < -year_most && line->interval.high > year_most;
}

static ap_str say_p(ap_arena *arena, double p) {
    return p < 0.001 ? AP_STR_LIT("below 0.001") : ap_arena_printf(arena, "%.3f", p);
}

ap_str ap_say_slope(ap_arena *arena, const ap_trend_series *series) {
    const ap_trend_line *line = &series->by_month;
    size_t n = series->month_count;
    if (!line->has_slope) {
        return ap_arena_printf(arena, "Months with weighed picks: %zu; a slope takes %d.", n, AP_TREND_SLOPE_LEAST);
    }
    if (!line->has_interval) { /* no figure without its interval: of four months it may be anything */
        return ap_arena_printf(arena, "Over %zu months no slope is told: too few for an interval.", n);
    }
    ap_str low = say_a_year(arena, line->interval.low);
    ap_str high = say_a_year(arena, line->interval.high);
    bool clear = line->interval.low > 0 || line->interval.high < 0;
    if (fabs(line->interval.low) < 1e-9 && fabs(line->interval.high) < 1e-9) {
        return ap_arena_printf(arena, "Over %zu months the typical error did not move.", n);
    }
    if (too_wide(line)) {
        return ap_arena_printf(arena,
                               "Over %zu months no slope is told: the months differ too much for one (90 %% interval "
                               "%.*s to %.*s a year).",
                               n, AP_STR_ARG(low), AP_STR_ARG(high));
    }
    return ap_arena_printf(arena,
                           "Over %zu months the typical error moved by %.*s a year (90 %% interval %.*s to %.*s): %s.",
                           n, AP_STR_ARG(say_a_year(arena, line->slope)), AP_STR_ARG(low), AP_STR_ARG(high),
                           !clear            ? "chance alone could do that"
                           : line->slope > 0 ? "pieces come heavier and heavier against the plan"
                                             : "pieces come lighter and lighter against the plan");
}

ap_str ap_say_change(ap_arena *arena, const ap_trend_series *series) {
    char month[AP_ISO_SIZE];
    if (series->month_count < AP_TREND_CHANGE_LEAST) {
        return ap_arena_printf(arena, "Looking for a change of level takes %d months with weighed picks; there %s %zu.",
                               AP_TREND_CHANGE_LEAST, series->month_count == 1 ? "is" : "are", series->month_count);
    }
    if (!series->has_change) {
        return AP_STR_LIT("No month is found from which on the level is another.");
    }
    return ap_arena_printf(arena, "From %s on the level is another: pieces come %s against the plan than before.",
                           month_name(month, series->change_month), series->change_up ? "heavier" : "lighter");
}

ap_str ap_say_run_signals(ap_arena *arena, const ap_roster *roster, const ap_trend_series *series) {
    if (!series->has_run && series->jobs >= AP_TREND_JOBS_LEAST) {
        return ap_arena_printf(arena, "The %zu jobs do not differ: there is no run to look at.", series->jobs);
    }
    if (!series->has_run) {
        return ap_arena_printf(arena, "The run of jobs takes %d jobs; there %s %zu.", AP_TREND_JOBS_LEAST,
                               series->jobs == 1 ? "is" : "are", series->jobs);
    }
    if (series->signal_count == 0) {
        return ap_arena_printf(arena, "The run of %zu jobs stays within its limits.", series->jobs);
    }
    ap_str list = AP_STR_LIT("");
    for (size_t i = 0; i < series->signal_count && i < AP_TREND_SIGNALS_SHOWN; i++) {
        list = ap_arena_printf(arena, "%.*s%s%.*s (%s)", AP_STR_ARG(list), i ? ", " : "",
                               AP_STR_ARG(ap_roster_label(roster, AP_BY_JOB, series->signals[i].job)),
                               series->signals[i].side > 0 ? "heavier" : "lighter");
    }
    if (series->signal_count > AP_TREND_SIGNALS_SHOWN) {
        list = ap_arena_printf(arena, "%.*s and %zu more", AP_STR_ARG(list),
                               series->signal_count - AP_TREND_SIGNALS_SHOWN);
    }
    return ap_arena_printf(arena, "The run of %zu jobs leaves its limits at job %.*s.", series->jobs, AP_STR_ARG(list));
}

void ap_trend_months_table(ap_doc *doc, const char *id, const ap_roster *roster, const ap_trend_series *series) {
    ap_str heavier = ap_doc_printf(doc, "heavier by > %.0f %%", roster->settings.heavier * 100);
    const ap_column columns[] = {
        {.key = AP_STR_LIT("month"), .label = AP_STR_LIT("month"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("count"), .label = AP_STR_LIT("weighed"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("median_ratio"), .label = AP_STR_LIT("median"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("ratio_low"), .label = AP_STR_LIT("average from"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("ratio_high"), .label = AP_STR_LIT("to"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("spread"), .label = AP_STR_LIT("spread of picks"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("share_heavier"), .label = heavier, .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("limits"), .label = AP_STR_LIT("limits"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, ap_str_from(id), AP_STR_LIT("Measured against planned, by month"), columns,
                                   sizeof columns / sizeof columns[0]);
    for (size_t m = 0; m < series->month_count; m++) {
        const ap_trend_month *month = &series->months[m];
        char name[AP_ISO_SIZE];
        double low;
        double high;
        ap_trend_limits(&low, &high, series, month->trees);
        ap_table_row(table);
        ap_table_text(table, ap_doc_printf(doc, "%s", month_name(name, month->month)));
        ap_table_value(table, (double)month->count);
        ap_table_value(table, (double)month->trees);
        ap_table_value(table, exp(month->median_log));
        ap_table_value(table, exp(month->low_log));
        ap_table_value(table, exp(month->high_log));
        ap_table_value(table, exp(month->spread_log) - 1);
        ap_table_value(table, month->share_heavier);
        ap_table_text(table, isnan(low)               ? AP_STR_NONE
                             : month->bias_log > high ? AP_STR_LIT("above")
                             : month->bias_log < low  ? AP_STR_LIT("below")
                                                      : AP_STR_LIT("within"));
    }
    ap_table_empty(table, AP_STR_LIT("No weighed pick."));
}

static double percent(double log_ratio) {
    return (exp(log_ratio) - 1) * 100;
}

void ap_trend_describe(ap_figure *figure, const ap_trend_series *series) {
    if (!series || series->month_count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No weighed pick up to the end of this period."));
        return;
    }
    size_t rows = 0;
    ap_figure_block(figure, "months");
    for (size_t m = 0; m < series->month_count; m++) {
        const ap_trend_month *month = &series->months[m];
        if (isnan(month->median_log)) { /* of a person with few picks: not shown */
            continue;
        }
        rows++;
        char name[AP_ISO_SIZE];
        double low;
        double high;
        ap_trend_limits(&low, &high, series, month->trees);
        const double row[7] = {1 + month->month - series->months[0].month,
                               percent(month->median_log),
                               percent(month->low_log),
                               percent(month->high_log),
                               (double)month->count,
                               percent(low),
                               percent(high)};
        ap_figure_row_label(figure, row, 7, ap_str_from(month_name(name, month->month)));
    }
    if (rows == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No month has picks enough to be shown by person."));
    }
}

ap_str ap_trend_series_label(ap_arena *arena, const ap_roster *roster, const ap_trend *trend,
                             const ap_trend_series *series) {
    ap_weight_table names = {.by_count = trend->by_count};
    ap_weight_group group = {0};
    memcpy(names.by, trend->by, sizeof names.by);
    memcpy(group.key, series->key, sizeof group.key);
    return ap_weight_group_label(arena, roster, &names, &group);
}

/* One line a group. */
static void put_groups(ap_doc *doc, ap_arena *arena, const ap_roster *roster, const ap_trend *trend) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("group"), .label = AP_STR_LIT("group"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("count"), .label = AP_STR_LIT("weighed"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("months"), .label = AP_STR_LIT("months"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("slope"), .label = AP_STR_LIT("a year"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("slope_low"), .label = AP_STR_LIT("from"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("slope_high"), .label = AP_STR_LIT("to"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("change_month"), .label = AP_STR_LIT("new level from"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("signals"), .label = AP_STR_LIT("run signals"), .kind = AP_CELL_COUNT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("groups"), AP_STR_LIT("Trend by group"), columns,
                                   sizeof columns / sizeof columns[0]);
    for (size_t s = 0; s < trend->count; s++) {
        const ap_trend_series *series = &trend->series[s];
        const ap_trend_line *line = &series->by_month;
        char month[AP_ISO_SIZE];
        ap_table_row(table);
        ap_table_text(table, ap_trend_series_label(arena, roster, trend, series));
        ap_table_value(table, (double)series->count);
        ap_table_value(table, (double)series->month_count);
        put_a_year(table, arena, line->has_interval, line->slope);
        put_a_year(table, arena, line->has_interval, line->interval.low);
        put_a_year(table, arena, line->has_interval, line->interval.high);
        ap_table_text(table, series->has_change ? ap_doc_printf(doc, "%s", month_name(month, series->change_month))
                                                : AP_STR_NONE);
        ap_table_value(table, series->has_run ? (double)series->signal_count : NAN);
    }
}

static void put_series(ap_doc *doc, ap_arena *arena, const ap_roster *roster, const ap_trend_series *series) {
    ap_doc_paragraph(doc, ap_say_change(arena, series));
    ap_doc_paragraph(doc, ap_say_run_signals(arena, roster, series));
    if (series->by_job.has_interval && !too_wide(&series->by_job)) {
        const ap_trend_line *line = &series->by_job;
        ap_doc_paragraph(doc, ap_doc_printf(doc, "By job, %zu of them: %.*s a year (90 %% interval %.*s to %.*s).",
                                            series->jobs, AP_STR_ARG(say_a_year(arena, line->slope)),
                                            AP_STR_ARG(say_a_year(arena, line->interval.low)),
                                            AP_STR_ARG(say_a_year(arena, line->interval.high))));
    }
    ap_trend_months_table(doc, "months", roster, series);
}

static void put_working(ap_doc *doc, ap_arena *arena, const ap_trend *trend) {
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_doc_paragraph(
        doc, AP_STR_LIT(
                 "Slope: Theil-Sen on the months' medians of ln(measured / planned), with Gilbert's interval; p by "
                 "Mann-Kendall. A change of level: Pettitt's test with the exact p, from 11 months on, named at p <= "
                 "0.05. Limits of a month: the average of all months, plus and minus three standard deviations of the "
                 "trees' means by the root of the month's trees. Run of jobs: EWMA of the jobs' medians (0.2; 2.86 "
                 "standard deviations from the moving range); independent jobs leave such limits by chance once in "
                 "about 370."));
    if (trend->by_count) {
        ap_doc_paragraph(doc, AP_STR_LIT("Of groups that do not move one in twenty is above zero by chance."));
    }
    for (size_t s = 0; trend->by_count == 0 && s < trend->count; s++) {
        const ap_trend_series *series = &trend->series[s];
        if (series->by_month.has_p) {
            ap_str change = series->has_change_test
                                ? ap_arena_printf(arena, "; Pettitt p %.*s", AP_STR_ARG(say_p(arena, series->change_p)))
                                : AP_STR_LIT("");
            ap_doc_paragraph(doc, ap_doc_printf(doc, "Mann-Kendall p %.*s%.*s.",
                                                AP_STR_ARG(say_p(arena, series->by_month.p)), AP_STR_ARG(change)));
        }
    }
    ap_doc_working_end(doc);
}

void ap_trend_page(ap_doc *doc, const ap_roster *roster, const ap_trend *trend) {
    ap_arena arena;
    ap_arena_init(&arena, 16u << 20);
    if (trend->count == 0) {
        ap_doc_answer(doc, AP_STR_LIT("No trend: no pick of this period has both a planned and a measured weight."));
        static const ap_trend_series none = {0};
        if (trend->by_count == 0) {
            ap_trend_months_table(doc, "months", roster, &none);
        } else {
            put_groups(doc, &arena, roster, trend);
        }
    } else if (trend->by_count == 0) {
        ap_doc_answer(doc, ap_say_slope(&arena, &trend->series[0]));
        put_series(doc, &arena, roster, &trend->series[0]);
        put_working(doc, &arena, trend);
    } else {
        size_t clear = 0;
        for (size_t s = 0; s < trend->count; s++) {
            const ap_trend_line *line = &trend->series[s].by_month;
            clear += line->has_interval && line->interval.low > 0;
        }
        ap_doc_answer(
            doc,
            ap_doc_printf(
                doc,
                "Groups that clearly come heavier and heavier: %zu of %zu (the whole 90 %% interval is above zero).",
                clear, trend->count));
        put_groups(doc, &arena, roster, trend);
        put_working(doc, &arena, trend);
    }
    ap_arena_release(&arena);
}

static void put_series_json(ap_json *json, const ap_roster *roster, const ap_trend_series *series) {
    const ap_trend_line *line = &series->by_month;
    ap_json_key(json, "months");
    ap_json_array_begin(json);
    for (size_t m = 0; m < series->month_count; m++) {
        const ap_trend_month *month = &series->months[m];
        char name[AP_ISO_SIZE];
        ap_json_object_begin(json);
        ap_json_put_text(json, "month", ap_str_from(month_name(name, month->month)));
        ap_json_put_int(json, "count", (int64_t)month->count);
        ap_json_put_int(json, "trees", (int64_t)month->trees);
        ap_json_put_number(json, "median_log", month->median_log);
        ap_json_put_number(json, "bias_log", month->bias_log);
        ap_json_put_number(json, "low_log", month->low_log);
        ap_json_put_number(json, "high_log", month->high_log);
        ap_json_put_number(json, "spread_log", month->spread_log);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    char change[AP_ISO_SIZE];
    ap_json_put_number(json, "slope_log_per_year", line->has_slope ? line->slope : NAN);
    ap_json_put_number(json, "slope_low", line->has_interval ? line->interval.low : NAN);
    ap_json_put_number(json, "slope_high", line->has_interval ? line->interval.high : NAN);
    ap_json_put_number(json, "p_value", line->has_p ? line->p : NAN);
    ap_json_put_text(json, "change_month",
                     series->has_change ? ap_str_from(month_name(change, series->change_month)) : AP_STR_NONE);
    ap_json_put_number(json, "change_p", series->has_change_test ? series->change_p : NAN);
    ap_json_put_int(json, "jobs", (int64_t)series->jobs);
    ap_json_put_number(json, "job_slope_log_per_year", series->by_job.has_slope ? series->by_job.slope : NAN);
    ap_json_put_int(json, "signals_total", (int64_t)series->signal_count);
    ap_json_key(json, "signals");
    ap_json_array_begin(json);
    for (size_t i = 0; i < series->signal_count && i < AP_TREND_SIGNALS_SHOWN; i++) {
        ap_json_object_begin(json);
        ap_json_put_text(json, "job", ap_roster_label(roster, AP_BY_JOB, series->signals[i].job));
        ap_json_put_text(json, "side", series->signals[i].side > 0 ? AP_STR_LIT("heavier") : AP_STR_LIT("lighter"));
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}

void ap_trend_json(ap_json *json, const ap_roster *roster, const ap_trend *trend, ap_period period) {
    static const ap_trend_series none = {0};
    ap_json_object_begin(json);
    ap_json_put_period(json, period);
    if (trend->by_count == 0) {
        put_series_json(json, roster, trend->count ? &trend->series[0] : &none);
    } else {
        ap_json_key(json, "groups");
        ap_json_array_begin(json);
        for (size_t s = 0; s < trend->count; s++) {
            ap_json_object_begin(json);
            for (size_t k = 0; k < trend->by_count; k++) {
                ap_json_put_text(json, ap_by_name(trend->by[k]),
                                 ap_roster_label(roster, trend->by[k], trend->series[s].key[k]));
            }
            put_series_json(json, roster, &trend->series[s]);
            ap_json_object_end(json);
        }
        ap_json_array_end(json);
    }
    ap_json_object_end(json);
}
