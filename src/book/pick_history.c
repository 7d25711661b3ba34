#include "book/pick_history.h"

static ap_str keep(ap_arena *arena, const ap_query *query, int column) {
    return ap_arena_str(arena, ap_query_text(query, column));
}

ap_status ap_book_pick_source(ap_pick_source *out, ap_arena *arena, ap_book *book, int64_t pick_id, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_query_open(&query, book, "pick_origin", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":pick", pick_id);
    status = ap_query_step(&row, query, err);
    if (status == AP_OK && !row) {
        status = ap_error_set(err, AP_E_NOT_FOUND, "the pick is not in '%s' any more", ap_book_path(book));
    }
    if (status == AP_OK) {
        *out = (ap_pick_source){.file = keep(arena, query, 0),
                                .sha256 = keep(arena, query, 1),
                                .dialect = keep(arena, query, 2),
                                .date_order = keep(arena, query, 3),
                                .line = ap_query_int(query, 4),
                                .import_id = ap_query_int(query, 5),
                                .imported_on = ap_query_date(query, 6),
                                .imported_by = keep(arena, query, 7)};
        status = ap_arena_check(arena, "a pick's source", err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_pick_cells(int cells[AP_COLUMN_COUNT], ap_book *book, int64_t pick_id, ap_error *err) {
    enum { CELL_MAX = 100000 };
    ap_query *query = NULL;
    bool row = true;
    memset(cells, 0, AP_COLUMN_COUNT * sizeof *cells);
    ap_status status = ap_query_open(&query, book, "pick_cells", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":pick", pick_id);
    while (status == AP_OK && row) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            int column = ap_field_find(ap_query_text(query, 0));
            int64_t cell = ap_query_int(query, 1);
            if (column >= 0 && cell > 0 && cell < CELL_MAX) {
                cells[column] = (int)cell;
            }
        }
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_pick_changes(ap_change_list *out, ap_arena *arena, ap_book *book, ap_str name, ap_error *err) {
    ap_query *query = NULL;
    ap_change_list list = {0};
    size_t cap = 0;
    bool row = true;
    ap_status status = ap_query_open(&query, book, "amendment_list", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_text(query, ":pick", name);
    while (status == AP_OK && row) {
        status = ap_query_step(&row, query, err);
        if (status != AP_OK || !row) {
            break;
        }
        if (list.count == cap) {
            ap_change *larger = ap_arena_alloc_array(arena, cap ? 2 * cap : 8, sizeof *larger);
            if (larger && cap) {
                memcpy(larger, list.items, cap * sizeof *larger);
            }
            list.items = larger;
            cap = cap ? 2 * cap : 8;
        }
        if (list.items) {
            list.items[list.count++] = (ap_change){.field = keep(arena, query, 2),
                                                   .old_value = keep(arena, query, 3),
                                                   .new_value = keep(arena, query, 4),
                                                   .amended_on = ap_query_date(query, 5),
                                                   .who = keep(arena, query, 6),
                                                   .why = keep(arena, query, 7)};
        }
        status = ap_arena_check(arena, "a pick's amendments", err);
    }
    ap_query_close(query);
    if (status == AP_OK) {
        *out = list;
    }
    return status;
}
