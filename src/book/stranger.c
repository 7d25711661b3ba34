#include "book/stranger.h"

#include "book/handle.h"
#include "book/integrity.h"

enum { SAYS_MAX = 1 << 16, LONGEST_VALUE = 64 << 20 };

/* Every row that `sql` gives of the one book is a row of the other's schema, word for word. */
static ap_status each_is_in(ap_book *one, const char *sql, ap_book *other, const ap_book *refused, const char *what,
                            ap_error *err) {
    sqlite3_stmt *rows = NULL;
    sqlite3_stmt *same = NULL;
    int rc = SQLITE_ROW;
    ap_status status = ap_book_prepare(&rows, one, ap_str_from(sql), err);
    if (status == AP_OK) {
        status = ap_book_prepare(
            &same, other, AP_STR_LIT("SELECT 1 FROM sqlite_schema WHERE type = ?1 AND name = ?2 AND sql = ?3"), err);
    }
    while (status == AP_OK && rc == SQLITE_ROW) {
        rc = sqlite3_step(rows);
        sqlite3_reset(same);
        for (int i = 0; rc == SQLITE_ROW && i < 3; i++) {
            sqlite3_bind_value(same, i + 1, sqlite3_column_value(rows, i));
        }
        const int found = rc == SQLITE_ROW ? sqlite3_step(same) : SQLITE_ROW;
        if ((rc != SQLITE_ROW && rc != SQLITE_DONE) || (found != SQLITE_ROW && found != SQLITE_DONE)) {
            status =
                ap_book_error(err, rc == SQLITE_ROW ? other : one, rc == SQLITE_ROW ? found : rc, "read the tables");
        } else if (found == SQLITE_DONE) {
            status = ap_error_set(err, AP_E_BOOK,
                                  "'%s' is not taken as a book: its %s '%s' %s; take its picks as a log: 'afterpick "
                                  "export' there, 'import' here",
                                  refused->path, (const char *)sqlite3_column_text(rows, 0),
                                  (const char *)sqlite3_column_text(rows, 1), what);
        }
    }
    sqlite3_finalize(rows);
    sqlite3_finalize(same);
    return status;
}

/* Its own tables too: their CHECKs, and what their indexes are made of, would be run by SQLite's check of the file. */
static ap_status check_tables(ap_book *book, ap_book *ours, ap_error *err) {
    const ap_status status =
        each_is_in(ours, "SELECT type, name, sql FROM sqlite_schema WHERE type = 'table' AND sql NOT NULL", book, book,
                   "is not made as this program makes it", err);
    return status != AP_OK
               ? status
               : each_is_in(
                     book,
                     "SELECT type, name, sql FROM sqlite_schema WHERE type IN ('table', 'index') AND sql NOT NULL "
                     "AND name NOT LIKE 'sqlite_stat%'",
                     ours, book, "is none of this program's", err);
}

static ap_status check_whole(ap_book *book, ap_error *err) {
    ap_buf says;
    int troubles = 0;
    ap_buf_init(&says, SAYS_MAX);
    ap_status status = ap_book_check_file(&troubles, &says, book, err);
    if (status == AP_OK && troubles > 0) {
        ap_str rest;
        const ap_str first = ap_str_split(ap_buf_str(&says), '\n', &rest);
        status = ap_error_set(err, AP_E_BOOK, "'%s' is damaged (%.*s): 'afterpick --book %s check' tells more",
                              book->path, AP_STR_ARG(first), book->path);
    }
    ap_buf_release(&says);
    return status;
}

ap_status ap_book_open_stranger(ap_book **out, const char *path, ap_error *err) {
    ap_book *ours = NULL;
    ap_book *book = NULL;
    ap_status status = ap_book_open(&book, path, AP_BOOK_STRANGER, err);
    if (status == AP_OK) {
        sqlite3_limit(book->db, SQLITE_LIMIT_LENGTH, LONGEST_VALUE);
        sqlite3_limit(book->db, SQLITE_LIMIT_TRIGGER_DEPTH, 1);
        sqlite3_db_config(book->db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
        sqlite3_db_config(book->db, SQLITE_DBCONFIG_ENABLE_VIEW, 0, NULL);
        status = ap_book_open_seed(&ours, err);
    }
    /* Before its rows are checked: a table's own CHECKs are run then. */
    if (status == AP_OK) {
        status = check_tables(book, ours, err);
    }
    if (status == AP_OK) {
        status = check_whole(book, err);
    }
    ap_book_close(ours);
    if (status != AP_OK) {
        ap_book_close(book);
        return status;
    }
    *out = book;
    return AP_OK;
}
