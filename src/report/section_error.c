#include "report/review.h"
#include "report/weights_page.h"

enum { FEWEST_BY_PERSON = 5 }; /* a person with fewer picks is not shown */

/* A copy of the table without the people who have too few picks; *left_out counts them. */
static ap_weight_table without_few(const ap_review *r, const ap_weight_table *table, size_t *left_out) {
    ap_weight_table shown = *table;
    shown.groups = ap_arena_alloc_array(r->arena, table->count + 1, sizeof *shown.groups);
    shown.count = 0;
    *left_out = 0;
    for (size_t g = 0; shown.groups && g < table->count; g++) {
        if (table->groups[g].picks >= FEWEST_BY_PERSON || table->groups[g].key[0] == 0) {
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
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_PLANNED_MEASURED);
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_BY_SPECIES);
    ap_weights_table(doc, "error-species", "Measured / planned by species", r->roster, &r->species);
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_BY_CUT);
    ap_weights_table(doc, "error-cut", "Measured / planned by cut", r->roster, &r->cuts);
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_GRID);
    ap_weights_table(doc, "error-grid", "Measured / planned by species and cut", r->roster, &r->grid);
    ap_weights_table(doc, "error-basis", "Measured / planned by basis of the estimate", r->roster, &r->basis);
    ap_doc_paragraph(
        doc, AP_STR_LIT("A density that is put right moves an estimate from chart, table or working; it does not move "
                        "a guess by eye."));
    ap_weights_table(doc, "error-crew", "Measured / planned by crew", r->roster, &r->crews);
    size_t left_out;
    ap_weight_table people = without_few(r, &r->estimators, &left_out);
    ap_weights_table(doc, "error-estimator", "Measured / planned by estimator", r->roster, &people);
    if (left_out) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "%zu estimator%s with fewer than %d picks %s not shown.", left_out,
                                            left_out == 1 ? "" : "s", FEWEST_BY_PERSON, left_out == 1 ? "is" : "are"));
    }
}
