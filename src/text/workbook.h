/* Streaming reader of spreadsheet workbooks: a file in, rows of UTF-8 cells out, in bounded memory.
 *
 * Reads .xlsx and .xlsm (ECMA-376 / ISO/IEC 29500-1, Transitional and Strict) and .ods (ODF 1.2 and 1.3, ISO/IEC 26300).
 * A cell's text is its stored value, not its picture: numbers with 15 significant digits and a decimal point, dates as
 * 2026-10-05, times as 14:05 (seconds only where there are any to show), both as 2026-10-05 14:05 (at 00:00:00 the date
 * alone: that is how one is stored), durations as 27:30, shares with a percent format as 35%, TRUE and FALSE. What only the cell's format says is kept where it changes the
 * reading: a unit behind the number (0" lb" gives "4850 lb"), leading zeros and letters in front ("J"000 gives "J007").
 * Formulas give the value stored with them; nothing is calculated. Macros, comments, pictures and links are not read.
 * A merged cell has its value in its first cell (.xlsx: as stored, what hides below a merge is given too).
 * Hidden rows and columns are read like all others. */
#ifndef AP_TEXT_WORKBOOK_H
#define AP_TEXT_WORKBOOK_H

#include "text/delimited.h"

typedef struct ap_workbook_options {
    size_t cell_max;   /* bytes of one cell; 0 = 1 MiB */
    size_t row_max;    /* bytes of one row; 0 = 4 MiB */
    size_t cells_max;  /* cells of one row; 0 = 1024 */
    size_t shared_max; /* bytes of an .xlsx file's shared texts; 0 = 48 MiB */
    uint64_t part_max; /* bytes one part of the file unpacks to; 0 = 1 GiB */
} ap_workbook_options;

typedef struct ap_workbook ap_workbook;

/* Opens the file and lists its sheets; no sheet is selected yet. `options` may be NULL.
 * Errors  AP_E_NOT_FOUND, AP_E_IO; AP_E_INPUT: not a workbook (says what it is), protected by a password, damaged, XML
 *         with a document type; AP_E_LIMIT: too many parts, a part that unpacks to too much, too many shared texts. */
AP_MUST_USE ap_status ap_workbook_open(ap_workbook **out, const char *path, const ap_workbook_options *options,
                                       ap_error *err);
void ap_workbook_close(ap_workbook *book);

const char *ap_workbook_kind(const ap_workbook *book); /* ".xlsx" or ".ods" */
/* Worksheets in the order of their tabs; sheets that hold only a figure are left out. At least one. */
size_t ap_workbook_sheet_count(const ap_workbook *book);
ap_str ap_workbook_sheet_name(const ap_workbook *book, size_t sheet);
bool ap_workbook_sheet_is_hidden(const ap_workbook *book, size_t sheet);
/* By its exact name, else by its name in other case (ASCII) when one fits. AP_E_NOT_FOUND lists the sheets there are. */
AP_MUST_USE ap_status ap_workbook_sheet_get(size_t *sheet, const ap_workbook *book, ap_str name, ap_error *err);

/* Goes to the top of a sheet; the same sheet again begins anew. */
AP_MUST_USE ap_status ap_workbook_select(ap_workbook *book, size_t sheet, ap_error *err);
/* The next row of the selected sheet; *more = false behind its last row that holds anything. A row and its cells are
 * valid until the next call. `line` is the sheet's row number, `raw` the cells as comma-separated text. Blank rows in
 * between are rows with one empty cell; empty cells at the end of a row are dropped. `trouble` names the first of: a
 * formula's error value, a formula without a stored value, a date that is none, a cell or row past its limit.
 * Errors  AP_E_INPUT: damaged; AP_E_LIMIT: unpacks to too much; AP_E_USAGE: no sheet is selected. */
AP_MUST_USE ap_status ap_workbook_next(ap_row *row, bool *more, ap_workbook *book, ap_error *err);

/* Whether a cell of the row last given is a number in the sheet, a share or one with a unit included: its mark is the
 * decimal point whatever the texts of the same sheet use, so 6.125 is never six thousand. */
bool ap_workbook_cell_is_number(const ap_workbook *book, size_t cell);

/* Looks for the first sheet with a row that `is_header` accepts: visible sheets in their order, then hidden ones, each
 * down to its first `rows_max` rows that hold anything. When *found, that sheet is selected anew (its first row comes
 * next), *sheet is its index and *line the header's row; else no sheet is selected and both are untouched. */
typedef bool (*ap_workbook_header_fn)(void *context, const ap_row *row);
AP_MUST_USE ap_status ap_workbook_find_header(bool *found, size_t *sheet, int64_t *line, ap_workbook *book,
                                              size_t rows_max, ap_workbook_header_fn is_header, void *context,
                                              ap_error *err);

#endif
