/* Section 8 of the review: the handbook against the company's own wood. */
#include "report/density_page.h"
#include "report/review.h"

/* The figures in force at the period's end, and those that began or ended in it. */
static void put_changes(ap_doc *doc, const ap_review *r) {
    const ap_assumptions *all = &r->roster->assumptions;
    for (size_t i = 0; i < all->count; i++) {
        const ap_assumption *one = &all->items[i];
        bool until = r->period.until == AP_DATE_NONE || one->since <= r->period.until;
        bool began = until && (r->period.since == AP_DATE_NONE || one->since >= r->period.since);
        if (began) {
            ap_doc_list_item(doc,
                             ap_doc_printf(doc, "%.*s: accepted %.*s%s (%.*s). It rests on %.*s",
                                           AP_STR_ARG(ap_doc_date(doc, one->since)),
                                           AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, one->density_kg_m3, false)),
                                           one->lowers_weight ? ", LOWERS PLANNED WEIGHT" : "", AP_STR_ARG(one->why),
                                           AP_STR_ARG(one->evidence)));
        }
    }
}

void ap_section_density(ap_doc *doc, const ap_review *r) {
    const ap_density_study *study = &r->wood;
    ap_doc_answer(doc, ap_say_density(doc, study));
    ap_str unused = ap_say_density_unused(doc, study->picks.unused);
    if (study->density.picks == 0) {
        if (unused.ptr) {
            ap_doc_paragraph(doc, unused);
        }
        return;
    }
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_DENSITY);
    ap_density_table(doc, "density-species", study);
    for (size_t s = 0; s < study->density.species_count; s++) {
        if (ap_density_is_recommended(study->plans.species[s].verdict)) {
            ap_doc_list_item(doc, ap_say_verdict(doc, study, &study->density.species[s], &study->plans.species[s]));
        }
    }
    put_changes(doc, r);
    ap_held_out_table(doc, "density-held-out", study, &study->plans.all);
    if (unused.ptr) {
        ap_doc_paragraph(doc, unused);
    }
    ap_doc_paragraph(doc, AP_STR_LIT("From all picks up to the period's end, with the figures in force on its last "
                                     "day: a figure accepted later changes nothing here."));
    ap_density_working(doc, study);
}
