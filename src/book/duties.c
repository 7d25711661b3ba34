#include "book/duties.h"

enum { DUTIES_MAX = 100 };

ap_status ap_book_duties(ap_duty **out, size_t *count, ap_arena *arena, ap_book *book, ap_str jurisdiction,
                         ap_error *err) {
    ap_query *query = NULL;
    *count = 0;
    *out = ap_arena_alloc_array(arena, DUTIES_MAX, sizeof **out);
    if (!*out) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the duties after harm");
    }
    ap_status status = ap_query_open(&query, book, "duty_list", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":jurisdiction", jurisdiction);
    }
    for (bool row = true; status == AP_OK && row && *count < DUTIES_MAX;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            (*out)[(*count)++] = (ap_duty){.says = ap_arena_str(arena, ap_query_text(query, 0)),
                                           .hours = (int)ap_query_int(query, 1),
                                           .days = (int)ap_query_int(query, 2),
                                           .source = ap_arena_str(arena, ap_query_text(query, 3))};
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the duties after harm", err) : status;
}
