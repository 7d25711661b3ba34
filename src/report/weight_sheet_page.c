#include "report/weight_sheet_page.h"

#include "report/pooled_say.h"

static const double LB_FT = 0.45359237 / 0.3048; /* kg/m: NIST SP 811 */

static const char not_a_chart[] =
    "Not a load chart: weigh it, look at the chart, ask the operator. Sound green stem wood only, bare of brush, net: "
    "brush, block, slings and stowed gear come on top. Not for dead, decayed, hollow or soaked wood, the flare of a "
    "butt, "
    "or a piece whose tip is less than two thirds as thick as its butt.";

static const char lowers[] = "LOWERS PLANNED WEIGHT";

double ap_weight_sheet_step(ap_unit_system units) {
    return units == AP_UNITS_US ? 2 * 0.0254 : 0.05;
}

static ap_date withdraw_on(const ap_weight_sheet_view *view) {
    return ap_date_add_months(view->made_on, AP_SHEET_GOOD_FOR_MONTHS);
}

/* What to do about a species without a row. */
static ap_str say_none(ap_doc *doc, const ap_sheet_species *one) {
    ap_str name = one->species->common;
    switch (one->why_none) {
    case AP_SHEET_NOT_ACCEPTED:
        return ap_doc_printf(
            doc,
            "%.*s: no row, no figure of your own is accepted. 'afterpick density \"%.*s\"' shows what your "
            "weighed pieces say; 'afterpick density accept \"%.*s\" --why ...' accepts it. The handbook's "
            "figure is not printed here.",
            AP_STR_ARG(name), AP_STR_ARG(name), AP_STR_ARG(name));
    case AP_SHEET_NO_FACTOR:
        return ap_doc_printf(doc, "%.*s: no row, there is no planning factor before %d trees with weighed stem pieces.",
                             AP_STR_ARG(name), AP_POOLED_TREES_LEAST);
    case AP_SHEET_NO_EVIDENCE:
        return ap_doc_printf(
            doc,
            "%.*s: no row, no weighed stem piece of it has its dimensions logged: length, butt and tip "
            "(and the middle of a butt piece).",
            AP_STR_ARG(name));
    case AP_SHEET_FINE:
        break;
    }
    return AP_STR_NONE;
}

static ap_str say_species(ap_doc *doc, ap_arena *arena, const ap_weight_sheet_view *view, const ap_sheet_species *one) {
    const ap_assumption *held = one->accepted;
    ap_str carried = ap_say_carried(arena, view->roster, &view->sheet->pooled, one->cell);
    bool own = one->cell->has_own;
    return ap_doc_printf(
        doc, "%.*s: %.*s accepted on %.*s (handbook %.*s) plus %.*s, the planning factor%s%.*s; %.*s on %.*s.%s",
        AP_STR_ARG(one->species->common), AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, held->density_kg_m3, false)),
        AP_STR_ARG(ap_doc_date(doc, held->accepted_on)),
        AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, one->species->density_kg_m3, false)),
        AP_STR_ARG(ap_say_add(arena, one->cell->bound)), own ? "" : " of ", AP_STR_ARG(own ? AP_STR_LIT("") : carried),
        AP_STR_ARG(ap_say_count(doc, one->picks, "weighed stem piece")),
        AP_STR_ARG(ap_say_count(doc, one->trees, "tree")),
        held->lowers_weight ? " LOWERS PLANNED WEIGHT against the figure before it." : "");
}

/* Rounded up to a whole pound or kilogram: a crew never reads less than was worked out. */
static double per_length(ap_unit_system units, double kg_per_m) {
    return ceil((units == AP_UNITS_US ? kg_per_m / LB_FT : kg_per_m) - 1e-9);
}

static ap_column diameter_column(ap_unit_system units) {
    bool us = units == AP_UNITS_US;
    return (ap_column){.key = us ? AP_STR_LIT("diameter_up_to_in") : AP_STR_LIT("diameter_up_to_cm"),
                       .label = us ? AP_STR_LIT("diameter up to, in") : AP_STR_LIT("diameter up to, cm"),
                       .kind = AP_CELL_NUMBER};
}

static double diameter_shown(ap_unit_system units, double diameter_m) {
    return round(diameter_m / (units == AP_UNITS_US ? 0.0254 : 0.01));
}

