/* A whole copy of a book, page by page, while others may write it. */
#ifndef AP_BOOK_BOOK_COPY_H
#define AP_BOOK_BOOK_COPY_H

#include "book/book.h"

typedef struct ap_book_copy {
    int64_t bytes;
    int64_t pages;
    int64_t picks;
    int version; /* of the book; not brought up to date */
} ap_book_copy;

/* Fills the empty file `draft` with the book, open in AP_BOOK_AS_IS, and reads it back: SQLite's check of the file, its references, its
 * size, the picks. A change that is stored meanwhile is in the copy whole or not at all. Messages call the copy `shown`. It is the caller's
 * to bring the draft to the disk, and to remove it after an error.
 * Errors  AP_E_BUSY: another program held the book for 5 s; AP_E_IO: the draft can not be written, the disk is full; AP_E_BOOK: what was
 *         read back is damaged. */
AP_MUST_USE ap_status ap_book_copy_to(ap_book_copy *out, ap_book *book, const char *draft, const char *shown,
                                      ap_error *err);

#endif
