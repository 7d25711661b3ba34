/* Where rows come from. Every kind of log (delimited text, workbooks, JSON Lines, text logs by a profile) is a stream of
 * ap_row: a header row of column names first, then one row a pick, with line numbers a person can find. A text log has no
 * header row: its plan comes from its profile. */
#ifndef AP_INTAKE_ROWS_H
#define AP_INTAKE_ROWS_H

#include "book/book.h"
#include "intake/profile.h"
#include "intake/source.h"
#include "text/delimited.h"

typedef struct ap_rows ap_rows;

typedef enum ap_rows_kind { AP_ROWS_DELIMITED, AP_ROWS_WORKBOOK, AP_ROWS_JSON, AP_ROWS_TEXT } ap_rows_kind;

typedef struct ap_rows_options {
    char delimiter;            /* 0 = sniffed */
    ap_str sheet;              /* of a workbook; none = the first with a header */
    const ap_profile *profile; /* NULL = canonical columns */
    ap_book *book;             /* whose species a text log's profile looks for */
} ap_rows_options;

/* Starts at the source's first byte; several streams over one source may be open at once. */
AP_MUST_USE ap_status ap_rows_new(ap_rows **out, const ap_source *source, const ap_rows_options *options,
                                  ap_error *err);
void ap_rows_free(ap_rows *rows);
ap_rows_kind ap_rows_kind_of(const ap_rows *rows);
AP_MUST_USE ap_status ap_rows_next(ap_row *row, bool *more, ap_rows *rows, ap_error *err);
/* Rows of a workbook end at their last cell: from now on they are given blank cells up to `width`. */
AP_MUST_USE ap_status ap_rows_set_width(ap_rows *rows, size_t width, ap_error *err);
/* How it is written, for the book: "comma, UTF-8"; known after the first row. */
void ap_rows_dialect(ap_buf *out, const ap_rows *rows);
char ap_rows_delimiter(const ap_rows *rows);     /* what set-aside rows are written with */
int64_t ap_rows_bytes(const ap_rows *rows);      /* taken from the source so far */
ap_str ap_rows_sheet(const ap_rows *rows);       /* of a workbook, the one being read; none = no workbook */
size_t ap_rows_sheet_count(const ap_rows *rows); /* 0 = no workbook */
ap_str ap_rows_sheet_name(const ap_rows *rows, size_t index);
/* When the sheet is read: whether sheet `index` has a row that would be the header, too. The stream is at its end then. */
AP_MUST_USE ap_status ap_rows_sheet_fits(bool *fits, ap_rows *rows, size_t index, ap_error *err);
/* Something about the file as a whole that a person should know, number `index` from 0: sheets that were not read, keys
 * that nothing takes. False when there is no more. */
bool ap_rows_remark(ap_str *out, ap_arena *arena, const ap_rows *rows, size_t index);

#endif
