/* Streaming reader of plain lines: bytes in, lines of UTF-8 out, in bounded memory. No quotes, no delimiters: an inch mark
 * is an inch mark. Encodings and line ends are those of the delimited reader. */
#ifndef AP_TEXT_LINES_H
#define AP_TEXT_LINES_H

#include "text/delimited.h"

typedef struct ap_lines ap_lines;

typedef struct ap_line {
    ap_str text;    /* without its line end; valid until the next call */
    int64_t number; /* from 1 */
    const char
        *trouble; /* NULL, or "line longer than N bytes" (text is its beginning), "NUL byte", "not valid UTF-8" */
} ap_line;

/* `line_max`: bytes of one line; 0 = 64 KiB. */
AP_MUST_USE ap_status ap_lines_new(ap_lines **out, ap_read_fn read, void *context, size_t line_max, ap_error *err);
void ap_lines_free(ap_lines *lines);
AP_MUST_USE ap_status ap_lines_next(ap_line *line, bool *more, ap_lines *lines, ap_error *err);
ap_encoding ap_lines_encoding(const ap_lines *lines); /* known from the start */

#endif
