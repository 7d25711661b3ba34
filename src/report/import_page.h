/* What an import did, as a page and as JSON. */
#ifndef AP_REPORT_IMPORT_PAGE_H
#define AP_REPORT_IMPORT_PAGE_H

#include "intake/intake.h"
#include "page/doc.h"
#include "page/json.h"
#include "report/merged_page.h"

/* A certain finding of a pick just stored, kept as the sentence people read. */
typedef struct ap_import_alert {
    ap_str title;
    ap_str pick;
    ap_str says;
} ap_import_alert;

typedef struct ap_import_alerts {
    ap_import_alert *items;
    size_t count; /* kept for printing */
    size_t total;
} ap_import_alerts;

enum { AP_IMPORT_ALERTS_MAX = 20, AP_IMPORT_PROBLEMS_SHOWN = 20, AP_IMPORT_WARNINGS_SHOWN = 5 };

/* `dry_run`: nothing was kept. */
void ap_import_page(ap_doc *doc, const ap_intake_result *result, const ap_import_alerts *alerts, bool dry_run,
                    bool as_table);
/* docs/json.md, "import"; with what came of a merge where it is one, else NULL. */
void ap_import_json(ap_json *json, const ap_intake_result *result, const ap_import_alerts *alerts, bool dry_run,
                    const ap_merged *merged);

#endif
