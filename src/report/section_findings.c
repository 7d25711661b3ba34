#include "report/findings_page.h"
#include "report/review.h"
#include "report/rules_page.h"

void ap_section_findings(ap_doc *doc, const ap_review *r) {
    const ap_findings_told told = {r->roster, &r->limits, &r->findings, &r->chance,
                                   r->period, &r->said,   r->pages,     NULL};
    ap_doc_answer(doc, ap_say_findings_count(doc, &told));
    ap_findings_table_cut(doc, "findings-all", &told, r->arena);
    ap_doc_paragraph(doc, ap_say_chance(doc, &r->chance, &r->limits));
    ap_doc_paragraph(doc, ap_say_notes(doc, &r->said));
    if (r->pages) {
        ap_doc_link(doc, AP_STR_LIT("Each finding, species, crane and pick that matters on a page of its own"),
                    AP_STR_LIT("book/index.html"));
    }
    if (r->findings_not_kept.len) {
        ap_doc_paragraph(doc, r->findings_not_kept);
    } else if (r->findings.count) {
        ap_doc_paragraph(doc, AP_STR_LIT("A finding keeps its number: 'afterpick findings acknowledge NUMBER' or "
                                         "'dismiss NUMBER', with --why, and the next review remembers."));
    }
    ap_doc_working_begin(doc, AP_STR_LIT("The rules, and what chance makes"));
    for (size_t i = 0; i < ap_rule_count(); i++) {
        const ap_rule *rule = ap_rule_get(i);
        ap_str words = ap_say_rule(doc, rule, &r->limits, &r->roster->settings);
        ap_doc_list_item(doc, ap_doc_printf(doc, "%s: %.*s.", rule->name, AP_STR_ARG(words)));
    }
    ap_chance_table(doc, "chance", &r->chance);
    ap_doc_paragraph(
        doc,
        AP_STR_LIT("Certain findings say what the log says, or what is worked out from it; likely ones are patterns "
                   "that chance can "
                   "make too. Rows and sums are simulated with plans right on average, the variances between and "
                   "within trees that "
                   "were fitted, and the logged trees, groups and order, always from the same seed; the figure for "
                   "independent "
                   "picks stands beside it. Comparisons of rates are exact tests, the false discoveries held over all "
                   "groups compared. "
                   "Picks that were not weighed, or are suspect, neither end nor lengthen a row; a row may begin in an "
                   "earlier month "
                   "and belongs to the month of its last pick. Patterns that rest on the same picks are one finding."));
    ap_doc_working_end(doc);
}
