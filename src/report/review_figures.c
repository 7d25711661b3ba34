#include "figure/plots.h"
#include "figure/thin_points.h"
#include "report/density_page.h"
#include "report/review.h"
#include "report/trend_page.h"

static double percent(double ratio) {
    return (ratio - 1) * 100;
}

ap_figure *ap_review_add_figure(ap_review *r, ap_review_figure which, const char *plot, const char *id,
                                const char *title, ap_str description) {
    ap_figure *figure = ap_figure_add(r->figures, plot, id, ap_str_from(title), description);
    r->figure[which] = figure;
    return figure;
}

/* Pairs of numbers that become marks of a figure. */
typedef struct cloud {
    double *x;
    double *y;
    size_t count;
} cloud;

/* Room for every pick of the period; false when memory is out. */
static bool open_cloud(cloud *c, const ap_review *r) {
    size_t room = r->end - r->first + 1;
    *c = (cloud){ap_arena_alloc_array(r->arena, room, sizeof *c->x), ap_arena_alloc_array(r->arena, room, sizeof *c->y),
                 0};
    return c->x && c->y;
}

static void put_in(cloud *c, double x, double y) {
    c->x[c->count] = x;
    c->y[c->count++] = y;
}

void ap_review_put_marks(ap_figure *figure, ap_arena *arena, const double *x, const double *y, size_t count,
                         double kind) {
    size_t marks;
    const ap_thin_mark *mark = ap_thin_points(&marks, arena, x, y, count);
    for (size_t i = 0; x && y && mark && i < marks; i++) {
        const double row[4] = {x[mark[i].index], y[mark[i].index], (double)mark[i].count, kind};
        ap_figure_row(figure, row, 4);
    }
}

static void put_cloud(ap_figure *figure, const ap_review *r, const cloud *c) {
    ap_review_put_marks(figure, r->arena, c->x, c->y, c->count, 0);
}

static void planned_measured(ap_review *r) {
    ap_figure *figure = ap_review_add_figure(
        r, AP_REVIEW_FIGURE_PLANNED_MEASURED, AP_PLOT_PLANNED_MEASURED, "fig-planned",
        "Planned against measured weight",
        AP_STR_LIT("One mark a weighed pick; above the line it was heavier than planned. Bands at 10 and 25 %."));
    ap_unit unit = ap_unit_for_page(r->units, AP_DIM_LOAD, false);
    double heavier[4] = {0}; /* by more than 10 %, 25 %; lighter by more than these */
    cloud c;
    bool open = open_cloud(&c, r);
    for (size_t i = r->first; open && i < r->end; i++) {
        const ap_fact *fact = &r->roster->facts[i];
        if (fact->compared == AP_COMPARED) {
            double ratio = fact->measured_net_kg / fact->planned_net_kg;
            put_in(&c, ap_unit_from_si(unit, fact->planned_net_kg), ap_unit_from_si(unit, fact->measured_net_kg));
            heavier[0] += ratio > 1.10;
            heavier[1] += ratio > 1.25;
            heavier[2] += ratio < 0.90;
            heavier[3] += ratio < 0.75;
        }
    }
    ap_figure_string(figure, "unit", ap_str_from(ap_unit_symbol(unit)));
    ap_figure_number(figure, "weighed", (double)c.count);
    ap_figure_number(figure, "heavier_10", heavier[0]);
    ap_figure_number(figure, "heavier_25", heavier[1]);
    ap_figure_number(figure, "lighter_10", heavier[2]);
    ap_figure_number(figure, "lighter_25", heavier[3]);
    ap_figure_block(figure, "picks");
    put_cloud(figure, r, &c);
    if (r->species.all.count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No pick of this period has both a planned and a measured weight."));
    }
}

static void error_groups(ap_review *r, ap_review_figure which, const ap_weight_table *table, const char *id,
                         const char *title) {
    ap_figure *figure =
        ap_review_add_figure(r, which, AP_PLOT_ERROR_GROUPS, id, title, ap_str_from(ap_weights_figure_describes));
    if (ap_weights_describe(figure, r->arena, r->roster, table) == 0) {
        ap_figure_empty(figure, which == AP_REVIEW_FIGURE_BY_ESTIMATOR
                                    ? AP_STR_LIT("No estimator has five picks in this period, one of them weighed.")
                                    : AP_STR_LIT("No weighed pick in this period."));
    }
}

static void put_places(ap_figure *figure, const char *block, const ap_review *r, const ap_weight_table *table,
                       ap_by by) {
    ap_figure_block(figure, block);
    for (size_t g = 0; g < table->count; g++) {
        const double place = (double)(g + 1);
        ap_str label = ap_roster_label(r->roster, by, table->groups[g].key[0]);
        ap_figure_row_label(figure, &place, 1, label.ptr ? label : AP_STR_LIT("not recorded"));
    }
}

