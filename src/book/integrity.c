#include "book/integrity.h"

#include "book/handle.h"

enum { TROUBLES_MAX = 50 };

static void add(int *troubles, ap_buf *says, const char *kind, ap_str text) {
    if (*troubles < TROUBLES_MAX) {
        ap_buf_appendf(says, "%s: %.*s\n", kind, AP_STR_ARG(text));
    }
    (*troubles)++;
}

static ap_status file_check(int *troubles, ap_buf *says, ap_book *book, ap_error *err) {
    sqlite3_stmt *statement = NULL;
    ap_status status = ap_book_prepare(&statement, book, AP_STR_LIT("PRAGMA integrity_check(50)"), err);
    if (status != AP_OK) {
        return status;
    }
    int rc = sqlite3_step(statement);
    for (; rc == SQLITE_ROW; rc = sqlite3_step(statement)) {
        ap_str text = ap_column_text(statement, 0);
        if (!ap_str_equal_word(text, "ok")) {
            add(troubles, says, "file", text);
        }
    }
    if ((rc & 0xff) == SQLITE_CORRUPT) {
        add(troubles, says, "file", ap_str_from(sqlite3_errmsg(book->db)));
    } else if (rc != SQLITE_DONE) {
        status = ap_book_error(err, book, rc, "check the file");
    }
    sqlite3_finalize(statement);
    return status;
}

static ap_status reference_check(int *troubles, ap_buf *says, ap_book *book, ap_error *err) {
    sqlite3_stmt *statement = NULL;
    ap_status status = ap_book_prepare(&statement, book, AP_STR_LIT("PRAGMA foreign_key_check"), err);
    if (status != AP_OK) {
        return status;
    }
    int rc = sqlite3_step(statement);
    for (; rc == SQLITE_ROW; rc = sqlite3_step(statement)) {
        char line[200];
        ap_str table = ap_column_text(statement, 0);
        ap_str parent = ap_column_text(statement, 2);
        snprintf(line, sizeof line, "row %lld of %.*s names a row of %.*s that is not there",
                 (long long)sqlite3_column_int64(statement, 1), AP_STR_ARG(table), AP_STR_ARG(parent));
        add(troubles, says, "reference", ap_str_from(line));
    }
    if (rc != SQLITE_DONE) {
        status = ap_book_error(err, book, rc, "check the references");
    }
    sqlite3_finalize(statement);
    return status;
}

static ap_status promise_check(int *troubles, ap_buf *says, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_query_open(&query, book, "integrity_promises", err);
    if (status == AP_OK) {
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row) {
        add(troubles, says, "book", ap_query_text(query, 0));
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_check_file(int *troubles, ap_buf *says, ap_book *book, ap_error *err) {
    *troubles = 0;
    ap_status status = file_check(troubles, says, book, err);
    /* A damaged file cannot be asked about its content. */
    if (status == AP_OK && *troubles == 0) {
        status = reference_check(troubles, says, book, err);
    }
    return status == AP_OK ? ap_buf_check(says, "the check", err) : status;
}

ap_status ap_book_check_integrity(int *troubles, ap_buf *says, ap_book *book, ap_error *err) {
    ap_status status = ap_book_check_file(troubles, says, book, err);
    if (status == AP_OK && *troubles == 0) {
        status = promise_check(troubles, says, book, err);
    }
    return status == AP_OK ? ap_buf_check(says, "the check", err) : status;
}
