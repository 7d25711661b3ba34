/* The cranes as the company entered them, each change with who, when and why. */
#ifndef AP_BOOK_CRANES_H
#define AP_BOOK_CRANES_H

#include "base/crane.h"
#include "book/book.h"
#include "book/entry_change.h"

enum { AP_CRANES_MAX = 2000, AP_CHART_ROWS_MAX = 5000, AP_CALIBRATIONS_MAX = 500, AP_CRANE_NAME_MAX = 120 };

/* Every crane entered, in order of name as ap_str_compare_nocase() has it, with calibrations and chart; in `arena`. */
AP_MUST_USE ap_status ap_book_cranes(const ap_crane **out, size_t *count, ap_arena *arena, ap_book *book,
                                     ap_error *err);

/* A crane that logs name, whatever its case; the spelling is that of most picks. */
typedef struct ap_crane_use {
    ap_str name;
    int64_t picks;
    ap_date first, last;
} ap_crane_use;

/* In order of name; at most AP_CRANES_MAX, the rest is counted in *left_out. */
AP_MUST_USE ap_status ap_book_crane_uses(ap_crane_use **out, size_t *count, size_t *left_out, ap_arena *arena,
                                         ap_book *book, ap_error *err);

/* One change, the newest first. The old load chart is kept whole: its first line says what it was. */
AP_MUST_USE ap_status ap_book_crane_history(ap_entry_change **out, size_t *count, ap_arena *arena, ap_book *book,
                                            ap_str name, ap_error *err);

/* What is changed: the field's name, its value as written for the history, and the reason. */
typedef struct ap_crane_edit {
    ap_str name; /* the crane's; a crane not entered yet is entered */
    ap_str why;
    const ap_book_author *author;
} ap_crane_edit;

typedef enum ap_crane_field { AP_CRANE_BLOCK_WEIGHT, AP_CRANE_WEIGHED_AS, AP_CRANE_BAND } ap_crane_field;

/* Sets one default: SI for block_weight and band, AP_WEIGHED_AS_* for weighed_as; NaN or 0 takes it away. `written` is
 * the value as a person wrote it. All inside a transaction. Errors: AP_E_INPUT for a value out of bounds. */
AP_MUST_USE ap_status ap_book_crane_set(ap_book *book, const ap_crane_edit *edit, ap_crane_field field, double value,
                                        ap_str written, ap_error *err);
/* Enters a calibration, in the place of one of the same day; a factor of NaN takes that day's away (AP_E_NOT_FOUND). */
AP_MUST_USE ap_status ap_book_crane_calibrate(ap_book *book, const ap_crane_edit *edit,
                                              const ap_calibration *calibration, ap_error *err);
/* Puts a chart in the place of the old one. `says` is what the history calls it. No rows: the chart is taken away. */
AP_MUST_USE ap_status ap_book_crane_chart(ap_book *book, const ap_crane_edit *edit, const ap_capacity_row *rows,
                                          size_t count, ap_str says, ap_error *err);

#endif
