#include "report/density_page.h"

#include "figure/thin_points.h"

static ap_str change_text(ap_arena *arena, const ap_reestimate_species *plans) {
    return ap_say_signed(arena, exp(plans->change));
}

bool ap_density_lowers(const ap_density_study *study, const ap_density_species *row) {
    const ap_assumption *held =
        ap_assumption_in_force(&study->roster->assumptions, row->info->id, study->roster->until);
    return held && held->lowers_weight;
}

/* Own figures that stand in the table, are lighter than those in use and not recommended. */
static void mark_lighter(ap_doc *doc, const ap_density_study *study) {
    ap_str names = AP_STR_NONE;
    for (size_t s = 0; s < study->density.species_count; s++) {
        const ap_reestimate_species *plans = &study->plans.species[s];
        bool shown = plans->verdict != AP_DENSITY_ONLY_BUTTS && plans->verdict != AP_DENSITY_LIGHTER;
        if (shown && plans->change < -AP_SAME_FIGURE_LOG) {
            names = ap_doc_printf(doc, "%.*s%s%.*s", AP_STR_ARG(names), names.len ? ", " : "",
                                  AP_STR_ARG(study->density.species[s].info->common));
        }
    }
    if (names.len) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "LOWERS PLANNED WEIGHT, and not recommended: your own figure of %.*s.",
                                            AP_STR_ARG(names)));
    }
}

