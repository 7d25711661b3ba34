/* Pieces of the terminal writer that its table writer needs too. */
#ifndef AP_PAGE_PLAIN_H
#define AP_PAGE_PLAIN_H

#include "base/sink.h"
#include "page/number.h"

typedef struct ap_plain {
    ap_sink *sink;
    const ap_doc *doc;
    size_t width;
    bool colour;
} ap_plain;

typedef enum ap_plain_look { AP_LOOK_BOLD, AP_LOOK_DIM, AP_LOOK_ALERT, AP_LOOK_CAUTION, AP_LOOK_END } ap_plain_look;

void ap_plain_set(const ap_plain *page, ap_plain_look look); /* nothing without colour */
void ap_plain_spaces(const ap_plain *page, size_t count);
/* The next line of `text` that fits `width` columns, broken at a space where there is one; false when all is taken. The
 * piece is a view on the text; a piece wider than `width` by one double-width character is possible only at width 1. */
bool ap_plain_take_line(ap_str *line, ap_str *rest, size_t width);
/* Wrapped to the page's width; `first` columns are taken on the first line, later lines are indented by `indent`. */
void ap_plain_wrap(const ap_plain *page, ap_str text, size_t first, size_t indent);
/* "lead text" from `column` on, the lead in its own look; a long lead gets lines of its own. */
void ap_plain_led(const ap_plain *page, ap_plain_look look, ap_str lead, ap_str text, size_t column, size_t indent);
void ap_plain_table(const ap_plain *page, const ap_table *table);

#endif
