/* What the picks come to, kept in the book as columns of bytes: whether it is in force, the bytes in, the bytes out.
 *
 * What the bytes mean is analysis/fact_pack.h's. What is read here is anybody's: the checksum finds damage, not intent, and whoever
 * unpacks checks all of it. Kept facts are a convenience: a caller that can not read them works from the picks. */
#ifndef AP_BOOK_KEPT_FACTS_H
#define AP_BOOK_KEPT_FACTS_H

#include "book/picks.h"

enum { AP_KEPT_COMPANY_SIZE = 32 };

typedef enum ap_kept_order {
    AP_KEPT_ORDER_UNKNOWN = 0,
    AP_KEPT_ORDER_ROWS, /* pick order is row order */
    AP_KEPT_ORDER_PLACES
} ap_kept_order;

typedef enum ap_kept_part {
    AP_KEPT_LABELS = 1,
    AP_KEPT_ERRORS,
    AP_KEPT_WOOD,
    AP_KEPT_REST,
    AP_KEPT_NAMES,
    AP_KEPT_WAYS /* may lack chunks */
} ap_kept_part;

typedef struct ap_kept_head {
    int64_t method;
    uint8_t company[AP_KEPT_COMPANY_SIZE]; /* SHA-256 of what the company says */
    int64_t picks;
    int64_t last_pick; /* row number */
    ap_date last_date;
    int64_t chunks;
    ap_kept_order order;
} ap_kept_head;

/* What the book keeps of the picks whose row numbers are below `before` (INT64_MAX: of all). */
typedef struct ap_kept_state {
    bool in_force; /* false: nothing is kept, or not all of these picks, or the triggers that end it are not there */
    int64_t picks; /* how many the book has */
    ap_kept_head head; /* while it is in force */
} ap_kept_state;
AP_MUST_USE ap_status ap_book_kept_state(ap_kept_state *out, ap_book *book, int64_t before, ap_error *err);
/* Places in pick order, four bytes each, for AP_KEPT_ORDER_PLACES; none else. Inside a transaction, as all that follows but the
 * reading. */
AP_MUST_USE ap_status ap_book_kept_put_head(ap_book *book, const ap_kept_head *head, ap_str places, ap_error *err);
AP_MUST_USE ap_status ap_book_kept_put(ap_book *book, ap_kept_part part, int64_t chunk, int64_t picks, ap_str bytes,
                                       ap_error *err);
/* Nothing is kept any more. */
AP_MUST_USE ap_status ap_book_kept_drop(ap_book *book, ap_error *err);

/* The bytes live until the call returns. Chunks come in order from 0, without a gap but in AP_KEPT_WAYS, else AP_E_BOOK; so with a wrong
 * checksum. */
typedef ap_status (*ap_kept_fn)(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err);
AP_MUST_USE ap_status ap_book_kept_each(ap_book *book, ap_kept_part part, ap_kept_fn each, void *context,
                                        ap_error *err);
AP_MUST_USE ap_status ap_book_kept_places(ap_kept_fn take, void *context, ap_book *book, ap_error *err);

/* Begins a reading in one state of the book, with little memory for pages; false where a transaction is open already, which is as good.
 * End it with the answer. */
bool ap_book_kept_look(ap_book *book);
void ap_book_kept_looked(ap_book *book, bool began);
/* Begins a change at once or not at all, also of a book that is open for reading; false where somebody writes, the book may not be
 * written or a transaction is open. End it with ap_book_kept_end(), which tells whether it was stored. */
bool ap_book_kept_begin(ap_book *book);
bool ap_book_kept_end(ap_book *book, ap_status status);

/* The picks with row numbers first..last in row order, the fastest way through the book. */
AP_MUST_USE ap_status ap_book_each_pick_by_row(ap_book *book, int64_t first, int64_t last, ap_pick_fn each,
                                               void *context, ap_error *err);
/* Row numbers of all picks in pick order; free() *ids. */
AP_MUST_USE ap_status ap_book_pick_order(int64_t **ids, size_t *count, ap_book *book, ap_error *err);

#endif
