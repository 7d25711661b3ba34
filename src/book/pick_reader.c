#include "book/pick_reader.h"

ap_status ap_pick_reader_open(ap_pick_reader *reader, ap_book *book, ap_error *err) {
    memset(reader, 0, sizeof *reader);
    reader->book = book;
    ap_columns_init(&reader->columns);
    ap_buf_init(&reader->name, 1 << 20);
    ap_buf sql;
    ap_buf_init(&sql, 1 << 16);
    ap_pick_select_sql(&sql, "WHERE pick.id >= ?1 ORDER BY pick.id");
    ap_status status = ap_buf_check(&sql, "a statement", err);
    if (status == AP_OK) {
        status = ap_book_prepare(&reader->picks, book, ap_buf_str(&sql), err);
    }
    ap_buf_release(&sql);
    return status;
}

void ap_pick_reader_close(ap_pick_reader *reader) {
    sqlite3_finalize(reader->picks);
    ap_buf_release(&reader->name);
    reader->picks = NULL;
}

void ap_pick_reader_rest(ap_pick_reader *reader) {
    sqlite3_reset(reader->picks);
    reader->on_row = false;
}

static int seek(ap_pick_reader *reader, int64_t id) {
    sqlite3_reset(reader->picks);
    int rc = sqlite3_bind_int64(reader->picks, 1, id);
    return rc == SQLITE_OK ? sqlite3_step(reader->picks) : rc;
}

/* The row behind the one just read is usually the one wanted. */
static int find_pick(ap_pick_reader *reader, int64_t id) {
    bool next = reader->on_row && reader->id + 1 == id;
    int rc = next ? sqlite3_step(reader->picks) : seek(reader, id);
    reader->on_row = rc == SQLITE_ROW;
    if (rc != SQLITE_ROW) {
        return rc;
    }
    reader->id = sqlite3_column_int64(reader->picks, 0);
    return reader->id == id ? SQLITE_ROW : SQLITE_DONE;
}

ap_status ap_pick_reader_get(ap_pick *pick, ap_pick_reader *reader, int64_t id, ap_error *err) {
    int rc = find_pick(reader, id);
    if (rc == SQLITE_DONE) {
        return ap_error_set(err, AP_E_NOT_FOUND, "a pick was taken out of '%s' while it was read", reader->book->path);
    }
    if (rc != SQLITE_ROW) {
        return ap_book_error(err, reader->book, rc, "read a pick");
    }
    ap_pick_read_row(pick, &reader->name, &reader->columns, reader->picks);
    return ap_buf_check(&reader->name, "the name of a pick", err);
}
