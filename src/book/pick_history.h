/* Where one pick came from and what was changed in it. */
#ifndef AP_BOOK_PICK_HISTORY_H
#define AP_BOOK_PICK_HISTORY_H

#include "base/pick.h"
#include "book/book.h"

typedef struct ap_pick_source {
    ap_str file; /* the log's name as given */
    ap_str sha256;
    ap_str dialect;
    ap_str date_order;
    int64_t line;
    int64_t import_id;
    ap_date imported_on;
    ap_str imported_by; /* role, "" when not given */
} ap_pick_source;

typedef struct ap_change {
    ap_str field;     /* canonical name */
    ap_str old_value; /* as it was written; none = not recorded */
    ap_str new_value;
    ap_date amended_on;
    ap_str who; /* role, "" when not given */
    ap_str why;
} ap_change;

typedef struct ap_change_list {
    ap_change *items; /* in the order they were made */
    size_t count;
} ap_change_list;

/* Texts are copied into `arena`. AP_E_NOT_FOUND when the pick is gone. */
AP_MUST_USE ap_status ap_book_pick_source(ap_pick_source *out, ap_arena *arena, ap_book *book, int64_t pick_id,
                                          ap_error *err);
/* cells[column of the field table] = the cell of its row that the field was read from, from 1; 0 where the log has no such
 * cell (a constant of its profile, one cell read as two fields). */
AP_MUST_USE ap_status ap_book_pick_cells(int cells[AP_COLUMN_COUNT], ap_book *book, int64_t pick_id, ap_error *err);
/* The amendments of a pick by its name: those made before it was taken out and imported again are there too. */
AP_MUST_USE ap_status ap_book_pick_changes(ap_change_list *out, ap_arena *arena, ap_book *book, ap_str name,
                                           ap_error *err);

#endif
