#include "book/problems.h"

#include "base/pick.h"
#include "book/handle.h"

/* The query's text of a column, kept. */
static ap_str keep(ap_arena *arena, const ap_query *query, int column) {
    return ap_arena_str(arena, ap_query_text(query, column));
}

/* Room for one more item in an array that doubles; the old one stays in the arena until it goes. */
static void *grow(ap_arena *arena, void *items, size_t count, size_t size) {
    bool full = count == 0 || (count & (count - 1)) == 0;
    if (!full) {
        return items;
    }
    void *larger = ap_arena_alloc_array(arena, count ? 2 * count : 1, size);
    if (larger && count) {
        memcpy(larger, items, count * size);
    }
    return larger;
}

static void read_aside(ap_aside *out, ap_arena *arena, const ap_query *query) {
    *out = (ap_aside){.id = ap_query_int(query, 0),
                      .import_id = ap_query_int(query, 1),
                      .file_id = ap_query_int(query, 2),
                      .file = keep(arena, query, 3),
                      .line = ap_query_int(query, 4),
                      .column = (int)ap_query_int(query, 5),
                      .field = keep(arena, query, 6),
                      .text = keep(arena, query, 7),
                      .reason = keep(arena, query, 8),
                      .remedy = keep(arena, query, 9),
                      .raw = keep(arena, query, 10),
                      .imported_on = ap_query_date(query, 11),
                      .dialect = keep(arena, query, 12),
                      .date_order = keep(arena, query, 13),
                      .job_column = (int)ap_query_int(query, 14),
                      .pick_column = (int)ap_query_int(query, 15),
                      .date_column = (int)ap_query_int(query, 16),
                      .dropped_on = ap_query_date(query, 17),
                      .dropped_by = keep(arena, query, 18),
                      .dropped_why = keep(arena, query, 19)};
}

ap_status ap_book_asides(ap_aside_list *out, ap_arena *arena, ap_book *book, bool all, ap_error *err) {
    ap_query *query = NULL;
    ap_aside_list list = {0};
    ap_status status = ap_query_open(&query, book, "problem_set_aside", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":all", all);
    bool row = true;
    while (status == AP_OK && row) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            list.items = grow(arena, list.items, list.count, sizeof *list.items);
            if (list.items) {
                read_aside(&list.items[list.count++], arena, query);
            }
            status = ap_arena_check(arena, "the rows set aside", err);
        }
    }
    ap_query_close(query);
    if (status == AP_OK) {
        *out = list;
    }
    return status;
}

ap_status ap_book_stored_since(ap_str *name, ap_arena *arena, ap_book *book, int64_t file_id, ap_str job, ap_str pick,
                               ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    *name = AP_STR_NONE;
    ap_status status = ap_query_open(&query, book, "problem_stored_since", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_text(query, ":job", job);
    ap_query_bind_text(query, ":pick", pick);
    ap_query_bind_int(query, ":file", file_id);
    status = ap_query_step(&row, query, err);
    if (status == AP_OK && row) {
        ap_str part = ap_query_text(query, 1);
        ap_str job_name = ap_query_text(query, 0);
        ap_str number = ap_query_text(query, 2);
        *name = ap_arena_printf(arena, "%.*s/%.*s%s%.*s", AP_STR_ARG(job_name), AP_STR_ARG(part), part.len ? "/" : "",
                                AP_STR_ARG(number));
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_aside_drop(ap_book *book, int64_t id, ap_str why, const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "problem_drop", err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":id", id);
    ap_query_bind_date(query, ":today", author->today);
    ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
    ap_query_bind_text(query, ":why", why);
    status = ap_query_run(query, err);
    ap_query_close(query);
    return status;
}

static void read_conflict(ap_conflict *out, ap_arena *arena, const ap_query *query) {
    *out = (ap_conflict){.id = ap_query_int(query, 0),
                         .pick_id = ap_query_int(query, 1),
                         .pick = keep(arena, query, 2),
                         .date = ap_query_date(query, 3),
                         .stored_file = keep(arena, query, 4),
                         .stored_line = ap_query_int(query, 5),
                         .file = keep(arena, query, 6),
                         .line = ap_query_int(query, 7),
                         .open = ap_str_equal_word(ap_query_text(query, 8), "open"),
                         .decided_on = ap_query_date(query, 9),
                         .decided_by = keep(arena, query, 10),
                         .decided_why = keep(arena, query, 11),
                         .import_id = ap_query_int(query, 15)};
}

/* Keeps the values in the order of a log's columns. */
static void add_value(ap_conflict *conflict, ap_arena *arena, const ap_query *query) {
    conflict->values = grow(arena, conflict->values, conflict->value_count, sizeof *conflict->values);
    if (!conflict->values) {
        return;
    }
    const ap_conflict_value value = {keep(arena, query, 12), keep(arena, query, 13), keep(arena, query, 14)};
    size_t at = conflict->value_count++;
    while (at > 0 && ap_field_find(value.field) < ap_field_find(conflict->values[at - 1].field)) {
        conflict->values[at] = conflict->values[at - 1];
        at--;
    }
    conflict->values[at] = value;
}

ap_status ap_book_conflicts(ap_conflict_list *out, ap_arena *arena, ap_book *book, const ap_conflict_filter *filter,
                            ap_error *err) {
    ap_query *query = NULL;
    ap_conflict_list list = {0};
    ap_status status = ap_query_open(&query, book, "problem_conflicts", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":all", filter->all);
    ap_query_bind_int(query, ":pick", filter->pick_id);
    ap_query_bind_date(query, ":since", filter->since);
    ap_query_bind_date(query, ":until", filter->until);
    bool row = true;
    while (status == AP_OK && row) {
        status = ap_query_step(&row, query, err);
        if (status != AP_OK || !row) {
            break;
        }
        if (list.count == 0 || list.items[list.count - 1].id != ap_query_int(query, 0)) {
            list.items = grow(arena, list.items, list.count, sizeof *list.items);
            if (list.items) {
                read_conflict(&list.items[list.count++], arena, query);
            }
        }
        status = ap_arena_check(arena, "the conflicts", err);
        if (status == AP_OK) {
            add_value(&list.items[list.count - 1], arena, query);
            status = ap_arena_check(arena, "the conflicts", err);
        }
    }
    ap_query_close(query);
    if (status == AP_OK) {
        *out = list;
    }
    return status;
}
