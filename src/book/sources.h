/* What the book was made from: imports with their counts, and the logs whose copies should lie beside it. */
#ifndef AP_BOOK_SOURCES_H
#define AP_BOOK_SOURCES_H

#include "book/book.h"

typedef struct ap_source_counts {
    int64_t imports; /* that still count */
    int64_t undone;
    int64_t files; /* of imports that still count, as the three below */
    int64_t picks; /* in the book now */
    int64_t amended;
    int64_t warnings;
} ap_source_counts;

typedef struct ap_log_file {
    int64_t import_id;
    ap_str path;
    ap_str sha256;
} ap_log_file;

AP_MUST_USE ap_status ap_book_source_counts(ap_source_counts *out, ap_book *book, ap_error *err);
/* Calls `each` for every log of an import that still counts; texts live until the call returns. */
typedef ap_status (*ap_log_file_fn)(void *context, const ap_log_file *file, ap_error *err);
AP_MUST_USE ap_status ap_book_each_log_file(ap_book *book, ap_log_file_fn each, void *context, ap_error *err);

const char *ap_book_sqlite_version(void);

#endif
