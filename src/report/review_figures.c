#include "base/pick.h"
#include "figure/plots.h"
#include "report/density_page.h"
#include "report/review.h"
#include "report/trend_page.h"

static double percent(double ratio) {
    return (ratio - 1) * 100;
}

static ap_figure *add(ap_review *review, ap_review_figure which, const char *plot, const char *id, const char *title,
                      ap_str description) {
    ap_figure *figure = ap_figure_add(review->figures, plot, id, ap_str_from(title), description);
    review->figure[which] = figure;
    return figure;
}

static void planned_measured(ap_review *r) {
    ap_figure *figure =
        add(r, AP_REVIEW_FIGURE_PLANNED_MEASURED, AP_PLOT_PLANNED_MEASURED, "fig-planned",
            "Planned against measured weight",
            AP_STR_LIT("One point a weighed pick; above the line it was heavier than planned. Bands at 10 and 25 %."));
    ap_unit unit = ap_unit_for_page(r->units, AP_DIM_LOAD, false);
    ap_figure_string(figure, "unit", ap_str_from(ap_unit_symbol(unit)));
    ap_figure_block(figure, "picks");
    for (size_t i = r->first; i < r->end; i++) {
        const ap_fact *fact = &r->roster->facts[i];
        if (fact->compared == AP_COMPARED) {
            const double row[2] = {ap_unit_from_si(unit, fact->planned_net_kg),
                                   ap_unit_from_si(unit, fact->measured_net_kg)};
            ap_figure_row(figure, row, 2);
        }
    }
    if (r->species.all.count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No pick of this period has both a planned and a measured weight."));
    }
}

