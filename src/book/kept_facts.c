#include "book/kept_facts.h"

#include "book/pick_reader.h"
#include "book/pick_sort.h"

enum { TRIGGERS = 9 };

/* Eight bytes at a time in four lanes: a million picks are some sixty megabytes. Finds what a disk did, not what a person did. */
static int64_t checksum(ap_str bytes) {
    static const uint64_t odd = UINT64_C(0x9e3779b97f4a7c15);
    uint64_t lanes[4] = {1, 2, 3, bytes.len};
    size_t at = 0;
    for (; at + 32 <= bytes.len; at += 32) {
        for (size_t lane = 0; lane < 4; lane++) {
            uint64_t eight;
            memcpy(&eight, bytes.ptr + at + 8 * lane, sizeof eight);
            lanes[lane] = (lanes[lane] ^ eight) * odd;
            lanes[lane] ^= lanes[lane] >> 29;
        }
    }
    for (; at < bytes.len; at++) {
        lanes[at % 4] = (lanes[at % 4] ^ (unsigned char)bytes.ptr[at]) * odd;
    }
    uint64_t all = 0;
    for (size_t lane = 0; lane < 4; lane++) {
        all = (all ^ lanes[lane]) * odd;
        all ^= all >> 32;
    }
    int64_t sum = 0;
    memcpy(&sum, &all, sizeof sum);
    return sum;
}

ap_status ap_book_kept_state(ap_kept_state *out, ap_book *book, int64_t before, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    *out = (ap_kept_state){0};
    ap_status status = ap_query_open(&query, book, "kept_facts_head", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":before", before);
        status = ap_query_step(&row, query, err);
    }
    if (status == AP_OK && row) {
        ap_str company = ap_query_text(query, 4);
        ap_kept_head *head = &out->head;
        *head = (ap_kept_head){.method = ap_query_int(query, 3),
                               .picks = ap_query_int(query, 5),
                               .last_pick = ap_query_int(query, 6),
                               .last_date = ap_query_date(query, 7),
                               .chunks = ap_query_int(query, 8),
                               .order = (ap_kept_order)ap_query_int(query, 9)};
        out->picks = ap_query_int(query, 1);
        out->in_force = company.len == AP_KEPT_COMPANY_SIZE && head->last_pick == ap_query_int(query, 0) &&
                        head->picks == out->picks && ap_query_int(query, 2) == TRIGGERS;
        if (out->in_force) {
            memcpy(head->company, company.ptr, sizeof head->company);
        }
    }
    ap_query_close(query);
    return status;
}

static int bind_bytes(sqlite3_stmt *statement, int at, ap_str bytes) {
    return bytes.ptr ? sqlite3_bind_blob64(statement, at, bytes.ptr, bytes.len, SQLITE_STATIC)
                     : sqlite3_bind_null(statement, at);
}

static ap_status run_once(sqlite3_stmt *statement, int rc, ap_book *book, ap_error *err) {
    rc = rc == SQLITE_OK ? sqlite3_step(statement) : rc;
    ap_status status = rc == SQLITE_DONE ? AP_OK : ap_book_error(err, book, rc, "keep what the picks come to");
    sqlite3_finalize(statement);
    return status;
}

ap_status ap_book_kept_put_head(ap_book *book, const ap_kept_head *head, ap_str places, ap_error *err) {
    sqlite3_stmt *put = NULL;
    char date[AP_ISO_SIZE];
    ap_str sql = AP_STR_NONE;
    ap_date_to_iso(date, head->last_date);
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_asset_get(&sql, &book->texts, "sql/query/kept_facts_head_put.sql", err);
    }
    if (status == AP_OK) {
        status = ap_book_prepare(&put, book, sql, err);
    }
    if (status != AP_OK) {
        return status;
    }
    int rc = sqlite3_bind_int64(put, 1, head->method);
    rc = rc == SQLITE_OK ? bind_bytes(put, 2, (ap_str){(const char *)head->company, sizeof head->company}) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(put, 3, head->picks) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(put, 4, head->last_pick) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_text(put, 5, date, -1, SQLITE_STATIC) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(put, 6, head->chunks) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(put, 7, (int64_t)head->order) : rc;
    rc = rc == SQLITE_OK ? bind_bytes(put, 8, places) : rc;
    return run_once(put, rc, book, err);
}

ap_status ap_book_kept_put(ap_book *book, ap_kept_part part, int64_t chunk, int64_t picks, ap_str bytes,
                           ap_error *err) {
    static const char sql[] =
        "INSERT OR REPLACE INTO kept_facts_part (part, chunk, picks, checksum, bytes) VALUES (?1, ?2, ?3, ?4, ?5)";
    sqlite3_stmt *put = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_book_prepare(&put, book, AP_STR_LIT(sql), err);
    }
    if (status != AP_OK) {
        return status;
    }
    int rc = sqlite3_bind_int(put, 1, (int)part);
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(put, 2, chunk) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(put, 3, picks) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(put, 4, checksum(bytes)) : rc;
    rc = rc == SQLITE_OK ? bind_bytes(put, 5, bytes) : rc;
    return run_once(put, rc, book, err);
}

ap_status ap_book_kept_drop(ap_book *book, ap_error *err) {
    ap_status status = ap_book_need_transaction(book, err);
    return status == AP_OK ? ap_book_exec(book, "DELETE FROM kept_facts; DELETE FROM kept_facts_part",
                                          "let go of what the picks came to", err)
                           : status;
}

static ap_status damaged(ap_book *book, ap_error *err) {
    return ap_error_set(err, AP_E_BOOK, "what '%s' keeps of its picks is damaged", book->path);
}

