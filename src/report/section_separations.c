#include "base/pick.h"
#include "report/associations_page.h"
#include "report/review.h"

enum { ROWS_SHOWN = 12 }; /* of the associations; all are in findings --associations */

static void put_groups(ap_doc *doc, const ap_review *r, const char *id, const char *caption, const char *label,
                       const ap_movement_table *moved) {
    ap_column columns[AP_MOVED_COUNT + 4] = {
        {.key = AP_STR_LIT("group"), .label = ap_str_from(label), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("logged"), .label = AP_STR_LIT("picks logged"), .kind = AP_CELL_COUNT},
    };
    size_t count = 2;
    for (int kind = 0; kind < AP_MOVED_COUNT; kind++) {
        ap_str name = ap_str_from(ap_moved_name((ap_moved)kind));
        columns[count++] = (ap_column){.key = name, .label = name, .kind = AP_CELL_COUNT};
    }
    columns[count++] =
        (ap_column){.key = AP_STR_LIT("toward"), .label = AP_STR_LIT("toward a person"), .kind = AP_CELL_COUNT};
    columns[count++] =
        (ap_column){.key = AP_STR_LIT("re_rigged"), .label = AP_STR_LIT("re-rigged"), .kind = AP_CELL_COUNT};
    ap_table *table = ap_doc_table(doc, ap_str_from(id), ap_str_from(caption), columns, count);
    for (size_t g = 0; g < moved->count; g++) {
        const ap_movement_group *group = &moved->groups[g];
        ap_str name = ap_roster_label(r->roster, moved->by, group->key);
        ap_table_row(table);
        ap_table_text(table, name.ptr ? name : AP_STR_LIT("not recorded"));
        ap_table_value(table, (double)group->logged);
        for (int kind = 0; kind < AP_MOVED_COUNT; kind++) {
            ap_table_value(table, (double)group->kinds[kind]);
        }
        ap_table_value(table, (double)group->toward_person);
        ap_table_value(table, (double)group->re_rigged);
    }
}

static void put_kerf(ap_doc *doc, const ap_review *r) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("kerf"), .label = AP_STR_LIT("kerf noted"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("moved"), .label = AP_STR_LIT("piece moved"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("still"), .label = AP_STR_LIT("stayed still"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("share"), .label = AP_STR_LIT("share that moved"), .kind = AP_CELL_PERCENT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("kerf"), AP_STR_LIT("Kerf noted against what followed"), columns,
                                   sizeof columns / sizeof columns[0]);
    static const int order[] = {AP_KERF_STEADY, AP_KERF_CLOSING, AP_KERF_OPENING, 0};
    for (size_t i = 0; i < sizeof order / sizeof order[0]; i++) {
        size_t moved = r->kerf.moved[order[i]];
        size_t still = r->kerf.still[order[i]];
        ap_table_row(table);
        ap_table_text(table, order[i] ? ap_str_from(ap_word_get(AP_VOC_KERF, order[i])) : AP_STR_LIT("not noted"));
        ap_table_value(table, (double)moved);
        ap_table_value(table, (double)still);
        ap_table_value(table, moved + still ? (double)moved / (double)(moved + still) : NAN);
    }
}

static void put_period(ap_doc *doc, const ap_review *r) {
    size_t logged = 0;
    size_t still = 0;
    for (size_t g = 0; g < r->moved_by_cut.count; g++) {
        logged += r->moved_by_cut.groups[g].logged;
        still += r->moved_by_cut.groups[g].kinds[AP_MOVED_STILL];
    }
    if (logged == 0) {
        ap_doc_answer(doc, AP_STR_LIT("No movement at separation was logged in this period."));
        return;
    }
    ap_doc_answer(doc, ap_doc_printf(doc, "%zu of %zu pieces with a movement logged stayed still or settled (%.0f %%).",
                                     still, logged, 100 * (double)still / (double)logged));
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_MOVED_BY_CUT);
    put_groups(doc, r, "moved-cut", "Movement by cut", "cut", &r->moved_by_cut);
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_MOVED_BY_SETUP);
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_RE_RIGS);
    put_groups(doc, r, "moved-setup", "Movement and re-rigs by sling set-up", "sling set-up", &r->moved_by_setup);
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_KERF);
    put_kerf(doc, r);
    ap_doc_section(doc, 3, AP_STR_LIT("goes-with"), AP_STR_LIT("What goes with what"));
    ap_doc_answer(doc, ap_associations_answer(doc, &r->associations));
    ap_doc_paragraph(doc,
                     AP_STR_LIT("From all picks up to the end of this period; the figures above are of this period "
                                "alone."));
    ap_associations_put(doc, "associations", &r->associations, ROWS_SHOWN);
}

void ap_section_separations(ap_doc *doc, const ap_review *r) {
    put_period(doc, r);
    ap_predicted_put(doc, r);
}
