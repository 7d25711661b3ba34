/* Row numbers of picks in pick order, settled in memory. Private to this room. */
#ifndef AP_BOOK_PICK_SORT_H
#define AP_BOOK_PICK_SORT_H

#include "book/picks.h"

typedef struct ap_pick_sorted {
    int64_t *ids;
    size_t count;
} ap_pick_sorted;

/* The order of ap_pick_order_open(), for a filter that names neither job nor import in a third of its time: logs are
 * mostly in order already, which a sort in SQL does not use. Some 60 bytes a pick while it works, 8 once it returns.
 * Whatever it is not sure to compare as SQL does (a date or time that is not written as one, a pick whose job is not
 * there, another filter) it leaves to the query. Release also after an error. */
AP_MUST_USE ap_status ap_pick_sort(ap_pick_sorted *out, ap_book *book, const ap_pick_filter *filter, ap_error *err);
void ap_pick_sorted_release(ap_pick_sorted *sorted);

#endif
