/* Picks by row number, fast when the numbers ascend. Private to this room. */
#ifndef AP_BOOK_PICK_READER_H
#define AP_BOOK_PICK_READER_H

#include "book/pick_columns.h"
#include "book/picks.h"

typedef struct ap_pick_reader {
    ap_book *book;
    sqlite3_stmt *picks; /* ordered by id, from an id on */
    bool on_row;
    int64_t id; /* of the row it stands on */
    ap_buf name;
    ap_columns columns;
} ap_pick_reader;

AP_MUST_USE ap_status ap_pick_reader_open(ap_pick_reader *reader, ap_book *book, ap_error *err);
void ap_pick_reader_close(ap_pick_reader *reader);
/* Texts of *pick live until the next call. AP_E_NOT_FOUND when the row is gone. */
AP_MUST_USE ap_status ap_pick_reader_get(ap_pick *pick, ap_pick_reader *reader, int64_t id, ap_error *err);
/* Ends the read so that the table may be changed. */
void ap_pick_reader_rest(ap_pick_reader *reader);

/* Row numbers in pick order, as column 0. */
AP_MUST_USE ap_status ap_pick_order_open(ap_query **out, ap_book *book, const ap_pick_filter *filter, ap_error *err);

#endif