static double place_of(const ap_weight_table *table, uint32_t key) {
    for (size_t g = 0; g < table->count; g++) {
        if (table->groups[g].key[0] == key) {
            return (double)(g + 1);
        }
    }
    return NAN;
}

static void grid(ap_review *r) {
    ap_figure *figure =
        ap_review_add_figure(r, AP_REVIEW_FIGURE_GRID, AP_PLOT_GRID, "fig-grid", "Estimate error by species and cut",
                             AP_STR_LIT("Median error in percent and number of weighed picks in each cell."));
    ap_figure_block(figure, "cells");
    for (size_t g = 0; g < r->grid.count; g++) {
        const ap_weight_group *cell = &r->grid.groups[g];
        const double row[4] = {place_of(&r->cuts, cell->key[1]), place_of(&r->species, cell->key[0]),
                               percent(cell->median_ratio), (double)cell->count};
        ap_figure_row(figure, row, 4);
    }
    put_places(figure, "cuts", r, &r->cuts, AP_BY_CUT);
    put_places(figure, "species", r, &r->species, AP_BY_SPECIES);
    if (r->species.all.count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No weighed pick in this period."));
    }
}

/* Accepted densities in the months that the trend shows: a dated line each. */
static void mark_densities(ap_figure *figure, const ap_review *r, const ap_trend_series *series) {
    bool begun = false;
    int first = series->months[0].month;
    int last = series->months[series->month_count - 1].month;
    for (size_t i = 0; i < r->roster->assumptions.count; i++) {
        const ap_assumption *one = &r->roster->assumptions.items[i];
        int month = ap_month_index(one->since);
        bool held = r->period.until == AP_DATE_NONE || one->since <= r->period.until;
        if (month < first || month > last || !held) {
            continue;
        }
        if (!begun) {
            ap_figure_block(figure, "changes");
            begun = true;
        }
        ap_str name = AP_STR_LIT("a species");
        for (uint32_t label = 1; label <= r->wood.picks.labels; label++) {
            const ap_species *info = r->wood.picks.species[label];
            name = info && info->id == one->species_id ? info->common : name;
        }
        const double place = 1 + month - first + (one->since - ap_month_first(month)) / 31.0;
        ap_figure_row_label(figure, &place, 1,
                            ap_arena_printf(r->arena, "density of %.*s accepted%s", AP_STR_ARG(name),
                                            one->lowers_weight ? ": LOWERS PLANNED WEIGHT" : ""));
    }
}

static void trend(ap_review *r) {
    ap_figure *figure = ap_review_add_figure(
        r, AP_REVIEW_FIGURE_TREND, AP_PLOT_TREND_MONTHS, "fig-trend", "Estimate error by month",
        AP_STR_LIT("Median error of each month with its interval, and the limits that chance keeps."));
    const ap_trend_series *series = r->trend.count ? &r->trend.series[0] : NULL;
    ap_trend_describe(figure, series);
    if (series && series->month_count) {
        mark_densities(figure, r, series);
    }
}

/* Signals of the single picks' weights: 2 a surprise, 1 one of a run or drift, 0 none of these. */
static int kind_of(const ap_finding *finding) {
    return finding->detector == AP_DETECT_SURPRISE                                              ? 2
           : finding->detector == AP_DETECT_HEAVIER_RUN || finding->detector == AP_DETECT_DRIFT ? 1
                                                                                                : 0;
}

static void mark_kinds(const ap_review *r, uint8_t *kind) {
    for (size_t f = 0; f < r->findings.count; f++) {
        const ap_finding *finding = &r->findings.items[f];
        uint8_t mark = (uint8_t)kind_of(finding);
        for (size_t p = 0; mark && p < finding->pick_count; p++) {
            if (finding->picks[p] >= r->first && kind[finding->picks[p] - r->first] < mark) {
                kind[finding->picks[p] - r->first] = mark;
            }
        }
    }
}

/* One name a signal, at its last pick. */
static void name_signals(ap_figure *figure, const ap_review *r, const double *place) {
    ap_figure_block(figure, "marks");
    for (size_t f = 0; f < r->findings.count; f++) {
        const ap_finding *finding = &r->findings.items[f];
        size_t last = finding->pick_count ? finding->picks[finding->pick_count - 1] : 0;
        if (kind_of(finding) && finding->pick_count && last >= r->first && last < r->end &&
            place[last - r->first] > 0) {
            const ap_fact *fact = &r->roster->facts[last];
            const double row[2] = {place[last - r->first], percent(ap_fact_ratio(fact))};
            ap_figure_row_label(
                figure, row, 2,
                ap_arena_printf(r->arena, "%s: %s", fact->rest->name, ap_detector_title(finding->detector)));
        }
    }
}

