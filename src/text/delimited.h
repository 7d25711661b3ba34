/* Streaming reader of delimited text: bytes in, rows of UTF-8 cells out, in bounded memory.
 *
 * Reads comma, semicolon, tab or pipe (sniffed from the first rows when not given); RFC 4180 quoting with embedded
 * newlines and doubled quotes; LF, CRLF or lone CR, mixed; UTF-8 with and without BOM, UTF-16 LE/BE, Windows-1252.
 * Line numbers count physical lines from 1, so that "line 41" is what an editor shows. */
#ifndef AP_TEXT_DELIMITED_H
#define AP_TEXT_DELIMITED_H

#include "base/str.h"

typedef enum ap_encoding {
    AP_ENCODING_UTF8 = 0,
    AP_ENCODING_UTF8_BOM,
    AP_ENCODING_UTF16LE,
    AP_ENCODING_UTF16BE,
    AP_ENCODING_CP1252
} ap_encoding;

/* Fills up to `cap` bytes, *got = 0 at the end. */
typedef ap_status (*ap_read_fn)(void *context, char *bytes, size_t cap, size_t *got, ap_error *err);

/* An ap_read_fn over text in memory: `context` is an ap_str, of which each call takes the front off. */
ap_status ap_read_from_str(void *context, char *bytes, size_t cap, size_t *got, ap_error *err);

typedef struct ap_delimited_options {
    char delimiter;   /* 0 = sniff */
    size_t cell_max;  /* bytes of one cell; 0 = 1 MiB */
    size_t row_max;   /* bytes of one row; 0 = 4 MiB */
    size_t cells_max; /* cells of one row; 0 = 1024 */
} ap_delimited_options;

/* A row's cells point into the reader and live until the next call. */
typedef struct ap_row {
    const ap_str *cells; /* unquoted, UTF-8; a cell that was empty has len 0 and ptr not NULL */
    size_t count;
    int64_t line;      /* where the row begins */
    int64_t line_last; /* where it ends */
    ap_str raw;        /* the row as it stood, as UTF-8, without its line end */
    /* What is wrong with the row's form; NULL when nothing: "quote never closed", "NUL byte", "row longer than 4 MiB",
     * "more than 1024 cells", "not valid UTF-8". The reader goes on behind it; a row that is too long is skipped to
     * its line end in bounded memory (cells then hold what was kept). */
    const char *trouble;
    size_t trouble_cell; /* index of the cell concerned */
    const bool
        *numbers; /* per cell: a number where it came from (a workbook), with a point whatever its texts use; or NULL */
    bool heading; /* a source that knows says so: no pick, it stands above those that follow */
} ap_row;

typedef struct ap_delimited ap_delimited;

AP_MUST_USE ap_status ap_delimited_new(ap_delimited **out, ap_read_fn read, void *context,
                                       const ap_delimited_options *options, ap_error *err);
void ap_delimited_free(ap_delimited *reader);
/* *more = false at the end. Blank lines (no cell holds anything) are rows too: the caller skips them. */
AP_MUST_USE ap_status ap_delimited_next(ap_row *row, bool *more, ap_delimited *reader, ap_error *err);
char ap_delimited_delimiter(const ap_delimited *reader);
ap_encoding ap_delimited_encoding(const ap_delimited *reader);
const char *ap_encoding_name(ap_encoding encoding);

/* What a file is when it is not text: "a PDF", "a PNG image", "an old binary spreadsheet (.xls)", "a zip archive",
 * "a spreadsheet workbook (.xlsx)", "an SQLite database"; NULL when it looks like text. `head` is the first bytes. */
const char *ap_text_kind_of_file(ap_str head);

/* Quotes one cell for writing RFC 4180. A cell that a spreadsheet would run as a formula is written with an apostrophe
 * in front when `guard` is set. */
void ap_delimited_write_cell(ap_buf *out, ap_str cell, char delimiter, bool guard);
/* The text without that apostrophe: of a trimmed cell written with `guard`, what it was. */
ap_str ap_delimited_unguard(ap_str cell);

#endif
