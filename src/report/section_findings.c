#include "report/findings_page.h"
#include "report/review.h"

void ap_section_findings(ap_doc *doc, const ap_review *r) {
    size_t certain = 0;
    for (size_t i = 0; i < r->findings.count; i++) {
        certain += r->findings.items[i].class == AP_FINDING_CERTAIN;
    }
    ap_doc_answer(doc, ap_doc_printf(doc, "%zu certain and %zu likely findings in %zu picks.", certain,
                                     r->findings.count - certain, r->end - r->first));
    ap_findings_table(doc, "findings-all", r->roster, &r->findings);
    ap_doc_paragraph(doc, ap_findings_chance(doc, &r->chance, &r->roster->settings));
    ap_doc_working_begin(doc, AP_STR_LIT("The rules"));
    for (int d = 0; d < AP_DETECT_COUNT; d++) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "%s: %s.", ap_detector_title((ap_detector_id)d),
                                            ap_detector_rule((ap_detector_id)d)));
    }
    ap_doc_paragraph(
        doc,
        AP_STR_LIT("Certain findings say what the log says. Likely ones are patterns that chance can make too. Picks "
                   "that were not "
                   "weighed neither end nor lengthen a run; a run may begin in an earlier month and belongs to the "
                   "month of its last pick. Runs that rest on the same picks are one finding."));
    ap_doc_working_end(doc);
}