static void error_groups(ap_review *r, ap_review_figure which, const ap_weight_table *table, const char *id,
                         const char *title) {
    ap_figure *figure =
        add(r, which, AP_PLOT_ERROR_GROUPS, id, title,
            AP_STR_LIT("Median error of each group in percent, with the 90 % interval of its average over trees."));
    enum { MOST = 25 };
    size_t rows = 0;
    ap_figure_block(figure, "groups");
    for (size_t g = 0; g < table->count && rows < MOST; g++) {
        const ap_weight_group *group = &table->groups[g];
        if (group->count) {
            const double row[5] = {percent(group->median_ratio), percent(group->ratio_low), percent(group->ratio_high),
                                   (double)group->count, NAN};
            ap_figure_row_label(figure, row, 5, ap_weight_group_label(r->arena, r->roster, table, group));
            rows++;
        }
    }
    if (rows == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No weighed pick in this period."));
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
    ap_figure *figure = add(r, AP_REVIEW_FIGURE_GRID, AP_PLOT_GRID, "fig-grid", "Estimate error by species and cut",
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
    ap_figure *figure =
        add(r, AP_REVIEW_FIGURE_TREND, AP_PLOT_TREND_MONTHS, "fig-trend", "Estimate error by month",
            AP_STR_LIT("Median error of each month with its interval, and the limits that chance keeps."));
    const ap_trend_series *series = r->trend.count ? &r->trend.series[0] : NULL;
    ap_trend_describe(figure, series);
    if (series && series->month_count) {
        mark_densities(figure, r, series);
    }
}

static void mark_kinds(const ap_review *r, uint8_t *kind) {
    for (size_t f = 0; f < r->findings.count; f++) {
        const ap_finding *finding = &r->findings.items[f];
        uint8_t mark = finding->detector == AP_DETECT_SURPRISE ? 2 : finding->detector == AP_DETECT_HEAVIER_RUN ? 1 : 0;
        for (size_t p = 0; mark && p < finding->pick_count; p++) {
            if (finding->picks[p] >= r->first && kind[finding->picks[p] - r->first] < mark) {
                kind[finding->picks[p] - r->first] = mark;
            }
        }
    }
}

static void runs(ap_review *r) {
    ap_figure *figure =
        add(r, AP_REVIEW_FIGURE_RUNS, AP_PLOT_RUNS, "fig-runs", "Every weighed pick in order",
            AP_STR_LIT("Single picks in percent heavier or lighter than planned; runs and surprises marked."));
    size_t count = r->end - r->first;
    uint8_t *kind = ap_arena_alloc_array(r->arena, count + 1, sizeof *kind);
    if (!kind || r->species.all.count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No weighed pick in this period."));
        return;
    }
    mark_kinds(r, kind);
    double *place = ap_arena_alloc_array(r->arena, count + 1, sizeof *place);
    double at = 0;
    ap_figure_block(figure, "picks");
    for (size_t i = 0; i < count; i++) {
        const ap_fact *fact = &r->roster->facts[r->first + i];
        if (place && fact->compared == AP_COMPARED) {
            place[i] = ++at;
            const double row[3] = {at, percent(ap_fact_ratio(fact)), kind[i]};
            ap_figure_row(figure, row, 3);
        }
    }
    enum { NAMED = 8 };
    size_t named = 0;
    ap_figure_block(figure, "marks");
    for (size_t f = 0; place && f < r->findings.count && named < NAMED; f++) {
        const ap_finding *finding = &r->findings.items[f];
        size_t last = finding->picks[finding->pick_count - 1];
        if (finding->class == AP_FINDING_LIKELY && last >= r->first) {
            const ap_fact *fact = &r->roster->facts[last];
            const double row[2] = {place[last - r->first], percent(ap_fact_ratio(fact))};
            ap_figure_row_label(figure, row, 2, ap_str_from(fact->name));
            named++;
        }
    }
}

static void capacity(ap_review *r) {
    ap_figure *figure =
        add(r, AP_REVIEW_FIGURE_CAPACITY, AP_PLOT_CAPACITY_USED, "fig-capacity",
            "Share of the rated capacity: planned and as lifted",
            AP_STR_LIT("Hook load in percent of rated capacity, planned against the worse of cut and set-down."));
    const ap_settings *settings = &r->roster->settings;
    ap_figure_number(figure, "band1", settings->band_watch * 100);
    ap_figure_number(figure, "band2", settings->band_stop * 100);
    size_t rows = 0;
    ap_figure_block(figure, "picks");
    for (size_t i = r->first; i < r->end; i++) {
        const ap_fact *fact = &r->roster->facts[i];
        double worst = ap_fact_share_worst(fact);
        if (!isnan(fact->share_planned) && !isnan(worst)) {
            const double row[2] = {fact->share_planned * 100, worst * 100};
            ap_figure_row(figure, row, 2);
            rows++;
        }
    }
    ap_figure_block(figure, "named");
    for (size_t f = 0; f < r->findings.count; f++) {
        const ap_fact *fact = &r->roster->facts[r->findings.items[f].picks[0]];
        if (r->findings.items[f].detector == AP_DETECT_OVER_CHART && !isnan(fact->share_planned)) {
            const double row[2] = {fact->share_planned * 100, ap_fact_share_worst(fact) * 100};
            ap_figure_row_label(figure, row, 2, ap_str_from(fact->name));
        }
    }
    if (rows == 0) {
        ap_figure_empty(figure,
                        AP_STR_LIT("No pick of this period has both a planned and an as-lifted share of capacity."));
    }
}

static void movement(ap_review *r) {
    ap_figure *figure =
        add(r, AP_REVIEW_FIGURE_MOVEMENT, AP_PLOT_MOVEMENT, "fig-movement", "How pieces moved, by cut",
            AP_STR_LIT("Shares of picks by the gravest movement logged when they parted, counts written in."));
    const ap_movement_table *table = &r->moved_by_cut;
    for (int kind = 0; kind < AP_MOVED_COUNT; kind++) {
        char name[16];
        snprintf(name, sizeof name, "move%d", kind + 1);
        ap_figure_string(figure, name, ap_str_from(ap_moved_name((ap_moved)kind)));
    }
    ap_figure_block(figure, "moves");
    for (size_t g = 0; g < table->count; g++) {
        double row[AP_MOVED_COUNT];
        for (int kind = 0; kind < AP_MOVED_COUNT; kind++) {
            row[kind] = (double)table->groups[g].kinds[kind];
        }
        ap_str label = ap_roster_label(r->roster, AP_BY_CUT, table->groups[g].key);
        ap_figure_row_label(figure, row, AP_MOVED_COUNT, label.ptr ? label : AP_STR_LIT("not recorded"));
    }
    if (table->count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No movement was logged in this period."));
    }
}

static void density(ap_review *r) {
    ap_figure *figure =
        add(r, AP_REVIEW_FIGURE_DENSITY, AP_PLOT_DENSITY, "fig-density", "Your own wood against the handbook",
            AP_STR_LIT("Green density by species: the handbook with its range, own wood with its 90 % interval, the "
                       "single picks behind it."));
    ap_density_describe(figure, &r->wood, r->units);
}

static void predicted(ap_review *r) {
    ap_figure *figure =
        add(r, AP_REVIEW_FIGURE_PREDICTED, AP_PLOT_PREDICTED, "fig-predicted",
            "Movement worked out against movement logged",
            ap_arena_printf(
                r->arena,
                "One mark a pick of %s: how far the butt was to go up or down by the mechanics, and how far "
                "it was logged to go; on the broken line both are the same.",
                r->predicted.pair_count > AP_PREDICTED_MARKS ? "the youngest 2,000; the figures beside it are of all"
                                                             : "all picks"));
    ap_predicted_describe(figure, r);
}

void ap_review_describe_figures(ap_review *review) {
    review->figures = ap_figure_set_new(review->arena, AP_FIGURE_SVG);
    if (!review->figures) {
        return;
    }
    planned_measured(review);
    error_groups(review, AP_REVIEW_FIGURE_BY_SPECIES, &review->species, "fig-species", "Estimate error by species");
    error_groups(review, AP_REVIEW_FIGURE_BY_CUT, &review->cuts, "fig-cut", "Estimate error by cut");
    grid(review);
    trend(review);
    runs(review);
    capacity(review);
    movement(review);
    density(review);
    predicted(review);
}
