#include "report/associations_page.h"

#include "report/sentences.h"

ap_str ap_associations_answer(ap_doc *doc, const ap_associations *found) {
    if (found->count == 0) {
        return AP_STR_LIT("Too little is logged to compare how pieces parted.");
    }
    size_t differ = 0;
    const ap_association *most = NULL;
    for (size_t i = 0; i < found->count; i++) {
        bool differs = found->items[i].verdict == AP_ASSOCIATION_DIFFERS;
        most = differs && !most ? &found->items[i] : most;
        differ += differs;
    }
    if (!most) {
        return ap_doc_printf(
            doc, "None of %zu comparisons shows a difference that neither chance nor a single tree would make.",
            found->count + found->cut_off);
    }
    return ap_doc_printf(
        doc,
        "%zu of %zu comparisons show%s a difference that chance would seldom make; the clearest: %s in "
        "%.*s of %zu picks with %.*s, and in %.*s of %zu with %s.",
        differ, found->count + found->cut_off, differ == 1 ? "s" : "", ap_association_outcome(most->kind),
        AP_STR_ARG(ap_say_or_none(doc, most->hits)), most->picks, AP_STR_ARG(most->group),
        AP_STR_ARG(ap_say_or_none(doc, most->other_hits)), most->others, ap_association_against(most->kind));
}

static ap_str verdict_text(ap_doc *doc, const ap_association *a) {
    switch (a->verdict) {
    case AP_ASSOCIATION_DIFFERS:
        return ap_doc_printf(doc, "%s often", a->difference > 0 ? "more" : "less");
    case AP_ASSOCIATION_ONE_TREE:
        return AP_STR_LIT("all from one tree: nothing to say yet");
    case AP_ASSOCIATION_ALIKE:
        return AP_STR_LIT("no difference seen");
    case AP_ASSOCIATION_TOO_LITTLE:
        break;
    }
    return a->needs_more ? ap_doc_printf(doc, "too little to say (needs about %zu more)", a->needs_more)
                         : AP_STR_LIT("too little to say (needs far more)");
}

static ap_str share_text(ap_doc *doc, size_t hits, size_t picks) {
    return ap_doc_printf(doc, "%zu of %zu (%.0f %%)", hits, picks, 100 * (double)hits / (double)picks);
}

/* Rounded, and never "-0". */
static double points(double share) {
    return floor(100 * share + 0.5) + 0.0;
}

static ap_str points_text(ap_doc *doc, const ap_association *a) {
    return ap_doc_printf(doc, "%+.0f (%+.0f to %+.0f)", points(a->difference), points(a->interval.low),
                         points(a->interval.high));
}

void ap_associations_put(ap_doc *doc, const char *id, const ap_associations *found, size_t most) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("what"), .label = AP_STR_LIT("what happened"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("group"), .label = AP_STR_LIT("with"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("group_share"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("others_share"), .label = AP_STR_LIT("others"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("points"), .label = AP_STR_LIT("difference, points"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("says"), .label = AP_STR_LIT("says"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, ap_str_from(id), AP_STR_LIT("What goes with what, the clearest first"), columns,
                                   sizeof columns / sizeof columns[0]);
    ap_table_empty(table, ap_doc_printf(doc, "no group of %d picks or more to compare", AP_ASSOCIATION_LEAST));
    size_t shown = found->count < most ? found->count : most;
    for (size_t i = 0; i < shown; i++) {
        const ap_association *a = &found->items[i];
        ap_table_row(table);
        ap_table_text(table, ap_str_from(ap_association_word(a->kind)));
        ap_table_text(table, a->group);
        ap_table_text(table, share_text(doc, a->hits, a->picks));
        ap_table_text(table, share_text(doc, a->other_hits, a->others));
        ap_table_text(table, points_text(doc, a));
        ap_table_text(table, verdict_text(doc, a));
    }
    if (found->count == 0) {
        return;
    }
    ap_doc_paragraph(
        doc, ap_doc_printf(
                 doc,
                 "What goes together need not be the cause: the groups differ in trees, sizes and people, and "
                 "picks of one tree are alike, so the true uncertainty is wider. \"Needs about n more\": picks of that "
                 "group until a difference of %.0f points would be seen in %.0f of 100 cases. Groups of fewer "
                 "than %d picks, left out: %zu; compared and not shown: %zu.",
                 100 * AP_ASSOCIATION_WORTH, 100 * AP_ASSOCIATION_POWER, AP_ASSOCIATION_LEAST, found->left_out,
                 found->count - shown + found->cut_off));
    ap_doc_working_begin(doc, AP_STR_NONE);
    ap_doc_paragraph(
        doc, ap_doc_printf(
                 doc,
                 "Each row is a two-sided exact test of two shares (Fisher 1935) with Newcombe's interval of "
                 "the difference (1998, method 10, 95 %%). All %zu comparisons are corrected together: of the rows "
                 "said to differ about %.0f %% may be chance (Benjamini & Hochberg 1995). The number "
                 "needed comes from the exact power of the test at 5 %%.",
                 found->count + found->cut_off, 100 * AP_ASSOCIATION_FALSE));
    ap_doc_working_end(doc);
}

void ap_associations_json(ap_json *json, const ap_associations *found) {
    ap_json_array_begin(json);
    for (size_t i = 0; i < found->count; i++) {
        const ap_association *a = &found->items[i];
        ap_json_object_begin(json);
        ap_json_put_text(json, "association", ap_str_from(ap_association_name(a->kind)));
        ap_json_put_text(json, "outcome", ap_str_from(ap_association_outcome(a->kind)));
        ap_json_put_text(json, "group", a->group);
        ap_json_put_text(json, "against", ap_str_from(ap_association_against(a->kind)));
        ap_json_put_int(json, "hits", (int64_t)a->hits);
        ap_json_put_int(json, "picks", (int64_t)a->picks);
        ap_json_put_int(json, "other_hits", (int64_t)a->other_hits);
        ap_json_put_int(json, "other_picks", (int64_t)a->others);
        ap_json_put_number(json, "difference", a->difference);
        ap_json_put_number(json, "difference_low", a->interval.low);
        ap_json_put_number(json, "difference_high", a->interval.high);
        ap_json_put_number(json, "p", a->p);
        ap_json_put_number(json, "p_adjusted", a->adjusted);
        ap_json_put_text(json, "verdict", ap_str_from(ap_association_verdict_name(a->verdict)));
        ap_json_put_number(json, "needs_more_picks", a->needs_more ? (double)a->needs_more : NAN);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}
