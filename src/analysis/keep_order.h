/* Pick order of what is kept: settled by the import from what it has in hand where that is enough, else by the book's own sort.
 *
 * A date, a time, the job and, where these are the same, that the picks came one behind the other in natural order: more is not
 * looked at here. Whatever that leaves open (times for some picks only, the same day in an earlier import) is left to the first
 * reader. Private to what is kept of the picks. */
#ifndef AP_ANALYSIS_KEEP_ORDER_H
#define AP_ANALYSIS_KEEP_ORDER_H

#include "book/kept_facts.h"

typedef struct ap_keep_order {
    ap_kept_head kept; /* what was in force before the first pick came */
    uint64_t *keys;    /* of each pick: day, time, job; the lowest bit: begins a run */
    size_t count;
    size_t room;
    ap_date first; /* earliest day */
    bool timed, blank, unsure;
    ap_buf before; /* the number of the pick before, as logged */
    ap_buf orders[2];
} ap_keep_order;

/* `job` is the number of the job's text. False when memory is out. */
bool ap_keep_order_add(ap_keep_order *order, const ap_pick *pick, uint32_t job);
/* Sets head->order; places, four bytes each, where row order is not pick order. */
AP_MUST_USE ap_status ap_keep_order_settle(ap_kept_head *head, ap_buf *places, ap_keep_order *order,
                                           const ap_intern *jobs, ap_book *book, ap_error *err);
void ap_keep_order_release(ap_keep_order *order);

/* The same by the book's own sort; all picks of the book. */
AP_MUST_USE ap_status ap_keep_order_read(ap_kept_head *head, ap_buf *places, ap_book *book, ap_error *err);
/* Four bytes of a place. */
static inline uint32_t ap_keep_order_place(ap_str places, size_t at) {
    const unsigned char *bytes = (const unsigned char *)places.ptr + 4 * at;
    return (uint32_t)bytes[0] | (uint32_t)bytes[1] << 8 | (uint32_t)bytes[2] << 16 | (uint32_t)bytes[3] << 24;
}

#endif
