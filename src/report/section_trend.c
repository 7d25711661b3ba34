#include "report/review.h"

static const ap_weight_group *month_of(const ap_review *r, ap_date date) {
    char name[AP_ISO_SIZE];
    ap_month_to_iso(name, ap_month_index(date));
    for (size_t g = 0; g < r->months.count; g++) {
        ap_str label = ap_roster_label(r->roster, AP_BY_MONTH, r->months.groups[g].key[0]);
        if (ap_str_equal_word(label, name)) {
            return &r->months.groups[g];
        }
    }
    return NULL;
}

static void put_months(ap_doc *doc, const ap_review *r) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("month"), .label = AP_STR_LIT("month"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("count"), .label = AP_STR_LIT("weighed"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("median_ratio"), .label = AP_STR_LIT("median ratio"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("ratio_low"), .label = AP_STR_LIT("average from"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("ratio_high"), .label = AP_STR_LIT("to"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("spread"), .label = AP_STR_LIT("spread of picks"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("share_heavier"),
         .label = AP_STR_LIT("heavier by more than the line"),
         .kind = AP_CELL_PERCENT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("months"), AP_STR_LIT("Measured / planned by month"), columns,
                                   sizeof columns / sizeof columns[0]);
    if (r->trend_first >= r->end) {
        return;
    }
    int last = ap_month_index(r->roster->facts[r->end - 1].date);
    for (int month = ap_month_index(r->roster->facts[r->trend_first].date); month <= last; month++) {
        const ap_weight_group *group = month_of(r, ap_month_first(month));
        if (!group) {
            continue;
        }
        ap_table_row(table);
        ap_table_text(table, ap_roster_label(r->roster, AP_BY_MONTH, group->key[0]));
        ap_table_value(table, (double)group->count);
        ap_table_value(table, group->median_ratio);
        ap_table_value(table, group->ratio_low);
        ap_table_value(table, group->ratio_high);
        ap_table_value(table, exp(group->sd_log_ratio) - 1);
        ap_table_value(table, group->share_heavier);
    }
}

void ap_section_trend(ap_doc *doc, const ap_review *r) {
    const ap_weight_group *now = &r->species.all;
    const ap_weight_group *before = &r->species_before.all;
    if (now->count == 0) {
        ap_doc_answer(doc, AP_STR_LIT("No weighed pick in this period: nothing to set beside earlier months."));
        return;
    }
    if (before->count == 0) {
        ap_doc_answer(doc, AP_STR_LIT("There is no weighed pick in the period before to compare with."));
    } else {
        bool apart = now->ratio_low > before->ratio_high || now->ratio_high < before->ratio_low;
        ap_doc_answer(doc,
                      ap_doc_printf(doc, "Typically %.*s, after %.*s in the period before%s.",
                                    AP_STR_ARG(ap_say_ratio(r->arena, now->median_ratio)),
                                    AP_STR_ARG(ap_say_ratio(r->arena, before->median_ratio)),
                                    apart ? ": the intervals lie apart"
                                          : "; the intervals overlap, so that chance could explain the difference"));
    }
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_TREND);
    put_months(doc, r);
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_RUNS);
    size_t three = 0;
    for (size_t g = 0; g < r->estimators.count; g++) {
        three += r->estimators.groups[g].key[0] ? r->estimators.groups[g].three_in_a_row : 0;
    }
    ap_doc_paragraph(doc, ap_doc_printf(doc,
                                        "Three heavier picks in a row by one estimator: %zu time%s. That is a count, "
                                        "not a finding: chance makes it often.",
                                        three, three == 1 ? "" : "s"));
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_doc_paragraph(
        doc,
        AP_STR_LIT(
            "Spread is the standard deviation of ln(ratio) between picks, as a share. The limits in the figure are the "
            "average of all months shown, plus and minus three standard deviations of the trees' "
            "means divided by the root of the month's number of trees: a month outside them differs "
            "by more than its trees alone would make it."));
    ap_doc_working_end(doc);
}
