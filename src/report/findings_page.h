/* The list of findings as a page and as JSON. */
#ifndef AP_REPORT_FINDINGS_PAGE_H
#define AP_REPORT_FINDINGS_PAGE_H

#include "nearmiss/detect.h"
#include "report/weights_page.h"

void ap_findings_table(ap_doc *doc, const char *id, const ap_roster *roster, const ap_finding_list *findings);
/* How many false alarms chance makes here, in words. */
ap_str ap_findings_chance(ap_doc *doc, const ap_run_chance *chance, const ap_settings *settings);
/* For reading; `as_table` gives the table alone, for CSV. */
void ap_findings_page(ap_doc *doc, const ap_roster *roster, const ap_finding_list *findings,
                      const ap_run_chance *chance, ap_period period, bool as_table);
/* docs/json.md, "findings". */
void ap_findings_json(ap_json *json, ap_doc *doc, const ap_roster *roster, const ap_finding_list *findings,
                      const ap_run_chance *chance, ap_period period);

#endif
