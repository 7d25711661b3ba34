/* The slings as the company entered them, each change with who, when and why; and their inspections. */
#ifndef AP_BOOK_SLINGS_H
#define AP_BOOK_SLINGS_H

#include "base/sling_entry.h"
#include "book/book.h"
#include "book/entry_change.h"

enum { AP_SLINGS_MAX = 20000, AP_SLING_TAG_MAX = 80, AP_SLING_SOURCE_MAX = 500 };

/* Every sling entered, in order of tag as ap_str_compare_nocase() has it; in `arena`. */
AP_MUST_USE ap_status ap_book_slings(const ap_sling_entry **out, size_t *count, ap_arena *arena, ap_book *book,
                                     ap_error *err);

/* The newest first. */
AP_MUST_USE ap_status ap_book_sling_history(ap_entry_change **out, size_t *count, ap_arena *arena, ap_book *book,
                                            ap_str tag, ap_error *err);

typedef enum ap_sling_field {
    AP_SLING_KIND,   /* value: AP_LEG_KIND_* */
    AP_SLING_WLL,    /* kg */
    AP_SLING_LENGTH, /* m */
    AP_SLING_FACTOR, /* above 0, at most 2 */
    AP_SLING_SOURCE, /* the text alone */
    AP_SLING_FIELDS
} ap_sling_field;

typedef struct ap_sling_edit {
    ap_str tag; /* a sling not entered yet is entered */
    ap_str why;
    const ap_book_author *author;
} ap_sling_edit;

/* Sets one value, SI in `value`, as written in `written`; NaN or an empty text takes it away. All inside a transaction.
 * Errors: AP_E_INPUT for a value out of bounds or a tag that is none. */
AP_MUST_USE ap_status ap_book_sling_set(ap_book *book, const ap_sling_edit *edit, ap_sling_field field, double value,
                                        ap_str written, ap_error *err);
/* Takes a sling out of use from a day on; AP_DATE_NONE takes it back into use. */
AP_MUST_USE ap_status ap_book_sling_retire(ap_book *book, const ap_sling_edit *edit, ap_date on, ap_error *err);
/* It was inspected; edit->why says what was found. */
AP_MUST_USE ap_status ap_book_sling_inspected(ap_book *book, const ap_sling_edit *edit, ap_date on, ap_error *err);

#endif
