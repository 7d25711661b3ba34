/* A person's Markdown as a page of ours.
 *
 *   K1 CommonMark by libcmark with raw HTML off: HTML that was typed is shown as text, a comment is left out.
 *   K2 No request leaves the page: a picture is one of the figures given, else its words stand in its place.
 *   K3 Characters that hide or reorder text are made visible first (glyph.h).
 *   K4 A paragraph of pipe-table lines with the line of dashes under the first becomes a table.
 *   K5 The first heading of level 1 is the page's title; every heading of level 2 opens a section.
 *
 * Source  CommonMark 0.30; tables as the Markdown writer of this room writes them. */
#ifndef AP_PAGE_MARKUP_H
#define AP_PAGE_MARKUP_H

#include "base/sink.h"
#include "page/doc.h"

typedef struct ap_markup_figure {
    ap_str href; /* what ![...](href) says */
    ap_str title;
    ap_str description;
    ap_str svg;     /* trusted output of figure/; none: not drawn */
    ap_str missing; /* why not */
} ap_markup_figure;

enum { AP_MARKUP_MAX = 4 << 20 };

/* `head`->title stands in where the text has no heading of level 1. Errors: AP_E_LIMIT, AP_E_MEMORY, the sink's. */
AP_MUST_USE ap_status ap_page_write_markup(ap_sink *sink, const ap_doc_head *head, ap_str markdown,
                                           const ap_markup_figure *figures, size_t count, ap_error *err);

#endif
