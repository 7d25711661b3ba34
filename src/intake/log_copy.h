/* The copies of logs that import keeps beside the book: are they there, and are they what was read? */
#ifndef AP_INTAKE_LOG_COPY_H
#define AP_INTAKE_LOG_COPY_H

#include "book/book.h"

typedef struct ap_lost_copy {
    ap_str path; /* of the log as imported */
    ap_str sha256;
    int64_t import_id;
    bool changed; /* there, with other bytes; else not there */
} ap_lost_copy;

enum { AP_LOST_SHOWN = 100 };

typedef struct ap_copies {
    ap_str folder; /* "oak.book-logs" */
    bool folder_exists;
    int64_t logs;
    int64_t good;
    ap_lost_copy lost[AP_LOST_SHOWN]; /* the first ones */
    int64_t lost_count;
} ap_copies;

/* Reads every copy whole. A copy that can not be read counts as changed. Texts live in `arena`. */
AP_MUST_USE ap_status ap_copies_check(ap_copies *out, ap_arena *arena, ap_book *book, ap_error *err);

#endif
