/* Untrusted text, one visible glyph at a time. Every writer walks a text through here and then escapes what its own
 * format treats specially, so that nothing invisible ever reaches a page or a terminal:
 *
 * - bytes that are not UTF-8 become U+FFFD, one for each byte that starts no valid sequence;
 * - C0 controls and DEL become their pictures (U+2400 ...), C1 controls and the characters that reorder or hide text
 *   (U+202E and its like) are spelled out: "‹U+202E›";
 * - a line end (CR LF, LF, CR, U+2028, U+2029) becomes "↵ ", a tab a space, unless lines are kept (CSV). */
#ifndef AP_PAGE_GLYPH_H
#define AP_PAGE_GLYPH_H

#include "base/sink.h"
#include "base/utf8.h"

typedef struct ap_glyph {
    char bytes[20];
    uint8_t len;
    uint8_t width; /* terminal columns: 0 combining, 2 East Asian wide */
} ap_glyph;

typedef enum ap_glyph_lines { AP_GLYPH_SHOW_LINES = 0, AP_GLYPH_KEEP_LINES } ap_glyph_lines;

/* Decodes one code point; *at moves behind it. 0xFFFD for a byte that starts no valid sequence. */
uint32_t ap_utf8_next(ap_str text, size_t *at);
/* False at the end of the text. */
bool ap_glyph_next(ap_glyph *out, ap_str text, size_t *at, ap_glyph_lines lines);
/* Columns of a terminal that the text takes once made visible. */
size_t ap_glyph_width(ap_str text);
/* The made-visible text without any escaping of a format. */
void ap_glyph_put(ap_sink *sink, ap_str text);
bool ap_code_is_hidden(uint32_t code); /* reorders, hides, or is a control character above ASCII */
int ap_code_width(uint32_t code);

#endif
