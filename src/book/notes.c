#include "book/notes.h"

#include "book/handle.h"

ap_status ap_book_each_note(ap_book *book, ap_date since, ap_date until, ap_note_fn each, void *context,
                            ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_query_open(&query, book, "note_list", err);
    if (status == AP_OK) {
        ap_query_bind_date(query, ":since", since);
        ap_query_bind_date(query, ":until", until);
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row) {
        const ap_note note = {ap_query_text(query, 0), ap_query_date(query, 1), ap_query_text(query, 2)};
        status = each(context, &note, err);
        if (status == AP_OK) {
            status = ap_query_step(&row, query, err);
        }
    }
    ap_query_close(query);
    ap_book_memory_back(book);
    return status;
}
