#include "book/handle.h"

static ap_status status_of(int rc) {
    switch (rc & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return AP_E_BUSY;
    case SQLITE_NOMEM:
        return AP_E_MEMORY;
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return AP_E_BOOK;
    case SQLITE_FULL:
    case SQLITE_IOERR:
    case SQLITE_CANTOPEN:
    case SQLITE_READONLY:
    case SQLITE_PERM:
        return AP_E_IO;
    case SQLITE_CONSTRAINT:
        return AP_E_DOMAIN;
    case SQLITE_TOOBIG:
        return AP_E_LIMIT;
    default:
        return AP_E_INTERNAL;
    }
}

ap_status ap_book_error(ap_error *err, const ap_book *book, int rc, const char *doing) {
    ap_status status = status_of(rc);
    const char *path = book->path;
    switch (rc & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return ap_error_set(err, status,
                            "unable to %s in '%s': another program is using the book; try again when it is done", doing,
                            path);
    case SQLITE_FULL:
        return ap_error_set(err, status, "unable to %s in '%s': the disk is full; the book is as it was before", doing,
                            path);
    case SQLITE_READONLY:
    case SQLITE_PERM:
        return ap_error_set(err, status, "unable to %s in '%s': the file or its folder may not be written", doing,
                            path);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return ap_error_set(err, status, "unable to %s in '%s': the book is damaged (%s); take the last backup", doing,
                            path, sqlite3_errmsg(book->db));
    default:
        return ap_error_set(err, status, "unable to %s in '%s': %s", doing, path, sqlite3_errmsg(book->db));
    }
}

ap_status ap_book_exec(ap_book *book, const char *sql, const char *doing, ap_error *err) {
    int rc = sqlite3_exec(book->db, sql, NULL, NULL, NULL);
    return rc == SQLITE_OK ? AP_OK : ap_book_error(err, book, rc, doing);
}

ap_status ap_book_prepare(sqlite3_stmt **out, ap_book *book, ap_str sql, ap_error *err) {
    *out = NULL;
    if (sql.len > INT32_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "a statement is too long");
    }
    const char *rest = NULL;
    int rc = sqlite3_prepare_v3(book->db, sql.ptr, (int)sql.len, SQLITE_PREPARE_PERSISTENT, out, &rest);
    if (rc != SQLITE_OK) {
        return ap_book_error(err, book, rc, "prepare a statement");
    }
    if (!*out) {
        return ap_error_set(err, AP_E_INTERNAL, "a statement is empty");
    }
    return AP_OK;
}

ap_status ap_book_integer(int64_t *out, ap_book *book, const char *sql, int64_t fallback, ap_error *err) {
    sqlite3_stmt *statement = NULL;
    ap_status status = ap_book_prepare(&statement, book, ap_str_from(sql), err);
    if (status != AP_OK) {
        return status;
    }
    int rc = sqlite3_step(statement);
    int64_t value = rc == SQLITE_ROW ? sqlite3_column_int64(statement, 0) : fallback;
    if (rc != SQLITE_ROW && rc != SQLITE_DONE) {
        status = ap_book_error(err, book, rc, "read");
    } else {
        *out = value;
    }
    sqlite3_finalize(statement);
    return status;
}

ap_status ap_book_need_transaction(const ap_book *book, ap_error *err) {
    if (sqlite3_get_autocommit(book->db)) {
        return ap_error_set(err, AP_E_INTERNAL, "a change of '%s' outside a transaction", book->path);
    }
    return AP_OK;
}
