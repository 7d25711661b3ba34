#include "report/interval_page.h"

static const struct {
    const char *label;
    ap_cell_kind kind;
    ap_dim dim;
    const char *above; /* which way a value above zero goes, and one below; NULL: it has no way */
    const char *below;
} figures[AP_INTERVAL_FIGURES] = {
    [AP_INTERVAL_TURN_DEG] = {"turn", AP_CELL_QUANTITY, AP_DIM_ANGLE, "tip up", "tip down"},
    [AP_INTERVAL_BUTT_UP_M] = {"butt", AP_CELL_QUANTITY, AP_DIM_LENGTH, "up", "down"},
    [AP_INTERVAL_BUTT_MOVE_M] = {"way of the butt", AP_CELL_QUANTITY, AP_DIM_LENGTH, NULL, NULL},
    [AP_INTERVAL_TIP_UP_M] = {"tip", AP_CELL_QUANTITY, AP_DIM_LENGTH, "up", "down"},
    [AP_INTERVAL_LEG_1_N] = {"leg 1 carries", AP_CELL_QUANTITY, AP_DIM_FORCE, NULL, NULL},
    [AP_INTERVAL_LEG_2_N] = {"leg 2 carries", AP_CELL_QUANTITY, AP_DIM_FORCE, NULL, NULL},
    [AP_INTERVAL_WORST_USE] = {"most used leg, of its limit", AP_CELL_PERCENT, AP_DIM_SHARE, NULL, NULL},
    [AP_INTERVAL_PEAK_N] = {"upper end of the peak on the slings", AP_CELL_QUANTITY, AP_DIM_FORCE, NULL, NULL},
    [AP_INTERVAL_HOOK_KG] = {"load on the hook", AP_CELL_QUANTITY, AP_DIM_LOAD, NULL, NULL},
    [AP_INTERVAL_CAPACITY_SHARE] = {"of the chart", AP_CELL_PERCENT, AP_DIM_SHARE, NULL, NULL},
};

static ap_str say_size(ap_doc *doc, int figure, double value) {
    return figures[figure].kind == AP_CELL_PERCENT ? ap_doc_percent(doc, value, 0)
           : figures[figure].dim == AP_DIM_ANGLE   ? ap_doc_printf(doc, "%.0f°", value)
           : figures[figure].dim == AP_DIM_FORCE   ? ap_doc_about(doc, AP_DIM_FORCE, value)
                                                   : ap_doc_quantity(doc, figures[figure].dim, value, false);
}

/* "tip down 72°" rather than a sign that must be looked up. */
static ap_str say(ap_doc *doc, int figure, double value) {
    if (isnan(value)) {
        return AP_STR_NONE;
    }
    if (!figures[figure].above || value == 0) {
        return say_size(doc, figure, value);
    }
    return ap_doc_printf(doc, "%s %.*s", value > 0 ? figures[figure].above : figures[figure].below,
                         AP_STR_ARG(say_size(doc, figure, fabs(value))));
}

void ap_interval_put(ap_doc *doc, const ap_recon_interval *interval) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("figure"), .label = AP_STR_LIT("figure"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("low"), .label = AP_STR_LIT("from"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("middle"), .label = AP_STR_LIT("middle of the answers"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("high"), .label = AP_STR_LIT("to"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("ranges"), AP_STR_LIT("What the answers leave open"), columns, 4);
    ap_table_empty(table, AP_STR_LIT("no figure can be said from these answers"));
    for (int i = 0; i < AP_INTERVAL_FIGURES; i++) {
        const ap_told_span *span = &interval->figure[i];
        if (span->met) {
            ap_table_row(table);
            ap_table_text(table, ap_str_from(figures[i].label));
            ap_table_text(table, say(doc, i, span->low));
            ap_table_text(table, say(doc, i, span->middle));
            ap_table_text(table, say(doc, i, span->high));
        }
    }
    if (!isnan(interval->butt_up)) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "The butt went up in %.*s of the draws (standard error %.*s).",
                                            AP_STR_ARG(ap_doc_percent(doc, interval->butt_up, 0)),
                                            AP_STR_ARG(ap_doc_percent(doc, interval->butt_up_se, 1))));
    }
    if (interval->without) {
        ap_doc_paragraph(doc, ap_doc_printf(doc,
                                            "%zu of %zu combinations give no movement: an answer is missing, or they "
                                            "lie outside what the model can "
                                            "describe.",
                                            interval->without, interval->corners + interval->draws));
    }
    ap_doc_paragraph(
        doc,
        ap_doc_printf(doc,
                      "Worked out at %s%zu draws, every answer as likely anywhere in its range and on its own; an end "
                      "between corners may lie a little further out.",
                      interval->corners ? "all corners of the ranges and at " : "", interval->draws));
}