static ap_str column_bytes(sqlite3_stmt *statement, int column) {
    const char *bytes = sqlite3_column_blob(statement, column);
    return (ap_str){bytes ? bytes : "", bytes ? (size_t)sqlite3_column_bytes(statement, column) : 0};
}

ap_status ap_book_kept_each(ap_book *book, ap_kept_part part, ap_kept_fn each, void *context, ap_error *err) {
    static const char sql[] =
        "SELECT chunk, picks, checksum, bytes FROM kept_facts_part WHERE part = ?1 ORDER BY chunk";
    sqlite3_stmt *parts = NULL;
    ap_status status = ap_book_prepare(&parts, book, AP_STR_LIT(sql), err);
    int rc = status == AP_OK ? sqlite3_bind_int(parts, 1, (int)part) : SQLITE_DONE;
    rc = rc == SQLITE_OK ? sqlite3_step(parts) : rc;
    for (int64_t chunk = 0; status == AP_OK && rc == SQLITE_ROW; chunk++) {
        ap_str bytes = column_bytes(parts, 3);
        chunk = part == AP_KEPT_WAYS ? sqlite3_column_int64(parts, 0) : chunk;
        bool whole = sqlite3_column_int64(parts, 0) == chunk && sqlite3_column_int64(parts, 2) == checksum(bytes);
        status = whole ? each(context, chunk, sqlite3_column_int64(parts, 1), bytes, err) : damaged(book, err);
        rc = status == AP_OK ? sqlite3_step(parts) : rc;
    }
    if (status == AP_OK && rc != SQLITE_DONE) {
        status = ap_book_error(err, book, rc, "read what the picks came to");
    }
    sqlite3_finalize(parts);
    return status;
}

ap_status ap_book_kept_places(ap_kept_fn take, void *context, ap_book *book, ap_error *err) {
    static const char sql[] = "SELECT picks, positions FROM kept_facts WHERE positions IS NOT NULL";
    sqlite3_stmt *head = NULL;
    ap_status status = ap_book_prepare(&head, book, AP_STR_LIT(sql), err);
    if (status == AP_OK) {
        int rc = sqlite3_step(head);
        status = rc == SQLITE_ROW ? take(context, 0, sqlite3_column_int64(head, 0), column_bytes(head, 1), err)
                                  : damaged(book, err);
    }
    sqlite3_finalize(head);
    return status;
}

bool ap_book_kept_look(ap_book *book) {
    ap_error err;
    sqlite3_exec(book->db, "PRAGMA cache_size = -1024", NULL, NULL, NULL); /* each page is read once; a wish */
    return sqlite3_get_autocommit(book->db) && ap_book_begin_read(book, &err) == AP_OK;
}

void ap_book_kept_looked(ap_book *book, bool began) {
    if (began) {
        ap_book_rollback(book);
    }
    ap_book_memory_back(book);
}

bool ap_book_kept_begin(ap_book *book) {
    if (!sqlite3_get_autocommit(book->db) || sqlite3_db_readonly(book->db, "main") != 0) {
        return false;
    }
    sqlite3_busy_timeout(book->db, 0);
    bool open = sqlite3_exec(book->db, "PRAGMA query_only = OFF; BEGIN IMMEDIATE", NULL, NULL, NULL) == SQLITE_OK;
    return open || ap_book_kept_end(book, AP_E_BUSY);
}

bool ap_book_kept_end(ap_book *book, ap_status status) {
    bool stored = status == AP_OK && sqlite3_exec(book->db, "COMMIT", NULL, NULL, NULL) == SQLITE_OK;
    ap_book_rollback(book);
    if (ap_book_only_reads(book)) {
        sqlite3_exec(book->db, "PRAGMA query_only = ON", NULL, NULL, NULL);
    }
    ap_book_wait_as_usual(book);
    return stored;
}

ap_status ap_book_each_pick_by_row(ap_book *book, int64_t first, int64_t last, ap_pick_fn each, void *context,
                                   ap_error *err) {
    ap_pick_reader reader;
    ap_pick pick;
    ap_status status = ap_pick_reader_open(&reader, book, err);
    int rc = status == AP_OK ? sqlite3_bind_int64(reader.picks, 1, first) : SQLITE_DONE;
    rc = rc == SQLITE_OK ? sqlite3_step(reader.picks) : rc;
    while (status == AP_OK && rc == SQLITE_ROW) {
        ap_pick_read_row(&pick, &reader.name, &reader.columns, reader.picks);
        if (pick.id > last) {
            rc = SQLITE_DONE;
            break;
        }
        status = ap_buf_check(&reader.name, "the name of a pick", err);
        if (status == AP_OK) {
            status = each(context, &pick, err);
        }
        rc = status == AP_OK ? sqlite3_step(reader.picks) : rc;
    }
    if (status == AP_OK && rc != SQLITE_DONE) {
        status = ap_book_error(err, book, rc, "read the picks");
    }
    ap_pick_reader_close(&reader);
    return status;
}

ap_status ap_book_pick_order(int64_t **ids, size_t *count, ap_book *book, ap_error *err) {
    const ap_pick_filter all = {.since = AP_DATE_NONE, .until = AP_DATE_NONE};
    ap_pick_sorted sorted = {0};
    ap_status status = ap_pick_sort(&sorted, book, &all, err);
    if (status != AP_OK) {
        ap_pick_sorted_release(&sorted);
    }
    *ids = sorted.ids;
    *count = sorted.count;
    return status;
}
