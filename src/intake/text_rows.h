/* A text log as rows: one pick a line, or a block of "key: value" lines, by the patterns and keys of a profile.
 *
 * Cell 0 is the line (or block) itself, cell i + 1 belongs to the profile's column i. What a heading said stands in the rows
 * that follow. A line that nothing reads is a row with its trouble. */
#ifndef AP_INTAKE_TEXT_ROWS_H
#define AP_INTAKE_TEXT_ROWS_H

#include "book/book.h"
#include "intake/profile.h"
#include "text/lines.h"

enum { AP_TEXT_BLOCK_MAX = 64 * 1024, AP_TEXT_UNREAD_MAX = 16 };

typedef struct ap_text_rows ap_text_rows;

/* `book`: its species are looked for by "find"; NULL for a profile without. */
AP_MUST_USE ap_status ap_text_rows_new(ap_text_rows **out, ap_read_fn read, void *context, const ap_profile *profile,
                                       ap_book *book, ap_error *err);
void ap_text_rows_free(ap_text_rows *rows);
AP_MUST_USE ap_status ap_text_rows_next(ap_row *row, bool *more, ap_text_rows *rows, ap_error *err);
ap_encoding ap_text_rows_encoding(const ap_text_rows *rows);
/* Keys met so far that no line of the profile names, the first AP_TEXT_UNREAD_MAX of them. */
size_t ap_text_rows_unread(const ap_text_rows *rows);
ap_str ap_text_rows_unread_key(const ap_text_rows *rows, size_t index);

#endif