void ap_density_table(ap_doc *doc, const char *id, const ap_density_study *study) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("species"), .label = AP_STR_LIT("species"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("handbook"),
         .label = AP_STR_LIT("handbook"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_DENSITY},
        {.key = AP_STR_LIT("in_use"), .label = AP_STR_LIT("in use"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_DENSITY},
        {.key = AP_STR_LIT("own"), .label = AP_STR_LIT("own"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_DENSITY},
        {.key = AP_STR_LIT("low"), .label = AP_STR_LIT("from"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_DENSITY},
        {.key = AP_STR_LIT("high"), .label = AP_STR_LIT("to"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_DENSITY},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("change"), .label = AP_STR_LIT("plans"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("says"), .label = AP_STR_LIT("advice"), .kind = AP_CELL_TEXT},
    };
    ap_arena arena;
    ap_arena_init(&arena, 1u << 20);
    ap_table *table = ap_doc_table(doc, ap_str_from(id), AP_STR_LIT("Green density with bark: handbook and own wood"),
                                   columns, sizeof columns / sizeof columns[0]);
    for (size_t s = 0; s < study->density.species_count; s++) {
        const ap_density_species *row = &study->density.species[s];
        const ap_reestimate_species *plans = &study->plans.species[s];
        ap_table_row(table);
        ap_table_text(table, row->info->common);
        ap_table_value(table, row->info->density_kg_m3);
        ap_table_value(table, ap_density_of(row->info, plans->in_force));
        double told = plans->verdict == AP_DENSITY_ONLY_BUTTS ? NAN : 0; /* no figure from butts alone */
        ap_table_value(table, ap_density_of(row->info, row->shift + told));
        ap_table_value(table, ap_density_of(row->info, row->low + told));
        ap_table_value(table, ap_density_of(row->info, row->high + told));
        ap_table_value(table, (double)row->bare_trees);
        ap_table_text(table, isnan(told) ? AP_STR_NONE : change_text(&arena, plans));
        ap_table_text(table, ap_doc_printf(doc, "%.*s%s%s", AP_STR_ARG(ap_say_verdict_short(plans->verdict)),
                                           ap_density_lowers(study, row) ? "; in use LOWERS PLANNED WEIGHT" : "",
                                           row->conflict ? "; far from the handbook" : ""));
    }
    ap_table_empty(table, AP_STR_LIT("No weighed pick with a species and dimensions."));
    ap_arena_release(&arena);
    mark_lighter(doc, study);
}

static void put_held_line(ap_table *table, const char *what, const ap_held_line *line, const ap_held_out *of) {
    if (line->picks == 0) {
        return;
    }
    ap_table_row(table);
    ap_table_text(table, ap_str_from(what));
    ap_table_value(table, (double)line->picks);
    ap_table_value(table, line->trees ? (double)line->trees : NAN);
    ap_table_value(table, exp(line->bias));
    ap_table_value(table, line->sd);
    ap_table_value(table, line->heavier);
    ap_table_text(table, !of || !of->has_gain || line != &of->after ? AP_STR_NONE
                         : of->gain_low > 0                         ? AP_STR_LIT("better")
                         : of->gain_high < 0                        ? AP_STR_LIT("worse")
                                                                    : AP_STR_LIT("not told apart"));
}

void ap_held_out_table(ap_doc *doc, const char *id, const ap_density_study *study, const ap_reestimate_species *plans) {
    ap_str heavier = ap_doc_printf(doc, "heavier by > %.0f %%", study->roster->settings.heavier * 100);
    const ap_column columns[] = {
        {.key = AP_STR_LIT("what"), .label = AP_STR_LIT("plans"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("ratio"), .label = AP_STR_LIT("average"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("spread"), .label = AP_STR_LIT("spread"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("heavier"), .label = heavier, .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("paired"), .label = AP_STR_LIT("paired"), .kind = AP_CELL_TEXT},
    };
    ap_table *table =
        ap_doc_table(doc, ap_str_from(id), AP_STR_LIT("Measured against planned, as planned and with the own figure"),
                     columns, sizeof columns / sizeof columns[0]);
    put_held_line(table, "as planned (chart, table, worked)", &plans->tree.before, NULL);
    put_held_line(table, "with the figure of other trees", &plans->tree.after, &plans->tree);
    put_held_line(table, "later jobs, as planned", &plans->rolling.before, NULL);
    put_held_line(table, "with the figure of earlier jobs", &plans->rolling.after, &plans->rolling);
    put_held_line(table, "by eye (does not move)", &plans->by_eye, NULL);
    put_held_line(table, "butts, middle not taped", &plans->butts, NULL);
    ap_table_empty(table, AP_STR_LIT("No weighed pick of this wood has a plan."));
}

/* What the other effects came to: a line each. */
static void put_effects(ap_doc *doc, const ap_density_study *study) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("what"), .label = AP_STR_LIT("pieces"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("ratio"), .label = AP_STR_LIT("against the figure"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("low"), .label = AP_STR_LIT("from"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("high"), .label = AP_STR_LIT("to"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
    };
    ap_arena arena;
    ap_arena_init(&arena, 1u << 20);
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("density-kinds"), AP_STR_LIT("Other than sound wood above the butt"),
                                   columns, sizeof columns / sizeof columns[0]);
    for (size_t k = 0; k < study->density.effect_count; k++) {
        const ap_density_effect *effect = &study->density.effects[k];
        ap_str what = effect->kind == AP_DENSITY_BUTT ? AP_STR_LIT("butt, middle not taped")
                      : effect->kind == AP_DENSITY_CONDITION
                          ? ap_str_from(ap_wood_class_text((ap_wood_class)effect->key))
                      : effect->kind == AP_DENSITY_BRUSH      ? ap_density_brush_text(&arena, effect->key)
                      : effect->kind == AP_DENSITY_INSTRUMENT ? AP_STR_LIT("every pick: the load indicator")
                                                              : AP_STR_NONE;
        if (what.ptr) {
            ap_table_row(table);
            ap_table_text(table, what);
            ap_table_value(table, exp(effect->mean));
            ap_table_value(table, exp(effect->low));
            ap_table_value(table, exp(effect->high));
            ap_table_value(table, (double)effect->trees);
            ap_table_value(table, (double)effect->picks);
        }
    }
    ap_arena_release(&arena);
}

void ap_density_working(ap_doc *doc, const ap_density_study *study) {
    const ap_density *d = &study->density;
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    put_effects(doc, study);
    ap_doc_paragraph(
        doc,
        AP_STR_LIT(
            "ln(weight / stem volume) = ln(handbook) + species + load indicator + butt + condition + brush class + "
            "tree + rest. The handbook is a normal prior on a species (standard deviation 12 %, 20 % where its row "
            "stands for a group), the indicator's shift common to all picks has 4 %, butts 20 %, dead, decayed or "
            "hollow wood and each brush class 30 % (choices of ours). Volume over bark: Newton with a mid "
            "diameter, else the cone through both ends. The butt piece of a tree is its thickest trunk or stub "
            "piece. Brush shares written down are not used here: what brush adds is learnt."));
    ap_doc_paragraph(
        doc, ap_doc_printf(
                 doc,
                 "Tree %.1f %%, rest %.1f %% (standard deviations of ln, %s). Intervals are posterior, 90 %%. A "
                 "species is far from the handbook beyond 3 standard deviations. Plans are made anew only where the "
                 "basis was chart, table or working: plan x figure / figure of the plan's day. Recommended when the "
                 "squared error of ln(measured / planned) falls on trees left out, 90 %% interval of the paired "
                 "difference clear of zero, trees counting once each, and does not rise on later jobs. A lighter "
                 "figure needs %d trees and a held-out share heavier than plan x factor that does not rise (upper end "
                 "of the 90 %% interval), the factor fitted to the plans made anew.",
                 100 * sqrt(d->tree_variance), 100 * sqrt(d->rest_variance),
                 d->assumed ? "assumed: too few picks to tell" : "REML", AP_LIGHTER_TREES_LEAST));
    ap_doc_working_end(doc);
}

static void put_questioned(ap_doc *doc, const ap_density_study *study) {
    enum { NAMED = 8 };
    ap_str list = AP_STR_LIT("");
    size_t count = 0;
    for (size_t i = 0; i < study->picks.count; i++) {
        if (study->picks.items[i].above_ceiling && count++ < NAMED) {
            list = ap_doc_printf(doc, "%.*s%s%s", AP_STR_ARG(list), list.len ? ", " : "",
                                 study->roster->facts[study->picks.items[i].fact].rest->name);
        }
    }
    if (count) {
        ap_doc_paragraph(doc,
                         ap_doc_printf(doc,
                                       "Heavier than sound wood can be, beyond the volume's reading error: %.*s%s. "
                                       "A dimension, a tare or the indicator is wrong, or the piece is not what "
                                       "it was taken for. They stay in: each figure is worked out with and "
                                       "without them, and the heavier one is carried.",
                                       AP_STR_ARG(list), count > NAMED ? " ..." : ""));
    }
}

void ap_density_page(ap_doc *doc, const ap_density_study *study) {
    ap_doc_answer(doc, ap_say_density(doc, study));
    ap_density_table(doc, "density", study);
    for (size_t s = 0; s < study->density.species_count; s++) {
        ap_density_verdict verdict = study->plans.species[s].verdict;
        if (ap_density_is_recommended(verdict)) {
            ap_doc_list_item(doc, ap_say_verdict(doc, study, &study->density.species[s], &study->plans.species[s]));
        }
    }
    put_questioned(doc, study);
    ap_str origins = ap_say_density_origins(doc, study->roster);
    if (origins.ptr) {
        ap_doc_paragraph(doc, origins);
    }
    ap_str unused = ap_say_density_unused(doc, study->picks.unused);
    if (unused.ptr) {
        ap_doc_paragraph(doc, unused);
    }
    if (study->density.picks) {
        ap_held_out_table(doc, "density-held-out", study, &study->plans.all);
        ap_doc_paragraph(doc, AP_STR_LIT("'afterpick density SPECIES' shows the evidence; 'density accept SPECIES "
                                         "--why ...' makes a recommended figure the one in use from that day on."));
        ap_density_working(doc, study);
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

/* The single picks, each in the row of its species and at a place of its own across the row. */
static void put_density_picks(ap_figure *figure, ap_arena *arena, const ap_density_study *study, ap_unit unit,
                              size_t rows) {
    const ap_density *d = &study->density;
    size_t room = study->picks.count + 1;
    double *x = ap_arena_alloc_array(arena, room, sizeof *x);
    double *y = ap_arena_alloc_array(arena, room, sizeof *y);
    size_t *row_of = ap_arena_alloc_array(arena, (size_t)study->picks.labels + 1, sizeof *row_of);
    ap_figure_block(figure, "picks");
    if (!x || !y || !row_of) {
        return;
    }
    for (size_t s = 0; s < rows; s++) {
        row_of[d->species[s].label] = s + 1;
    }
    size_t known = 0;
    for (size_t i = 0; i < study->picks.count; i++) {
        const ap_density_pick *pick = &study->picks.items[i];
        size_t row = row_of[pick->species];
        double place = 0.618034 * (double)i;
        x[i] = row ? ap_unit_from_si(unit, ap_density_of(d->species[row - 1].info, pick->y)) : NAN;
        y[i] = (double)row - 1 + place - floor(place) - 0.5;
        known += isfinite(x[i]) ? 1 : 0;
    }
    size_t marks;
    const ap_thin_mark *mark = ap_thin_points(&marks, arena, x, y, study->picks.count);
    for (size_t m = 0; mark && m < marks; m++) {
        size_t i = mark[m].index;
        const ap_density_pick *pick = &study->picks.items[i];
        double row = floor(y[i] + 0.5);
        const double values[4] = {x[i], row, y[i] - row, pick->butt || pick->brush ? 1 : 0};
        ap_figure_row(figure, values, 4);
    }
    ap_figure_number(figure, "left_out", (double)(known - marks));
}

void ap_density_describe(ap_figure *figure, ap_arena *arena, const ap_density_study *study, ap_unit_system units) {
    enum { SPECIES_MOST = 25 };
    const ap_density *d = &study->density;
    ap_unit unit = ap_unit_for_page(units, AP_DIM_DENSITY, false);
    ap_figure_string(figure, "unit", ap_str_from(ap_unit_symbol(unit)));
    ap_figure_block(figure, "species");
    for (size_t s = 0; s < d->species_count && s < SPECIES_MOST; s++) {
        const ap_density_species *row = &d->species[s];
        double wide = 1.6449 * row->prior_sd;
        double told = row->bare_trees ? 0 : NAN;
        const double shift[6] = {0, -wide, wide, row->shift + told, row->low + told, row->high + told};
        double values[7];
        for (size_t k = 0; k < 6; k++) {
            values[k] = ap_unit_from_si(unit, ap_density_of(row->info, shift[k]));
        }
        values[6] = (double)row->bare_trees;
        ap_figure_row_label(figure, values, 7, row->info->common);
    }
    put_density_picks(figure, arena, study, unit, d->species_count < SPECIES_MOST ? d->species_count : SPECIES_MOST);
    if (d->species_count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No weighed pick has a species and dimensions."));
    }
}
