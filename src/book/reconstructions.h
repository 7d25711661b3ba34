/* Results of the general solver, kept per pick. What is read here is anybody's: derive/reconstruct.h checks it. */
#ifndef AP_BOOK_RECONSTRUCTIONS_H
#define AP_BOOK_RECONSTRUCTIONS_H

#include "book/book.h"

enum { AP_KEPT_VALUES = 19 };

/* values in the order of sql/query/reconstruction_get.sql; NaN = not there. *found false: nothing is kept. */
AP_MUST_USE ap_status ap_book_reconstruction_get(bool *found, uint64_t *fingerprint, double values[AP_KEPT_VALUES],
                                                 ap_book *book, int64_t pick_id, ap_error *err);
/* Inside a transaction. */
AP_MUST_USE ap_status ap_book_reconstruction_put(ap_book *book, int64_t pick_id, uint64_t fingerprint,
                                                 const double values[AP_KEPT_VALUES], ap_error *err);

#endif
