#include "book/handle.h"

ap_status ap_book_begin(ap_book *book, ap_error *err) {
    if (ap_book_only_reads(book)) {
        return ap_error_set(err, AP_E_INTERNAL, "'%s' is open for reading only", book->path);
    }
    return ap_book_exec(book, "BEGIN IMMEDIATE", "write", err);
}

ap_status ap_book_begin_read(ap_book *book, ap_error *err) {
    ap_status status = ap_book_exec(book, "BEGIN", "read", err);
    if (status != AP_OK) {
        return status;
    }
    /* BEGIN alone takes no snapshot; the first read does. */
    int64_t version = 0;
    status = ap_book_integer(&version, book, "PRAGMA user_version", 0, err);
    if (status != AP_OK) {
        ap_book_rollback(book);
    }
    return status;
}

ap_status ap_book_commit(ap_book *book, ap_error *err) {
    ap_status status = ap_book_exec(book, "COMMIT", "store the change", err);
    if (status != AP_OK) {
        ap_book_rollback(book);
    }
    return status;
}

void ap_book_rollback(ap_book *book) {
    if (book->db && !sqlite3_get_autocommit(book->db)) {
        /* A rollback that cannot be written leaves the journal, which the next opening plays back. */
        sqlite3_exec(book->db, "ROLLBACK", NULL, NULL, NULL);
    }
}

int64_t ap_book_last_row(const ap_book *book) {
    return sqlite3_last_insert_rowid(book->db);
}

int64_t ap_book_changes(const ap_book *book) {
    return sqlite3_changes64(book->db);
}

void ap_book_check_references(ap_book *book, bool on) {
    sqlite3_db_config(book->db, SQLITE_DBCONFIG_ENABLE_FKEY, on ? 1 : 0, NULL);
}

void ap_book_end_kept_facts(ap_book *book, bool on) {
    sqlite3_db_config(book->db, SQLITE_DBCONFIG_ENABLE_TRIGGER, on ? 1 : 0, NULL);
}

ap_status ap_book_end(ap_book *book, ap_status status, ap_error *err) {
    if (status == AP_OK) {
        status = ap_book_commit(book, err);
    }
    if (status != AP_OK) {
        ap_book_rollback(book);
    }
    return status;
}
