/* One species: its figure, what plans would have been, all evidence. */
#include "report/density_page.h"

static void put_groups(ap_doc *doc, const ap_density_evidence *evidence, ap_density_by by) {
    enum { MOST = 40 };
    const ap_column columns[] = {
        {.key = AP_STR_LIT("group"), .label = ap_str_from(ap_density_by_name(by)), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("mean"), .label = AP_STR_LIT("against the figure"), .kind = AP_CELL_RATIO},
    };
    ap_str id = ap_doc_printf(doc, "evidence-%s", ap_density_by_name(by));
    ap_table *table = ap_doc_table(doc, id, ap_doc_printf(doc, "What is left over, by %s", ap_density_by_name(by)),
                                   columns, sizeof columns / sizeof columns[0]);
    for (size_t g = 0; g < evidence->group_count[by] && g < MOST; g++) {
        const ap_density_group *group = &evidence->groups[by][g];
        ap_table_row(table);
        ap_table_text(table, group->label);
        ap_table_value(table, (double)group->picks);
        ap_table_value(table, (double)group->trees);
        ap_table_value(table, exp(group->mean));
    }
}

void ap_density_evidence_table(ap_doc *doc, const ap_density_study *study, const ap_density_evidence *evidence) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("pick"), .label = AP_STR_LIT("pick"), .kind = AP_CELL_PICK},
        {.key = AP_STR_LIT("date"), .label = AP_STR_LIT("date"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("piece"), .label = AP_STR_LIT("piece"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("weight"), .label = AP_STR_LIT("net"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("density"),
         .label = AP_STR_LIT("weight / volume"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_DENSITY},
        {.key = AP_STR_LIT("left"), .label = AP_STR_LIT("against figure"), .kind = AP_CELL_RATIO},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("evidence"), AP_STR_LIT("Every weighed piece"), columns,
                                   sizeof columns / sizeof columns[0]);
    ap_table_has_marks(table);
    for (size_t i = 0; i < evidence->count; i++) {
        const ap_density_row *row = &evidence->rows[i];
        const ap_fact *fact = &study->roster->facts[row->pick->fact];
        ap_str piece = ap_roster_label(study->roster, AP_BY_PIECE, ap_fact_group(fact, AP_BY_PIECE));
        ap_table_row(table);
        ap_table_text(table, ap_str_from(fact->rest->name));
        ap_table_date(table, fact->date);
        ap_table_text(table, row->pick->butt ? ap_doc_printf(doc, "%.*s (butt)", AP_STR_ARG(piece)) : piece);
        ap_table_value(table, fact->measured_net_kg);
        ap_table_value(table, fact->measured_net_kg / fact->rest->volume_m3);
        ap_table_value(table, exp(row->left));
        if (row->pick->above_ceiling) {
            ap_table_row_mark(table, AP_STR_LIT("above the ceiling"));
        }
    }
}

static void put_figures(ap_doc *doc, const ap_density_study *study, const ap_density_species *row,
                        const ap_reestimate_species *plans) {
    const struct {
        const char *what;
        double shift;
    } lines[] = {{"handbook", 0}, {"in use now", plans->in_force}, {"your own wood", row->shift}};
    bool none = plans->verdict == AP_DENSITY_ONLY_BUTTS;
    for (size_t i = 0; i < (none ? 2 : 3); i++) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "%s: %.*s%s", lines[i].what,
                                            AP_STR_ARG(ap_doc_quantity(
                                                doc, AP_DIM_DENSITY, ap_density_of(row->info, lines[i].shift), false)),
                                            i == 0 && row->info->placeholder          ? " (a group's value: weak)"
                                            : i == 1 && ap_density_lowers(study, row) ? ": LOWERS PLANNED WEIGHT"
                                            : i == 2 && plans->change < -AP_SAME_FIGURE_LOG
                                                ? ": LOWERS PLANNED WEIGHT against the figure in use"
                                                : ""));
    }
    if (!none) {
        ap_doc_list_item(
            doc,
            ap_doc_printf(doc, "90 %% range of the own figure: %.*s to %.*s, from %.*s above the butt on %.*s",
                          AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, ap_density_of(row->info, row->low), false)),
                          AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, ap_density_of(row->info, row->high), false)),
                          AP_STR_ARG(ap_say_count(doc, row->bare_picks, "piece")),
                          AP_STR_ARG(ap_say_count(doc, row->bare_trees, "tree"))));
    }
    ap_doc_list_item(doc,
                     ap_doc_printf(doc, "no sound wood of it is heavier than %.*s",
                                   AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, row->info->ceiling_kg_m3, false))));
    if (row->above_ceiling && !none) {
        ap_doc_list_item(
            doc,
            ap_doc_printf(
                doc, "without what is above that ceiling (%.*s) it would be %.*s; the heavier figure is carried",
                AP_STR_ARG(ap_say_count(doc, row->above_ceiling, "piece")),
                AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, ap_density_of(row->info, row->shift_without), false))));
    }
}

