/* The list of findings as a page and as JSON. */
#ifndef AP_REPORT_FINDINGS_PAGE_H
#define AP_REPORT_FINDINGS_PAGE_H

#include "report/finding_say.h"
#include "report/weights_page.h"

/* What the pages of findings say it from. */
typedef struct ap_findings_told {
    const ap_roster *roster;
    const ap_rule_limits *limits;
    const ap_finding_list *findings;
    const ap_chance *chance;
    ap_period period;
    const ap_said_list *said;       /* NULL: notes were not read */
    const char *pages;              /* folder of their pages, "book/"; NULL: there are none */
    const ap_hung_clashes *clashes; /* NULL: told elsewhere on the page */
} ap_findings_told;

size_t ap_findings_count(const ap_finding_list *findings, ap_finding_class class);
/* "6 certain and 2 likely findings in 110 picks". */
ap_str ap_say_findings_count(ap_doc *doc, const ap_findings_told *told);
/* "Slings as logged cannot hold the piece on 2 picks: ...". */
ap_str ap_say_clashes(ap_doc *doc, size_t count);
/* At most `most` certain and as many likely ones, the gravest; how many rows it has. */
size_t ap_findings_table(ap_doc *doc, const char *id, const ap_findings_told *told, size_t most);
/* For a page: as many as can be opened, and where the rest is. */
void ap_findings_table_cut(ap_doc *doc, const char *id, const ap_findings_told *told, ap_arena *arena);
/* For reading; `as_table` gives the table alone, for CSV. */
void ap_findings_page(ap_doc *doc, const ap_findings_told *told, bool as_table);
/* docs/json.md, "findings". */
void ap_findings_json(ap_json *json, ap_doc *doc, const ap_findings_told *told);

#endif
