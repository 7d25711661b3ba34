#include "report/review.h"

void ap_section_method(ap_doc *doc, const ap_review *r) {
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_doc_list_item(doc, AP_STR_LIT("Estimate error: e = ln(measured net / planned net). Gross is made net with the "
                                     "logged weight of block and slings, "
                                     "else with the company's setting."));
    ap_doc_list_item(doc,
                     AP_STR_LIT("Intervals: Student's t at 90 % on the means of trees, each tree counting once, "
                                "because picks of one tree are not "
                                "independent (Snedecor and Cochran, Statistical Methods, 8th ed., chapter 21). Of the "
                                "share clearly heavier: Clopper and Pearson's, on as many picks as those of the "
                                "trees are worth (Korn and Graubard 1998)."));
    const ap_spread *spread = &r->chance.spread;
    ap_str fitted = spread->assumed ? AP_STR_LIT("here no spread could be fitted, .15 is assumed")
                                    : ap_doc_printf(doc, "here sd %.3f between trees, %.3f within, MAD %.3f",
                                                    spread->tree_sd, spread->rest_sd, spread->robust_sd);
    ap_str drawn = r->chance.replications
                       ? ap_doc_printf(doc, "%zu simulated periods", r->chance.replications)
                       : AP_STR_LIT("simulated periods (here none was drawn: there was nothing to look for)");
    ap_doc_list_item(
        doc,
        ap_doc_printf(
            doc,
            "False alarms of rows and sums: %.*s with the variances between and within trees by "
            "analysis of variance about the mean of species and cut (%.*s), drawn given the fitted sums of squares "
            "(Engen and Lillegard 1997); independent picks: (1 - p^m) / ((1 - p) "
            "p^m) for rows (Feller, An Introduction to Probability Theory I, XIII.7), Brook and Evans 1972 for the "
            "clipped CUSUM.",
            AP_STR_ARG(drawn), AP_STR_ARG(fitted)));
    ap_doc_list_item(
        doc, AP_STR_LIT("Heavy surprise: distance above the median of species and cut, the pick itself taken out of "
                        "median and spread (Cook and Weisberg 1982, deleted residual); the number to expect is picks "
                        "times the tail of Student's t."));
    ap_doc_list_item(
        doc,
        AP_STR_LIT(
            "Comparisons of rates: whole trees dealt out anew (Gail et al. 1996; Besag and Clifford 1991), never less "
            "than Fisher's exact test (1935), one-sided; Benjamini and Hochberg 1995 over the groups compared."));
    ap_doc_list_item(doc, AP_STR_LIT("Capacity: hook load (piece, block, slings) / rated capacity as logged, the worse "
                                     "of cut and set-down. A limit is "
                                     "passed when a value exceeds it by more than one part in a thousand million."));
    ap_doc_list_item(
        doc,
        AP_STR_LIT(
            "Picks are taken in order of date, time where every pick of the job and day has one, else pick number."));
    ap_doc_working_end(doc);
}
