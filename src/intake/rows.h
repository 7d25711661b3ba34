/* Where rows come from. Every kind of log (delimited text now; workbooks, JSON Lines and text logs by the same door) is a
 * stream of ap_row: a header row of column names first, then one row a pick, with line numbers a person can find. */
#ifndef AP_INTAKE_ROWS_H
#define AP_INTAKE_ROWS_H

#include "intake/source.h"
#include "text/delimited.h"

typedef struct ap_rows ap_rows;

/* Starts at the source's first byte; several streams over one source may be open at once. */
AP_MUST_USE ap_status ap_rows_new_delimited(ap_rows **out, const ap_source *source, char delimiter, ap_error *err);
void ap_rows_free(ap_rows *rows);
AP_MUST_USE ap_status ap_rows_next(ap_row *row, bool *more, ap_rows *rows, ap_error *err);
/* How it is written, for the book: "comma, UTF-8"; known after the first row. */
void ap_rows_dialect(ap_buf *out, const ap_rows *rows);
char ap_rows_delimiter(const ap_rows *rows); /* what set-aside rows are written with */
int64_t ap_rows_bytes(const ap_rows *rows);  /* taken from the source so far */

#endif
