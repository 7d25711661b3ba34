#include "report/density_page.h"
#include "report/review.h"
#include "report/weighing_say.h"
#include "report/weights_page.h"

ap_weight_table ap_review_without_few(const ap_review *r, const ap_weight_table *table, size_t *left_out) {
    ap_weight_table shown = *table;
    shown.groups = ap_arena_alloc_array(r->arena, table->count + 1, sizeof *shown.groups);
    shown.count = 0;
    *left_out = 0;
    for (size_t g = 0; shown.groups && g < table->count; g++) {
        if (table->groups[g].picks >= AP_REVIEW_FEWEST_BY_PERSON || table->groups[g].key[0] == 0) {
            shown.groups[shown.count++] = table->groups[g];
        } else {
            ++*left_out;
        }
    }
    return shown;
}

static void put_worst_group(ap_doc *doc, const ap_review *r) {
    const ap_weight_group *worst = NULL;
    for (size_t g = 0; g < r->grid.count; g++) {
        const ap_weight_group *cell = &r->grid.groups[g];
        bool told = cell->trees >= 2 && cell->ratio_low > 1;
        if (told && (!worst || cell->median_ratio > worst->median_ratio)) {
            worst = cell;
        }
    }
    if (worst) {
        ap_doc_paragraph(doc, ap_doc_printf(doc,
                                            "Furthest from plan, with an interval clear of zero: %.*s, typically %.*s "
                                            "(%zu weighed picks, %zu trees).",
                                            AP_STR_ARG(ap_weight_group_label(r->arena, r->roster, &r->grid, worst)),
                                            AP_STR_ARG(ap_say_ratio(r->arena, worst->median_ratio)), worst->count,
                                            worst->trees));
    }
}

/* What to plan with: the answer behind the table of pooled figures. */
static void put_plan(ap_doc *doc, const ap_review *r) {
    const ap_pooled_level *all = &r->pooled_grid.level[r->pooled_grid.level_count - 1];
    const ap_pooled_bound *bound = all->cell_count ? all->cells[0].bound : NULL;
    if (bound) {
        ap_doc_paragraph(
            doc, ap_doc_printf(
                     doc,
                     "Over all kinds of picks, the planned net weight plus %.*s covers 95 of 100 new pieces (90 %% "
                     "confidence, from all %zu weighed picks on %zu trees up to the end of this period); by species "
                     "and cut below.",
                     AP_STR_ARG(ap_say_add(r->arena, bound)), all->picks, all->trees));
    }
    ap_str limits = ap_say_model_limits(r->arena, &r->pooled_grid);
    if (limits.ptr) {
        ap_doc_paragraph(doc, limits);
    }
    ap_str in_force = ap_say_densities_in_force(doc, r->roster);
    if (in_force.ptr) {
        ap_doc_caution(doc, in_force);
    }
    ap_str suspects = ap_say_suspects(r->arena, r->roster, &r->pooled_grid);
    if (suspects.ptr) {
        ap_doc_paragraph(doc, suspects);
    }
}

static void put_doubts(ap_doc *doc, const ap_review *r) {
    ap_doc_section(doc, 3, AP_STR_LIT("error-doubts"),
                   AP_STR_LIT("What was not weighed, and what the indicator may hide"));
    ap_str worst = ap_say_worst_case(r->arena, r->roster, &r->weighing);
    if (worst.ptr) {
        ap_doc_paragraph(doc, worst);
    }
    ap_weighing_table(doc, "error-unweighed", &r->weighing);
    ap_str indicator = ap_say_indicator(r->arena, &r->weighing);
    if (indicator.ptr) {
        ap_doc_paragraph(doc, indicator);
    }
}

static void put_pooled(ap_doc *doc, const ap_review *r, const ap_pooled *pooled, const char *id, const char *caption) {
    if (pooled->level[0].fitted) {
        ap_pooled_table(doc, id, caption, r->roster, pooled);
    }
}

void ap_section_error(ap_doc *doc, const ap_review *r) {
    ap_doc_answer(doc, ap_say_error(doc, r->roster, &r->species));
    ap_str not_compared = ap_say_not_compared(r->arena, &r->species);
    if (not_compared.ptr) {
        ap_doc_paragraph(doc, not_compared);
    }
    if (r->species.all.count == 0) {
        return;
    }
    put_worst_group(doc, r);
    put_plan(doc, r);
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_PLANNED_MEASURED);
    ap_doc_section(doc, 3, AP_STR_LIT("error-by-species"), AP_STR_LIT("By species"));
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_BY_SPECIES);
    ap_weights_table(doc, "error-species", "Measured against planned, by species", r->roster, &r->species);
    put_pooled(doc, r, &r->pooled_species, "pooled-species", "Pooled by species, all picks up to the period's end");
    ap_doc_section(doc, 3, AP_STR_LIT("error-by-cut"), AP_STR_LIT("By cut"));
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_BY_CUT);
    ap_weights_table(doc, "error-cut", "Measured against planned, by cut", r->roster, &r->cuts);
    put_pooled(doc, r, &r->pooled_cuts, "pooled-cut", "Pooled by cut, all picks up to the period's end");
    ap_doc_section(doc, 3, AP_STR_LIT("error-by-both"), AP_STR_LIT("By species and cut"));
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_GRID);
    ap_weights_table(doc, "error-grid", "Measured against planned, by species and cut", r->roster, &r->grid);
    put_pooled(doc, r, &r->pooled_grid, "pooled-grid", "Pooled by species and cut, all picks up to the period's end");
    if (r->pooled_grid.level[0].fitted) {
        ap_doc_caution(doc, ap_str_from(ap_say_not_a_chart));
    }
    ap_doc_section(doc, 3, AP_STR_LIT("error-by-whom"), AP_STR_LIT("By what the estimate rests on, and by whom"));
    ap_weights_table(doc, "error-basis", "Measured against planned, by basis of the estimate", r->roster, &r->basis);
    ap_doc_paragraph(
        doc, AP_STR_LIT("A density that is put right moves an estimate from chart, table or working; it does not move "
                        "a guess by eye."));
    ap_weights_table(doc, "error-crew", "Measured against planned, by crew", r->roster, &r->crews);
    size_t left_out;
    ap_weight_table people = ap_review_without_few(r, &r->estimators, &left_out);
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_BY_ESTIMATOR);
    ap_weights_table(doc, "error-estimator", "Measured against planned, by estimator", r->roster, &people);
    if (left_out) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "%zu estimator%s with fewer than %d picks %s not shown.", left_out,
                                            left_out == 1 ? "" : "s", AP_REVIEW_FEWEST_BY_PERSON,
                                            left_out == 1 ? "is" : "are"));
    }
    put_doubts(doc, r);
    if (r->pooled_grid.level[0].fitted) {
        ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
        ap_pooled_working(doc, &r->pooled_grid);
        ap_doc_working_end(doc);
    }
}
