/* Strict streaming reader of JSON Lines: one object a line (RFC 8259), rows of UTF-8 cells out, in bounded memory.
 *
 * The keys of the whole file come first, in the order they are met: they are the header. A value is a text, a number (as
 * written), true or false (as these words) or null (a blank cell). Whatever else stands in a line is that row's trouble,
 * with the byte column where it stands. */
#ifndef AP_TEXT_JSON_LINES_H
#define AP_TEXT_JSON_LINES_H

#include "text/lines.h"

enum { AP_JSON_KEYS_MAX = 256, AP_JSON_KEY_BYTES = 128, AP_JSON_LINE_MAX = 1 << 20 };

typedef struct ap_json_keys ap_json_keys;
typedef struct ap_json_lines ap_json_lines;

/* Whether a file that begins with these bytes holds JSON: its first character that is not blank is '{'. UTF-16 is asked for
 * by its byte order mark. */
bool ap_json_lines_looks_so(ap_str head);

/* Reads to the end and keeps every key; lines that are no object, and keys past the bounds, add none. */
AP_MUST_USE ap_status ap_json_keys_read(ap_json_keys **out, ap_read_fn read, void *context, ap_error *err);
void ap_json_keys_free(ap_json_keys *keys);
size_t ap_json_keys_count(const ap_json_keys *keys);

/* The first row is the header (line 0), then one row a line. `keys` outlives the reader. */
AP_MUST_USE ap_status ap_json_lines_new(ap_json_lines **out, ap_read_fn read, void *context, const ap_json_keys *keys,
                                        ap_error *err);
void ap_json_lines_free(ap_json_lines *reader);
AP_MUST_USE ap_status ap_json_lines_next(ap_row *row, bool *more, ap_json_lines *reader, ap_error *err);
ap_encoding ap_json_lines_encoding(const ap_json_lines *reader);

#endif
