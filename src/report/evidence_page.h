/* Evidence of others: the list, and the file that gives one's own away (docs/evidence.md). */
#ifndef AP_REPORT_EVIDENCE_PAGE_H
#define AP_REPORT_EVIDENCE_PAGE_H

#include "intake/evidence_file.h"
#include "page/doc.h"
#include "page/json.h"

typedef struct ap_evidence_view {
    const ap_evidence *evidence; /* what counts now, and all sets */
    ap_book *book;               /* for the species' names */
    double company_sd;           /* ln, between companies */
} ap_evidence_view;

AP_MUST_USE ap_status ap_evidence_page(ap_doc *doc, const ap_evidence_view *view, ap_error *err);
AP_MUST_USE ap_status ap_evidence_json(ap_json *json, const ap_evidence_view *view, ap_error *err);

/* The file itself, JSON Lines. */
AP_MUST_USE ap_status ap_evidence_write(ap_sink *sink, const ap_evidence_file *file, ap_book *book, ap_error *err);

#endif
