/* Every pick in pick order: the order is settled on row numbers, so that memory does not grow with the rows. */
#include "book/handle.h"
#include "book/pick_reader.h"
#include "book/picks.h"

enum { MANY = 20000 }; /* picks that fill the page cache: it is not needed again */

ap_status ap_pick_order_open(ap_query **out, ap_book *book, const ap_pick_filter *filter, ap_error *err) {
    bool of_job = filter && filter->job.ptr;
    ap_status status = ap_query_open(out, book, of_job ? "pick_order_of_job" : "pick_order", err);
    if (status != AP_OK) {
        return status;
    }
    if (of_job) {
        ap_query_bind_text(*out, ":job", filter->job);
    }
    ap_query_bind_date(*out, ":since", filter ? filter->since : AP_DATE_NONE);
    ap_query_bind_date(*out, ":until", filter ? filter->until : AP_DATE_NONE);
    ap_query_bind_int(*out, ":import", filter ? filter->import_id : 0);
    return AP_OK;
}

ap_status ap_book_each_pick(ap_book *book, const ap_pick_filter *filter, ap_pick_fn each, void *context,
                            ap_error *err) {
    ap_query *order = NULL;
    ap_pick_reader reader = {0};
    ap_pick pick;
    bool row = false;
    size_t count = 0;
    /* Pages are mostly read once, and a sort spills what does not fit. */
    ap_status status = ap_book_exec(book, "PRAGMA cache_size = -4096", "read the picks", err);
    if (status == AP_OK) {
        status = ap_pick_reader_open(&reader, book, err);
    }
    if (status == AP_OK) {
        status = ap_pick_order_open(&order, book, filter, err);
    }
    if (status == AP_OK) {
        status = ap_query_step(&row, order, err);
    }
    while (status == AP_OK && row) {
        status = ap_pick_reader_get(&pick, &reader, ap_query_int(order, 0), err);
        count++;
        if (status == AP_OK) {
            status = each(context, &pick, err);
        }
        if (status == AP_OK) {
            status = ap_query_step(&row, order, err);
        }
    }
    ap_query_close(order);
    ap_pick_reader_close(&reader);
    if (count > MANY) {
        ap_book_memory_back(book);
    } else {
        ap_book_cache_as_usual(book);
    }
    return status;
}