/* One row a species and diameter. */
static void put_list(ap_doc *doc, const ap_weight_sheet_view *view) {
    ap_unit_system units = ap_doc_units(doc);
    const ap_column columns[] = {
        {.key = AP_STR_LIT("species"), .label = AP_STR_LIT("species"), .kind = AP_CELL_TEXT},
        diameter_column(units),
        {.key = units == AP_UNITS_US ? AP_STR_LIT("plan_lb_per_ft") : AP_STR_LIT("plan_kg_per_m"),
         .label = AP_STR_LIT("plan"),
         .kind = AP_CELL_NUMBER},
        {.key = AP_STR_LIT("weighed"), .label = AP_STR_LIT("weighed"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("mark"), .label = AP_STR_LIT("mark"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("sheet"), AP_STR_LIT("Weights"), columns, 6);
    for (size_t i = 0; i < view->sheet->species_count; i++) {
        const ap_sheet_species *one = &view->sheet->species[i];
        for (size_t r = 0; r < one->row_count; r++) {
            ap_table_row(table);
            ap_table_text(table, one->species->common);
            ap_table_value(table, diameter_shown(units, one->rows[r].diameter_m));
            ap_table_value(table, per_length(units, one->rows[r].kg_per_m));
            ap_table_value(table, (double)one->rows[r].picks);
            ap_table_value(table, (double)one->rows[r].trees);
            ap_table_text(table, one->accepted->lowers_weight ? ap_str_from(lowers) : AP_STR_NONE);
        }
    }
}

static ap_str cell_text(ap_doc *doc, const ap_sheet_species *one, double diameter_m) {
    for (size_t r = 0; r < one->row_count; r++) {
        const ap_sheet_row *row = &one->rows[r];
        if (fabs(row->diameter_m - diameter_m) < 1e-6) {
            return ap_doc_printf(doc, "%.0f (%zu, %zu)", per_length(ap_doc_units(doc), row->kg_per_m), row->picks,
                                 row->trees);
        }
    }
    return AP_STR_NONE;
}

/* A column a species; a diameter at which none has a weighed piece has no row. */
static void put_matrix(ap_doc *doc, const ap_weight_sheet_view *view) {
    const ap_weight_sheet *sheet = view->sheet;
    ap_column columns[1 + AP_SHEET_SPECIES_MAX];
    const ap_sheet_species *shown[AP_SHEET_SPECIES_MAX];
    size_t count = 0;
    columns[0] = diameter_column(ap_doc_units(doc));
    for (size_t i = 0; i < sheet->species_count; i++) {
        const ap_sheet_species *one = &sheet->species[i];
        if (one->row_count) {
            columns[1 + count] = (ap_column){.key = one->species->common,
                                             .label = ap_doc_printf(doc, "%.*s%s%s", AP_STR_ARG(one->species->common),
                                                                    one->accepted->lowers_weight ? ": " : "",
                                                                    one->accepted->lowers_weight ? lowers : ""),
                                             .kind = AP_CELL_TEXT};
            shown[count++] = one;
        }
    }
    const char *unit = ap_doc_units(doc) == AP_UNITS_US ? "pounds per foot" : "kilograms per metre";
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("sheet"),
                                   ap_doc_printf(doc, "Stem, %s, planning factor in it (weighed pieces, trees)", unit),
                                   columns, 1 + count);
    for (size_t r = 1; count && r <= AP_SHEET_ROWS_MAX; r++) {
        double diameter_m = (double)r * sheet->step_m;
        ap_str cells[AP_SHEET_SPECIES_MAX] = {{NULL, 0}};
        bool any = false;
        for (size_t i = 0; i < count; i++) {
            cells[i] = cell_text(doc, shown[i], diameter_m);
            any = any || cells[i].ptr;
        }
        if (any) {
            ap_table_row(table);
            ap_table_value(table, diameter_shown(ap_doc_units(doc), diameter_m));
            for (size_t i = 0; i < count; i++) {
                ap_table_text(table, cells[i]);
            }
        }
    }
    ap_table_empty(table, AP_STR_LIT("No row: no species asked for has an accepted figure and weighed stem pieces."));
}

static size_t count_rows(const ap_weight_sheet *sheet) {
    size_t rows = 0;
    for (size_t i = 0; i < sheet->species_count; i++) {
        rows += sheet->species[i].row_count;
    }
    return rows;
}

/* First the species with rows, or those without. */
static void put_species(ap_doc *doc, ap_arena *arena, const ap_weight_sheet_view *view, bool with_rows) {
    for (size_t i = 0; i < view->sheet->species_count; i++) {
        const ap_sheet_species *one = &view->sheet->species[i];
        bool fine = one->why_none == AP_SHEET_FINE;
        if (fine == with_rows) {
            ap_doc_list_item(doc, fine ? say_species(doc, arena, view, one) : say_none(doc, one));
        }
    }
}

void ap_weight_sheet_page(ap_doc *doc, const ap_weight_sheet_view *view, bool rows) {
    ap_arena arena;
    ap_arena_init(&arena, 16u << 20);
    const char *company = view->roster->settings.company;
    bool any = count_rows(view->sheet) > 0;
    ap_doc_carry(doc);
    ap_doc_answer(
        doc, any ? AP_STR_LIT("Tape the middle over bark, take that row or the next thicker one, times the length.")
                 : AP_STR_LIT("Nothing to carry along yet."));
    ap_doc_caution(doc, ap_str_from(not_a_chart));
    /* The company stands in the page's head. */
    ap_doc_paragraph(doc, ap_doc_printf(doc, "%sMade on %.*s; withdraw after %.*s.",
                                        *company ? "" : "Company not recorded (afterpick set company). ",
                                        AP_STR_ARG(ap_doc_date(doc, view->made_on)),
                                        AP_STR_ARG(ap_doc_date(doc, withdraw_on(view)))));
    if (rows) {
        put_list(doc, view);
    } else {
        put_matrix(doc, view);
    }
    if (any) {
        ap_doc_paragraph(
            doc, AP_STR_LIT("In brackets: your own weighed pieces and their trees. Where there is no row, none was "
                            "weighed: never guess between rows, take the next thicker row, or weigh it. Planned "
                            "like this, 95 in 100 new pieces on new trees should weigh no more (confidence 90 %)."));
    }
    put_species(doc, &arena, view, true);
    put_species(doc, &arena, view, false);
    ap_arena_release(&arena);
}

static const char *why_word(ap_sheet_why why) {
    static const char *const words[] = {"", "not accepted", "no factor", "no evidence"};
    return words[why];
}

static void json_species(ap_json *json, const ap_sheet_species *one) {
    bool has = one->why_none == AP_SHEET_FINE;
    ap_json_object_begin(json);
    ap_json_put_text(json, "name", one->species->common);
    ap_json_put_text(json, "why_none", has ? AP_STR_NONE : ap_str_from(why_word(one->why_none)));
    ap_json_put_number(json, "density_kg_m3", one->accepted ? one->accepted->density_kg_m3 : NAN);
    ap_json_put_number(json, "planning_factor", has ? one->cell->bound->planning : NAN);
    ap_json_put_bool(json, "lowers_weight", one->accepted && one->accepted->lowers_weight);
    ap_json_put_int(json, "picks", (int64_t)one->picks);
    ap_json_put_int(json, "trees", (int64_t)one->trees);
    ap_json_key(json, "rows");
    ap_json_array_begin(json);
    for (size_t r = 0; r < one->row_count; r++) {
        ap_json_object_begin(json);
        ap_json_put_number(json, "diameter_m", one->rows[r].diameter_m);
        ap_json_put_number(json, "plan_kg_per_m", one->rows[r].kg_per_m);
        ap_json_put_int(json, "picks", (int64_t)one->rows[r].picks);
        ap_json_put_int(json, "trees", (int64_t)one->rows[r].trees);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}

void ap_weight_sheet_json(ap_json *json, const ap_weight_sheet_view *view) {
    char made[AP_ISO_SIZE];
    char withdraw[AP_ISO_SIZE];
    ap_date_to_iso(made, view->made_on);
    ap_date_to_iso(withdraw, withdraw_on(view));
    ap_json_object_begin(json);
    ap_json_put_text(json, "company", ap_str_from(view->roster->settings.company));
    ap_json_put_text(json, "made_on", ap_str_from(made));
    ap_json_put_text(json, "withdraw_after", ap_str_from(withdraw));
    ap_json_put_text(json, "caution", ap_str_from(not_a_chart));
    ap_json_key(json, "species");
    ap_json_array_begin(json);
    for (size_t i = 0; i < view->sheet->species_count; i++) {
        json_species(json, &view->sheet->species[i]);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
