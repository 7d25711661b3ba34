#include "book/pick_reader.h"

ap_status ap_pick_reader_open(ap_pick_reader *reader, ap_book *book, ap_error *err) {
    memset(reader, 0, sizeof *reader);
    reader->book = book;
    ap_buf_init(&reader->name, 1 << 20);
    ap_arena_init(&reader->tags, 4 << 20);
    ap_buf sql;
    ap_buf_init(&sql, 1 << 16);
    ap_pick_select_sql(&sql, "WHERE pick.id >= ?1 ORDER BY pick.id");
    ap_status status = ap_buf_check(&sql, "a statement", err);
    if (status == AP_OK) {
        status = ap_book_prepare(&reader->picks, book, ap_buf_str(&sql), err);
    }
    ap_buf_clear(&sql);
    ap_leg_select_sql(&sql, "WHERE pick_id >= ?1 ORDER BY pick_id, leg_no");
    if (status == AP_OK) {
        status = ap_buf_check(&sql, "a statement", err);
    }
    if (status == AP_OK) {
        status = ap_book_prepare(&reader->legs, book, ap_buf_str(&sql), err);
    }
    ap_buf_release(&sql);
    return status;
}

void ap_pick_reader_close(ap_pick_reader *reader) {
    sqlite3_finalize(reader->picks);
    sqlite3_finalize(reader->legs);
    ap_buf_release(&reader->name);
    ap_arena_release(&reader->tags);
    reader->picks = NULL;
    reader->legs = NULL;
}

void ap_pick_reader_rest(ap_pick_reader *reader) {
    sqlite3_reset(reader->picks);
    sqlite3_reset(reader->legs);
    reader->pick_row = false;
    reader->leg_row = false;
}

static int seek(sqlite3_stmt *statement, int64_t id) {
    sqlite3_reset(statement);
    int rc = sqlite3_bind_int64(statement, 1, id);
    return rc == SQLITE_OK ? sqlite3_step(statement) : rc;
}

/* The row behind the one just read is usually the one wanted. */
static int find_pick(ap_pick_reader *reader, int64_t id) {
    int rc = SQLITE_DONE;
    if (reader->pick_row && reader->pick_id + 1 == id) {
        rc = sqlite3_step(reader->picks);
        reader->pick_row = rc == SQLITE_ROW;
    }
    if (!reader->pick_row || reader->pick_id + 1 != id) {
        rc = seek(reader->picks, id);
        reader->pick_row = rc == SQLITE_ROW;
    }
    if (rc != SQLITE_ROW) {
        return rc;
    }
    reader->pick_id = sqlite3_column_int64(reader->picks, 0);
    return reader->pick_id == id ? SQLITE_ROW : SQLITE_DONE;
}

static void keep_texts(ap_pick *pick, int leg, ap_arena *arena) {
    for (int field = 0; field < AP_LF_COUNT; field++) {
        int column = AP_F_COUNT + leg * AP_LF_COUNT + field;
        if (ap_field_get(column)->kind == AP_KIND_TEXT && !ap_pick_field_is_blank(pick, column)) {
            ap_str *text = ap_pick_at(pick, column);
            *text = ap_arena_str(arena, *text);
        }
    }
}

static int read_legs(ap_pick *pick, ap_pick_reader *reader) {
    int rc = SQLITE_ROW;
    ap_arena_clear(&reader->tags);
    if (!reader->leg_row || reader->leg_id != pick->id) {
        rc = seek(reader->legs, pick->id);
        reader->leg_row = rc == SQLITE_ROW;
    }
    while (rc == SQLITE_ROW) {
        reader->leg_id = sqlite3_column_int64(reader->legs, AP_LEG_ROW_PICK_ID);
        if (reader->leg_id != pick->id) {
            return SQLITE_OK;
        }
        int leg = ap_leg_read_row(pick, reader->legs);
        if (leg >= 0) {
            keep_texts(pick, leg, &reader->tags);
        }
        rc = sqlite3_step(reader->legs);
        reader->leg_row = rc == SQLITE_ROW;
    }
    return rc == SQLITE_DONE ? SQLITE_OK : rc;
}

ap_status ap_pick_reader_get(ap_pick *pick, ap_pick_reader *reader, int64_t id, ap_error *err) {
    int rc = find_pick(reader, id);
    if (rc == SQLITE_DONE) {
        return ap_error_set(err, AP_E_NOT_FOUND, "a pick was taken out of '%s' while it was read", reader->book->path);
    }
    if (rc != SQLITE_ROW) {
        return ap_book_error(err, reader->book, rc, "read a pick");
    }
    ap_pick_read_row(pick, &reader->name, reader->picks);
    if (pick->leg_count > 0) {
        rc = read_legs(pick, reader);
        if (rc != SQLITE_OK) {
            return ap_book_error(err, reader->book, rc, "read the legs of a pick");
        }
    }
    ap_pick_read_written(pick, reader->picks);
    if (reader->tags.failed || reader->name.status != AP_OK) {
        return ap_error_set(err, AP_E_MEMORY, "unable to read a pick of '%s': out of memory", reader->book->path);
    }
    return AP_OK;
}
