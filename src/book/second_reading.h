/* A pick that is offered again: the same, or a conflict for a person. Private to this room. */
#ifndef AP_BOOK_SECOND_READING_H
#define AP_BOOK_SECOND_READING_H

#include "book/pick_columns.h"
#include "book/picks.h"

/* *differs = -1 when `offered` says nothing the book does not know; else the first differing column, and the whole reading is kept
 * in conflict and conflict_value. A blank cell says nothing. A value that a person amended away is known too. */
AP_MUST_USE ap_status ap_second_reading(int *differs, ap_book *book, const ap_pick *stored, const ap_pick *offered,
                                        const ap_origin *origin, ap_error *err);

#endif
