#include "report/merged_page.h"

enum { CRANES_SHOWN = 8 };

static const char *picks(int64_t count) {
    return count == 1 ? "pick" : "picks";
}

static void say_basis(ap_doc *doc, const ap_merged *merged, const ap_merged_basis *basis, const char *column,
                      const char *weight) {
    if (basis->filled) {
        ap_doc_paragraph(
            doc,
            ap_doc_printf(doc,
                          "%s: blank in %lld %s of %.*s. Its settings and cranes say whether the %s weight is net or "
                          "gross, otherwise than here, so it was written into the cell.",
                          column, (long long)basis->filled, picks(basis->filled), AP_STR_ARG(merged->book), weight));
    }
    if (basis->unknown) {
        ap_doc_paragraph(
            doc,
            ap_doc_printf(doc,
                          "! %s: blank in %lld %s of %.*s, which does not know either whether the %s weight is net or "
                          "gross. Here a blank has a meaning (afterpick set): amend what is not so.",
                          column, (long long)basis->unknown, picks(basis->unknown), AP_STR_ARG(merged->book), weight));
    }
}

static void say_cranes(ap_doc *doc, const ap_merged *merged) {
    ap_buf names;
    ap_buf_init(&names, 4096);
    for (size_t i = 0; i < merged->crane_count && i < CRANES_SHOWN; i++) {
        ap_buf_appendf(&names, "%s%.*s", i ? ", " : "", AP_STR_ARG(merged->cranes[i]));
    }
    if (merged->crane_count > CRANES_SHOWN) {
        ap_buf_appendf(&names, " and %zu more", merged->crane_count - CRANES_SHOWN);
    }
    ap_doc_paragraph(
        doc, ap_doc_printf(doc,
                           "! Described in %.*s and here not, or otherwise: crane %.*s. Block weight, calibration "
                           "and chart stay there; 'afterpick crane NAME set' enters them here.",
                           AP_STR_ARG(merged->book), AP_STR_ARG(ap_buf_str(&names))));
    ap_buf_release(&names);
}

void ap_merged_page(ap_doc *doc, const ap_merged *merged) {
    const ap_str book = merged->book;
    ap_doc_section(doc, 2, AP_STR_LIT("merged"), ap_doc_printf(doc, "From %.*s", AP_STR_ARG(book)));
    if (merged->amendments) {
        ap_doc_paragraph(
            doc, ap_doc_printf(doc,
                               "%lld amendment%s came with the picks: 'afterpick pick NAME --history' shows what "
                               "was changed, by whom and why.",
                               (long long)merged->amendments, merged->amendments == 1 ? "" : "s"));
    }
    say_basis(doc, merged, &merged->planned, "planned_as", "planned");
    say_basis(doc, merged, &merged->measured, "measured_as", "measured");
    if (merged->rigging) {
        ap_doc_paragraph(
            doc, ap_doc_printf(doc,
                               "rigging_weight: blank in %lld %s, for which the two books assume another weight of "
                               "block and slings. Here this book's holds.",
                               (long long)merged->rigging, picks(merged->rigging)));
    }
    if (merged->crane_count) {
        say_cranes(doc, merged);
    }
    if (merged->left_aside || merged->left_conflicts) {
        ap_doc_paragraph(doc,
                         ap_doc_printf(doc, "%lld row%s set aside and %lld conflict%s wait in %.*s and stay there.",
                                       (long long)merged->left_aside, merged->left_aside == 1 ? "" : "s",
                                       (long long)merged->left_conflicts, merged->left_conflicts == 1 ? "" : "s",
                                       AP_STR_ARG(book)));
    }
    ap_doc_paragraph(doc, AP_STR_LIT("Its settings, cranes, slings, findings, write-ups and actions were not taken."));
}

void ap_merged_json(ap_json *json, const ap_merged *merged) {
    ap_json_key(json, "merged");
    ap_json_object_begin(json);
    ap_json_put_text(json, "book", merged->book);
    ap_json_put_int(json, "picks", merged->picks);
    ap_json_put_int(json, "amendments", merged->amendments);
    ap_json_put_int(json, "planned_as_filled", merged->planned.filled);
    ap_json_put_int(json, "planned_as_unknown", merged->planned.unknown);
    ap_json_put_int(json, "measured_as_filled", merged->measured.filled);
    ap_json_put_int(json, "measured_as_unknown", merged->measured.unknown);
    ap_json_put_int(json, "rigging_otherwise", merged->rigging);
    ap_json_key(json, "cranes_otherwise");
    ap_json_array_begin(json);
    for (size_t i = 0; i < merged->crane_count; i++) {
        ap_json_text(json, merged->cranes[i]);
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "left_set_aside", merged->left_aside);
    ap_json_put_int(json, "left_conflicts", merged->left_conflicts);
    ap_json_object_end(json);
}

bool ap_merged_wants_person(const ap_merged *merged) {
    return merged->planned.unknown || merged->measured.unknown || merged->crane_count;
}
