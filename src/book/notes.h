/* The notes of picks, read in a narrow pass of their own: the roster does not keep them. */
#ifndef AP_BOOK_NOTES_H
#define AP_BOOK_NOTES_H

#include "book/book.h"

typedef struct ap_note {
    ap_str pick; /* "J231/17" */
    ap_date date;
    ap_str text;
} ap_note;

/* Called once per note; the texts live until the call returns. Return AP_OK to go on. */
typedef ap_status (*ap_note_fn)(void *context, const ap_note *note, ap_error *err);

/* Every note of a pick dated since..until (either may be AP_DATE_NONE) that its log does not call a near miss; in no
 * particular order. */
AP_MUST_USE ap_status ap_book_each_note(ap_book *book, ap_date since, ap_date until, ap_note_fn each, void *context,
                                        ap_error *err);

#endif
