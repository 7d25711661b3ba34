#include "report/review.h"

void ap_section_method(ap_doc *doc, const ap_review *r) {
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_doc_list_item(doc, AP_STR_LIT("Estimate error: e = ln(measured net / planned net). Gross is made net with the "
                                     "logged weight of block and slings, "
                                     "else with the company's setting."));
    ap_doc_list_item(doc, AP_STR_LIT("Intervals: Student's t at 90 % on the means of trees, each tree counting once, "
                                     "because picks of one tree are not "
                                     "independent (Snedecor and Cochran, Statistical Methods, 8th ed., chapter 21)."));
    ap_str fitted = isnan(r->chance.share)
                        ? AP_STR_LIT("here no spread could be fitted")
                        : ap_doc_printf(doc, "here p = %.3f from the fitted spread of ln(ratio), sd %.3f",
                                        r->chance.share, r->chance.sd);
    ap_doc_list_item(
        doc, ap_doc_printf(doc,
                           "Runs: average run length of m in a row with probability p each, (1 - p^m) / ((1 - p) p^m) "
                           "(Feller, An Introduction to Probability Theory I, XIII.7); %.*s.",
                           AP_STR_ARG(fitted)));
    ap_doc_list_item(
        doc, AP_STR_LIT("Heavy surprise: more than 3.5 spreads above the median of its species and cut (spread by MAD "
                        "over all cells), or "
                        "heavier than planned by more than the surprise line with the hook past the first band."));
    ap_doc_list_item(doc, AP_STR_LIT("Capacity: hook load (piece, block, slings) / rated capacity as logged, the worse "
                                     "of cut and set-down. A limit is "
                                     "passed when a value exceeds it by more than one part in a thousand million."));
    ap_doc_list_item(
        doc,
        AP_STR_LIT(
            "Picks are taken in order of date, time where every pick of the job and day has one, else pick number."));
    ap_doc_working_end(doc);
}