static void runs(ap_review *r) {
    ap_figure *figure = ap_review_add_figure(
        r, AP_REVIEW_FIGURE_RUNS, AP_PLOT_RUNS, "fig-runs", "Every weighed pick in order",
        AP_STR_LIT("Single picks in percent heavier or lighter than planned, in the order they were made. Runs, "
                   "drifts and surprises that the detectors found are marked and named."));
    size_t count = r->end - r->first;
    uint8_t *kind = ap_arena_alloc_array(r->arena, count + 1, sizeof *kind);
    double *place = ap_arena_alloc_array(r->arena, count + 1, sizeof *place);
    cloud plain;
    if (!kind || !place || !open_cloud(&plain, r) || r->species.all.count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No weighed pick in this period."));
        return;
    }
    mark_kinds(r, kind);
    double at = 0;
    for (size_t i = 0; i < count; i++) {
        const ap_fact *fact = &r->roster->facts[r->first + i];
        if (fact->compared == AP_COMPARED) {
            place[i] = ++at;
            if (!kind[i]) {
                put_in(&plain, at, percent(ap_fact_ratio(fact)));
            }
        }
    }
    ap_figure_number(figure, "weighed", at);
    ap_figure_block(figure, "picks");
    put_cloud(figure, r, &plain);
    for (uint8_t k = 1; k <= 2; k++) {
        plain.count = 0;
        for (size_t i = 0; i < count; i++) {
            if (kind[i] == k && place[i] > 0) {
                put_in(&plain, place[i], percent(ap_fact_ratio(&r->roster->facts[r->first + i])));
            }
        }
        ap_review_put_marks(figure, r->arena, plain.x, plain.y, plain.count, k);
    }
    name_signals(figure, r, place);
}

static void capacity(ap_review *r) {
    ap_figure *figure = ap_review_add_figure(
        r, AP_REVIEW_FIGURE_CAPACITY, AP_PLOT_CAPACITY_USED, "fig-capacity",
        "Share of the rated capacity: planned and as lifted",
        AP_STR_LIT("Hook load in percent of rated capacity, planned against the worse of cut and set-down."));
    const ap_settings *settings = &r->roster->settings;
    double over = 0;
    double more = 0;
    cloud c;
    bool open = open_cloud(&c, r);
    for (size_t i = r->first; open && i < r->end; i++) {
        const ap_fact *fact = &r->roster->facts[i];
        double worst = ap_fact_share_worst(fact);
        if (!isnan(fact->share_planned) && !isnan(worst)) {
            put_in(&c, fact->share_planned * 100, worst * 100);
            more += worst > fact->share_planned;
            over += worst > 1 + 1e-9;
        }
    }
    ap_figure_number(figure, "band1", settings->band_watch * 100);
    ap_figure_number(figure, "band2", settings->band_stop * 100);
    ap_figure_number(figure, "known", (double)c.count);
    ap_figure_number(figure, "more", more);
    ap_figure_number(figure, "over", over);
    ap_figure_block(figure, "picks");
    put_cloud(figure, r, &c);
    ap_figure_block(figure, "named");
    for (size_t f = 0; f < r->findings.count; f++) {
        const ap_fact *fact = &r->roster->facts[r->findings.items[f].picks[0]];
        if (r->findings.items[f].detector == AP_DETECT_OVER_CHART && !isnan(fact->share_planned)) {
            const double row[2] = {fact->share_planned * 100, ap_fact_share_worst(fact) * 100};
            ap_figure_row_label(figure, row, 2, ap_str_from(fact->rest->name));
        }
    }
    if (c.count == 0) {
        ap_figure_empty(figure,
                        AP_STR_LIT("No pick of this period has both a planned and an as-lifted share of capacity."));
    }
}

static void density(ap_review *r) {
    ap_figure *figure = ap_review_add_figure(
        r, AP_REVIEW_FIGURE_DENSITY, AP_PLOT_DENSITY, "fig-density", "Your own wood against the handbook",
        AP_STR_LIT("Green density by species: the handbook with its range, own wood with its 90 % interval, the "
                   "single picks behind it."));
    ap_density_describe(figure, r->arena, &r->wood, r->units);
}

void ap_review_describe_figures(ap_review *review) {
    review->figures = ap_figure_set_new(review->arena, AP_FIGURE_SVG);
    ap_figure_set_narrow(review->figures);
    if (!review->figures) {
        return;
    }
    planned_measured(review);
    error_groups(review, AP_REVIEW_FIGURE_BY_SPECIES, &review->species, "fig-species", "Estimate error by species");
    error_groups(review, AP_REVIEW_FIGURE_BY_CUT, &review->cuts, "fig-cut", "Estimate error by cut");
    size_t left_out;
    ap_weight_table people = ap_review_without_few(review, &review->estimators, &left_out);
    error_groups(review, AP_REVIEW_FIGURE_BY_ESTIMATOR, &people, "fig-estimator", "Estimate error by estimator");
    grid(review);
    trend(review);
    runs(review);
    capacity(review);
    density(review);
    ap_review_describe_parted(review);
}
