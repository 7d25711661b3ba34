#include "report/review.h"

#include "report/findings_page.h"
#include "report/recon_page.h"

static void put_set_aside(ap_doc *doc, const ap_review *r) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("log"), .label = AP_STR_LIT("log"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("line"), .label = AP_STR_LIT("line"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("column"), .label = AP_STR_LIT("column"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("text"), .label = AP_STR_LIT("found"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("reason"), .label = AP_STR_LIT("why it was set aside"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("remedy"), .label = AP_STR_LIT("what mends it"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("set-aside"), AP_STR_LIT("Newest rows set aside"), columns,
                                   sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < r->quality.row_count; i++) {
        const ap_quality_row *row = &r->quality.rows[i];
        ap_table_row(table);
        ap_table_text(table, row->file);
        ap_table_value(table, (double)row->line);
        ap_table_text(table, row->field);
        ap_table_text(table, row->text);
        ap_table_text(table, row->reason);
        ap_table_text(table, row->remedy);
    }
}

/* What the cranes' own entries did, and where a log contradicts a chart. */
static void put_cranes(ap_doc *doc, const ap_review *r) {
    const ap_quality *q = &r->quality;
    if (q->rigging_of_crane) {
        ap_doc_list_item(doc, ap_doc_printf(doc,
                                            "Weight of block and slings not logged, taken from the crane's own entry: "
                                            "%zu picks.",
                                            q->rigging_of_crane));
    }
    if (q->corrected) {
        ap_doc_list_item(doc,
                         ap_doc_printf(doc, "Weights corrected by the calibration of the crane's indicator: %zu picks.",
                                       q->corrected));
    }
    if (q->from_chart) {
        ap_doc_list_item(doc,
                         ap_doc_printf(doc, "Rated capacity not logged, taken from the crane's load chart: %zu picks.",
                                       q->from_chart));
    }
    if (q->past_chart) {
        ap_doc_list_item(
            doc, ap_doc_printf(doc, "Past the end of the crane's load chart, no capacity: %zu picks.", q->past_chart));
    }
    if (q->chart_differs) {
        ap_buf names;
        ap_buf_init(&names, 4096);
        for (size_t i = 0; i < q->chart_differs && i < AP_QUALITY_SHOWN; i++) {
            ap_buf_appendf(&names, "%s%s", i ? ", " : "", r->roster->facts[q->differing[i]].rest->name);
        }
        ap_doc_list_item(doc, ap_doc_printf(doc,
                                            "A logged capacity is not the load chart's (by more than 1 %%), left as "
                                            "logged: %zu picks (%.*s%s).",
                                            q->chart_differs, AP_STR_ARG(ap_buf_str(&names)),
                                            q->chart_differs > AP_QUALITY_SHOWN ? ", ..." : ""));
        ap_buf_release(&names);
    }
}

static void put_clashes(ap_doc *doc, const ap_review *r) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("pick"), .label = AP_STR_LIT("pick"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("date"), .label = AP_STR_LIT("date"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("why"), .label = AP_STR_LIT("what contradicts itself"), .kind = AP_CELL_TEXT},
    };
    const ap_hung_clashes *clashes = &r->clashes;
    ap_doc_list_item(doc, ap_say_clashes(doc, clashes->count));
    ap_table *table =
        ap_doc_table(doc, AP_STR_LIT("slings-in-doubt"), AP_STR_LIT("Slings as logged that cannot hold the piece"),
                     columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < clashes->count && i < AP_CLASHES_SHOWN; i++) {
        const ap_fact *fact = &r->roster->facts[clashes->shown[i].fact];
        ap_table_row(table);
        ap_table_text(table, ap_str_from(fact->rest->name));
        ap_table_date(table, fact->date);
        ap_table_text(table, ap_say_recon_reason(doc, &clashes->shown[i].why));
    }
    if (clashes->count > AP_CLASHES_SHOWN) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "... and %zu more.", clashes->count - AP_CLASHES_SHOWN));
    }
}

void ap_section_quality(ap_doc *doc, const ap_review *r) {
    const ap_quality *q = &r->quality;
    size_t picks = r->end - r->first;
    ap_str rows = q->set_aside || q->conflicts
                      ? ap_doc_printf(doc, "in the whole book %lld rows are set aside and %lld in conflict",
                                      (long long)q->set_aside, (long long)q->conflicts)
                      : AP_STR_LIT("in the whole book no row is set aside or in conflict");
    ap_str weighed = q->unweighed
                         ? ap_doc_printf(doc, "%zu of %zu picks of this period were not weighed", q->unweighed, picks)
                         : AP_STR_LIT("Every pick of this period was weighed");
    ap_doc_answer(doc, ap_doc_printf(doc, "%.*s; %.*s.", AP_STR_ARG(weighed), AP_STR_ARG(rows)));
    ap_doc_list_item(doc, q->repeats_plan
                              ? ap_doc_printf(doc,
                                              "Weights that repeat the plan to the last digit: %zu. A piece seldom "
                                              "weighs just what was planned.",
                                              q->repeats_plan)
                              : AP_STR_LIT("Weights that repeat the plan to the last digit: none."));
    ap_doc_list_item(
        doc, ap_doc_printf(doc, "Weight of block and slings not logged, taken as %.*s from the setting: %.*s.",
                           AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, r->roster->settings.block_weight_kg, false)),
                           AP_STR_ARG(ap_say_count_or_none(doc, q->rigging_assumed, "pick"))));
    put_cranes(doc, r);
    ap_doc_list_item(
        doc, ap_doc_printf(doc, "Could not be judged against the chart, for want of a weight or a capacity: %.*s.",
                           AP_STR_ARG(ap_say_count_or_none(doc, q->no_capacity, "pick"))));
    ap_doc_list_item(doc, ap_doc_printf(doc, "Movement at separation not logged: %.*s.",
                                        AP_STR_ARG(ap_say_count_or_none(doc, q->no_movement, "pick"))));
    if (q->blank_crew) {
        ap_doc_list_item(
            doc, ap_doc_printf(doc, "Crew not logged: %.*s.", AP_STR_ARG(ap_say_count(doc, q->blank_crew, "pick"))));
    }
    if (r->roster->trees_assumed) {
        ap_doc_list_item(doc, ap_doc_printf(doc,
                                            "Tree not logged on %zu picks up to this period's end: picks of one job "
                                            "and species count as one tree, the cautious reading.",
                                            r->roster->trees_assumed));
    }
    for (size_t c = 0; c < q->crew_count; c++) {
        if (q->crews[c].picks == 0) {
            char last[AP_ISO_SIZE];
            ap_date_to_iso(last, q->crews[c].last);
            ap_doc_list_item(doc, ap_doc_printf(doc, "Crew %.*s logged nothing in this period; its last pick is of %s.",
                                                AP_STR_ARG(q->crews[c].crew), last));
        }
    }
    if (r->clashes.count) {
        put_clashes(doc, r);
    }
    if (q->row_count) {
        put_set_aside(doc, r);
    }
}
