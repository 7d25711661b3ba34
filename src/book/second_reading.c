#include "book/second_reading.h"

/* True when the offered value is one that an amendment replaced: a person has decided about it already. */
static ap_status amended_away(bool *out, ap_book *book, const ap_pick *stored, const ap_pick *offered, int column,
                              ap_error *err) {
    ap_query *query = NULL;
    ap_buf text;
    bool row = false;
    *out = false;
    ap_status status = ap_query_open(&query, book, "amendment_old_values", err);
    if (status != AP_OK) {
        return status;
    }
    ap_buf_init(&text, 1 << 20);
    ap_pick_value_write(&text, offered, column);
    ap_query_bind_int(query, ":pick", stored->id);
    ap_query_bind_text(query, ":field", ap_str_from(ap_field_get(column)->name));
    status = ap_query_step(&row, query, err);
    while (status == AP_OK && row && !*out) {
        if (ap_field_get(column)->kind == AP_KIND_QTY) {
            ap_pick old = *stored;
            *(double *)ap_pick_at(&old, column) = ap_query_real(query, 1);
            ap_str written = ap_query_text(query, 2);
            old.written[column] = ap_written_decode_one(written);
            *out = ap_pick_value_same(&old, offered, column);
        } else {
            *out = ap_str_equal(ap_query_text(query, 0), ap_buf_str(&text));
        }
        status = ap_query_step(&row, query, err);
    }
    ap_buf_release(&text);
    ap_query_close(query);
    return status;
}

static ap_status value_differs(bool *out, ap_book *book, const ap_pick *stored, const ap_pick *offered, int column,
                               ap_error *err) {
    *out = false;
    if (ap_pick_field_is_blank(offered, column) || ap_pick_value_same(stored, offered, column)) {
        return AP_OK;
    }
    bool known = false;
    ap_status status = amended_away(&known, book, stored, offered, column, err);
    *out = !known;
    return status;
}

static ap_status keep_reading(int64_t *id, ap_book *book, const ap_pick *stored, const ap_origin *origin,
                              ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "conflict_insert", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":pick", stored->id);
    ap_query_bind_text(query, ":name", stored->name);
    ap_query_bind_int(query, ":file", origin->file_id);
    ap_query_bind_int(query, ":line", origin->line);
    ap_query_bind_text(query, ":raw", origin->raw.ptr ? origin->raw : AP_STR_LIT(""));
    status = ap_query_run(query, err);
    ap_query_close(query);
    *id = ap_book_last_row(book);
    return status;
}

static ap_status keep_value(ap_book *book, int64_t conflict, const ap_pick *stored, const ap_pick *offered, int column,
                            ap_error *err) {
    ap_query *query = NULL;
    ap_buf old;
    ap_buf new;
    ap_status status = ap_query_open(&query, book, "conflict_value_insert", err);
    if (status != AP_OK) {
        return status;
    }
    ap_buf_init(&old, 1 << 22);
    ap_buf_init(&new, 1 << 22);
    ap_pick_value_write(&old, stored, column);
    ap_pick_value_write(&new, offered, column);
    ap_query_bind_int(query, ":conflict", conflict);
    ap_query_bind_text(query, ":field", ap_str_from(ap_field_get(column)->name));
    ap_query_bind_text(query, ":stored", ap_buf_str(&old));
    ap_query_bind_text(query, ":offered", ap_buf_str(&new));
    status = ap_query_run(query, err);
    ap_query_close(query);
    ap_buf_release(&old);
    ap_buf_release(&new);
    return status;
}

ap_status ap_second_reading(int *differs, ap_book *book, const ap_pick *stored, const ap_pick *offered,
                            const ap_origin *origin, ap_error *err) {
    int64_t conflict = 0;
    *differs = -1;
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        bool other = false;
        ap_status status = value_differs(&other, book, stored, offered, column, err);
        if (status == AP_OK && other && *differs < 0) {
            *differs = column;
            status = keep_reading(&conflict, book, stored, origin, err);
        }
        if (status == AP_OK && other) {
            status = keep_value(book, conflict, stored, offered, column, err);
        }
        if (status != AP_OK) {
            return status;
        }
    }
    return AP_OK;
}
