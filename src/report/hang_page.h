/* What `calc hang` says. */
#ifndef AP_REPORT_HANG_PAGE_H
#define AP_REPORT_HANG_PAGE_H

#include "page/doc.h"
#include "report/hang_work.h"

/* The answer, what each leg carries, what the piece does, how it was worked out, cautions. The legs' table comes first. */
void ap_hang_page(ap_doc *doc, const ap_hang_ask *ask, const ap_hang_worked *worked);
/* One object: that of hang_json.h with "could_also" (other rests), "no_movement", "working" and "source". */
void ap_hang_page_json(ap_json *json, ap_arena *arena, const ap_hang_ask *ask, const ap_hang_worked *worked);

#endif