static void put_factors(ap_doc *doc, const ap_density_species *row, const ap_reestimate_species *plans) {
    const ap_lighter_guard *g = &plans->guard;
    if (isnan(g->factor_before) || isnan(g->factor_after)) {
        return;
    }
    ap_doc_paragraph(doc,
                     ap_doc_printf(doc,
                                   "Planning factor of %.*s: plan x %.2f now; with the own figure plan x %.2f, worked "
                                   "out on the plans made anew, so that no correction counts twice.",
                                   AP_STR_ARG(row->info->common), g->factor_before, g->factor_after));
}

void ap_density_history(ap_doc *doc, const ap_density_study *study, int64_t species_id) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("since"), .label = AP_STR_LIT("since"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("species"), .label = AP_STR_LIT("species"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("density"), .label = AP_STR_LIT("figure"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_DENSITY},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("until"), .label = AP_STR_LIT("taken back"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("who"), .label = AP_STR_LIT("by"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("why"), .label = AP_STR_LIT("why"), .kind = AP_CELL_TEXT},
    };
    const ap_assumptions *all = &study->roster->assumptions;
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("density-accepted"), AP_STR_LIT("Accepted figures, youngest first"),
                                   columns, sizeof columns / sizeof columns[0]);
    ap_table_has_marks(table);
    ap_table_empty(table, AP_STR_LIT("none"));
    for (size_t i = all->count; i-- > 0;) {
        const ap_assumption *one = &all->items[i];
        ap_str name = AP_STR_LIT("not in these logs");
        for (uint32_t label = 1; label <= study->picks.labels; label++) {
            const ap_species *info = study->picks.species[label];
            name = info && info->id == one->species_id ? info->common : name;
        }
        if (species_id && one->species_id != species_id) {
            continue;
        }
        ap_table_row(table);
        ap_table_date(table, one->since);
        ap_table_text(table, name);
        ap_table_value(table, one->density_kg_m3);
        ap_table_value(table, (double)one->trees);
        ap_table_date(table, one->undone_on);
        ap_table_text(table, one->undone_on != AP_DATE_NONE ? one->undone_who : one->who);
        ap_table_text(table, one->undone_on == AP_DATE_NONE
                                 ? one->why
                                 : ap_doc_printf(doc, "%.*s; taken back: %.*s", AP_STR_ARG(one->why),
                                                 AP_STR_ARG(one->undone_why)));
        if (one->lowers_weight) {
            ap_table_row_mark(table, ap_str_from(ap_say_lowers));
        }
    }
}

void ap_density_species_page(ap_doc *doc, const ap_density_study *study, uint32_t label,
                             const ap_density_evidence *evidence) {
    const ap_density_species *row = ap_density_find(&study->density, label);
    const ap_reestimate_species *plans = &study->plans.species[row - study->density.species];
    ap_doc_answer(doc, ap_say_verdict(doc, study, row, plans));
    if (row->conflict) {
        ap_doc_paragraph(
            doc,
            ap_doc_printf(doc,
                          "Far from the handbook: the pieces alone say %.*s. Look at tares, tapes and the "
                          "name of the species before you take it.",
                          AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, ap_density_of(row->info, row->own), false))));
    }
    put_figures(doc, study, row, plans);
    ap_str outside = ap_say_density_outside(doc, row);
    if (outside.ptr) {
        ap_doc_paragraph(doc, outside);
    }
    ap_doc_paragraph(doc, ap_say_narrow(doc, study, row));
    ap_held_out_table(doc, "density-held-out", study, plans);
    put_factors(doc, row, plans);
    ap_density_history(doc, study, row->info->id);
    ap_str unused = ap_say_density_unused(doc, study->picks.unused_of[label]);
    if (unused.ptr) {
        ap_doc_paragraph(doc, unused);
    }
    for (int by = 0; by < AP_DENSITY_BY_COUNT; by++) {
        put_groups(doc, evidence, (ap_density_by)by);
    }
    ap_doc_paragraph(doc, AP_STR_LIT("Height in the tree is not a column of the log: the order of the picks stands for "
                                     "it (a tree is taken down from the top). Weight / figure: above 1.00 a piece "
                                     "was heavier than the own figure makes of such a piece."));
    ap_density_evidence_table(doc, study, evidence);
    ap_density_working(doc, study);
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}
