#include "report/review.h"
#include "report/trend_page.h"

static void put_trend(ap_doc *doc, const ap_review *r) {
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
    const ap_trend_series *series = r->trend.count ? &r->trend.series[0] : NULL;
    if (series) {
        ap_doc_paragraph(doc, ap_say_slope(r->arena, series));
        ap_doc_paragraph(doc, ap_say_change(r->arena, series));
        ap_doc_paragraph(doc, ap_say_run_signals(r->arena, r->roster, series));
    }
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_TREND);
    if (series) {
        ap_trend_months_table(doc, "months", r->roster, series);
    }
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
            "Slope: Theil-Sen on the months' medians of ln(ratio) with Gilbert's interval; change of level: Pettitt, p "
            "<= "
            "0.05; run of jobs: EWMA of the jobs' medians (0.2, 2.86). "
            "Spread is the standard deviation of ln(ratio) between picks, as a share. The limits in the figure are the "
            "average of all months shown, plus and minus three standard deviations of the trees' "
            "means divided by the root of the month's number of trees: a month outside them differs "
            "by more than its trees alone would make it."));
    ap_doc_working_end(doc);
}

void ap_section_trend(ap_doc *doc, const ap_review *r) {
    put_trend(doc, r);
    ap_between_put(doc, r);
}
