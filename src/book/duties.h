/* What the law asks for when somebody was hurt or something was damaged, by jurisdiction: rows of the book with their source. */
#ifndef AP_BOOK_DUTIES_H
#define AP_BOOK_DUTIES_H

#include "book/book.h"

typedef struct ap_duty {
    ap_str says;
    int hours; /* within so many hours; 0 = days or no date */
    int days;  /* within so many calendar days; 0 = hours or no date */
    ap_str source;
} ap_duty;

/* In order. None for a jurisdiction that has no rows. Everything lives in the arena. */
AP_MUST_USE ap_status ap_book_duties(ap_duty **out, size_t *count, ap_arena *arena, ap_book *book, ap_str jurisdiction,
                                     ap_error *err);

#endif
