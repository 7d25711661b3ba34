/* What people amended in another book, kept with the picks that are taken from it. */
#ifndef AP_BOOK_MERGE_AMENDMENTS_H
#define AP_BOOK_MERGE_AMENDMENTS_H

#include "book/book.h"

/* The picks of `other` were just stored with their amended values, by the newest import: each amendment of such a pick is written
 * down here too, with its day, its reason and who made it, "foreman (north.book)". So the pick's history is whole, and a log with a
 * value that was amended away says nothing new. A pick that this book held before keeps its own history. Inside the import's transaction.
 * *count gets how many. */
AP_MUST_USE ap_status ap_book_merge_amendments(int64_t *count, ap_book *book, ap_book *other, ap_str name,
                                               ap_error *err);

#endif
