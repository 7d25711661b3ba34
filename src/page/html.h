/* Pieces of the HTML writer that its table writer needs too. */
#ifndef AP_PAGE_HTML_H
#define AP_PAGE_HTML_H

#include "base/sink.h"
#include "page/number.h"

/* Made visible (glyph.h), then & < > " ' ` as character references: fit for element content and quoted attributes. */
void ap_html_text(ap_sink *sink, ap_str text);
/* A text from the log, kept from turning the sentence around it. */
void ap_html_isolated(ap_sink *sink, ap_str text);
void ap_html_pick(ap_sink *sink, const ap_doc *doc, ap_str pick);
/* `heading`: of the section it stands in, for a table without a caption. */
void ap_html_table(ap_sink *sink, const ap_doc *doc, const ap_table *table, ap_str heading);
bool ap_html_sorts(const ap_table *table); /* it has rows enough to be worth sorting */

/* Everything of a page before and behind what its <main> holds. `script`: it has tables that sort; the same to both. */
void ap_html_begin(ap_sink *sink, const ap_doc_head *head, bool contents, bool script);
void ap_html_end(ap_sink *sink, const ap_doc_head *head, bool script);

#endif
