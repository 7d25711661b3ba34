/* The cranes as the company entered them, each change with who, when and why. */
#ifndef AP_BOOK_CRANES_H
#define AP_BOOK_CRANES_H

#include "base/crane.h"
#include "book/book.h"

enum { AP_CRANES_MAX = 2000, AP_CHART_ROWS_MAX = 5000, AP_CALIBRATIONS_MAX = 500 };

/* Every crane entered, in order of name as ap_crane_name_compare() has it, with calibrations and chart; in `arena`. */
AP_MUST_USE ap_status ap_book_cranes(const ap_crane **out, size_t *count, ap_arena *arena, ap_book *book,
                                     ap_error *err);

#endif
