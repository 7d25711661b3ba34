/* Writers of the document model. */
#ifndef AP_PAGE_WRITE_H
#define AP_PAGE_WRITE_H

#include "base/sink.h"
#include "page/doc.h"

/* One self-contained HTML file: strict Content-Security-Policy, no network, own style inside, figures inline. */
AP_MUST_USE ap_status ap_page_write_html(ap_sink *sink, const ap_doc *doc, ap_error *err);
/* CommonMark (with pipe tables). Figures as ![title](figures/ID.svg). */
AP_MUST_USE ap_status ap_page_write_markdown(ap_sink *sink, const ap_doc *doc, ap_error *err);
/* The same without title and foot: a piece to stand in another text. */
AP_MUST_USE ap_status ap_page_write_markdown_part(ap_sink *sink, const ap_doc *doc, ap_error *err);
/* Terminal: aligned to `width` columns (80 at least); control bytes of texts made visible; `colour` for ANSI. */
AP_MUST_USE ap_status ap_page_write_text(ap_sink *sink, const ap_doc *doc, int width, bool colour, ap_error *err);
/* One table of the document as CSV (RFC 4180, formula cells guarded): the first when `id` is none. SI values
 * become the document's units, with the unit in the header. */
AP_MUST_USE ap_status ap_page_write_csv(ap_sink *sink, const ap_doc *doc, ap_str id, ap_error *err);

#endif
