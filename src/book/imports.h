/* Imports and their provenance: one row per import, one per file, the rows set aside, taking an import out again. */
#ifndef AP_BOOK_IMPORTS_H
#define AP_BOOK_IMPORTS_H

#include "book/picks.h"

typedef struct ap_import_file {
    ap_str path;   /* as given */
    ap_str sha256; /* 64 hex digits */
    int64_t bytes;
    ap_str dialect;    /* "comma, UTF-8, header on line 1" */
    ap_str date_order; /* "ISO", "m/d/y (settled by line 14)" */
    ap_str columns;    /* JSON: column number -> field, unit: so that a cell can be found again */
} ap_import_file;

/* *import_id is what `undo` takes. Inside a transaction. */
AP_MUST_USE ap_status ap_book_import_begin(int64_t *import_id, ap_book *book, const ap_book_author *author,
                                           ap_error *err);
AP_MUST_USE ap_status ap_book_import_file_add(int64_t *file_id, ap_book *book, int64_t import_id,
                                              const ap_import_file *file, ap_error *err);
/* The import that holds a file of this SHA-256 and is not undone; 0 when none. */
AP_MUST_USE ap_status ap_book_import_find_file(int64_t *import_id, ap_book *book, ap_str sha256, ap_error *err);

typedef struct ap_file_counts {
    int64_t stored;
    int64_t unchanged;
    int64_t set_aside;
    int64_t conflicts;
} ap_file_counts;
AP_MUST_USE ap_status ap_book_import_file_end(ap_book *book, int64_t file_id, const ap_file_counts *counts,
                                              ap_error *err);

typedef struct ap_set_aside {
    int64_t line;
    int column;   /* 1-based position in the row; 0 = the row as a whole */
    ap_str field; /* canonical name, or the header as it stood */
    ap_str text;  /* what was found */
    ap_str reason;
    ap_str remedy;
    ap_str raw;
} ap_set_aside;
AP_MUST_USE ap_status ap_book_set_aside_add(ap_book *book, int64_t file_id, const ap_set_aside *row, ap_error *err);
/* A warning about a row that was stored, or about the file (line 0). */
AP_MUST_USE ap_status ap_book_warning_add(ap_book *book, int64_t file_id, int64_t line, ap_str field, ap_str says,
                                          ap_error *err);

/* What rests on an import: shown before it is taken out. */
typedef struct ap_import_rests {
    int64_t picks;
    int64_t amendments;
    int64_t findings;
    int64_t writeups;
} ap_import_rests;
AP_MUST_USE ap_status ap_book_import_rests(ap_import_rests *out, ap_book *book, int64_t import_id, ap_error *err);
/* Takes the import's picks out, keeps its history row with who and why. AP_E_NOT_FOUND for an unknown or undone import. */
AP_MUST_USE ap_status ap_book_import_undo(ap_book *book, int64_t import_id, ap_str why, const ap_book_author *author,
                                          ap_error *err);

/* Files of other imports that had rows about the picks that left, joined by ", ": the very same file is let in again. Empty
 * when there is none. */
AP_MUST_USE ap_status ap_book_import_read_again(ap_buf *out, ap_book *book, ap_error *err);

#endif
