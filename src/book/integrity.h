/* Is the book whole? For `afterpick check`. */
#ifndef AP_BOOK_INTEGRITY_H
#define AP_BOOK_INTEGRITY_H

#include "book/book.h"

/* SQLite's own check of the file, the foreign keys, and what the tables promise each other. One line per trouble is appended to
 * *says, at most 50; *troubles counts them. Reads the whole file. Errors: AP_E_IO, AP_E_MEMORY; trouble in the book is no error. */
AP_MUST_USE ap_status ap_book_check_integrity(int *troubles, ap_buf *says, ap_book *book, ap_error *err);

/* The first two of the three alone: of a book of any version. */
AP_MUST_USE ap_status ap_book_check_file(int *troubles, ap_buf *says, ap_book *book, ap_error *err);

#endif
