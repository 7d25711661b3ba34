/* One kept finding as a page and as JSON. */
#ifndef AP_REPORT_FINDING_PAGE_H
#define AP_REPORT_FINDING_PAGE_H

#include "book/findings.h"
#include "page/doc.h"
#include "page/json.h"
#include "report/rules_page.h"

typedef struct ap_finding_kept {
    ap_finding_row row;
    ap_finding_pick *picks;
    size_t pick_count;
    bool picks_told; /* they stand in a table of the caller's: only those no longer in the book are named */
    ap_finding_change *changes;
    size_t change_count;
} ap_finding_kept;

AP_MUST_USE ap_status ap_finding_kept_read(ap_finding_kept *out, ap_arena *arena, ap_book *book, int64_t id,
                                           ap_error *err);
void ap_finding_page(ap_doc *doc, const ap_finding_kept *kept, const ap_rule_limits *limits,
                     const ap_settings *settings);
void ap_finding_json(ap_json *json, const ap_finding_kept *kept);

#endif
