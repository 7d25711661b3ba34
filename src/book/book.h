/* The book: one SQLite file. Only book/ includes sqlite3.h; everybody else sees cursors over named query files. */
#ifndef AP_BOOK_BOOK_H
#define AP_BOOK_BOOK_H

#include "base/arena.h"
#include "base/calendar.h"

typedef struct ap_book ap_book;

/* "AfPk" as a big-endian number; PRAGMA application_id of every book. */
#define AP_BOOK_APPLICATION_ID 0x4166506b

typedef enum ap_book_mode {
    AP_BOOK_READ,     /* a report: nothing is changed, migrations are refused with the remedy */
    AP_BOOK_AS_IS,    /* the same for an older book too: to copy it, or to look at its tables */
    AP_BOOK_STRANGER, /* as a report, of a file that not a byte is written to: see stranger.h */
    AP_BOOK_WRITE,    /* migrates an older book first */
    AP_BOOK_CREATE    /* makes a new file, refuses an existing one; schema and seeds in one transaction */
} ap_book_mode;

/* Errors: AP_E_BOOK (not a book, foreign application_id, newer than this program, damaged), AP_E_IO, AP_E_BUSY (another
 * writer for 5 s), AP_E_NOT_FOUND. */
AP_MUST_USE ap_status ap_book_open(ap_book **out, const char *path, ap_book_mode mode, ap_error *err);
/* What every new book starts with (species, names, limits), in memory only: for an answer that needs no book. */
AP_MUST_USE ap_status ap_book_open_seed(ap_book **out, ap_error *err);
void ap_book_close(ap_book *book);
const char *ap_book_path(const ap_book *book);
int ap_book_version(const ap_book *book); /* user_version */

/* What every write is signed with. */
typedef struct ap_book_author {
    ap_str role; /* --as ROLE; "" when not given */
    ap_date today;
} ap_book_author;

AP_MUST_USE ap_status ap_book_begin(ap_book *book, ap_error *err);      /* BEGIN IMMEDIATE */
AP_MUST_USE ap_status ap_book_begin_read(ap_book *book, ap_error *err); /* one snapshot for a report */
AP_MUST_USE ap_status ap_book_commit(ap_book *book, ap_error *err);
/* Ends a change: commits when `status` is AP_OK, else takes it back; returns what it came to. */
AP_MUST_USE ap_status ap_book_end(ap_book *book, ap_status status, ap_error *err);
void ap_book_rollback(ap_book *book); /* nothing open: does nothing */

/* A cursor over sql/query/NAME.sql. Parameters are bound by name (":job"); a name the file does not have is an
 * AP_E_INTERNAL error at step. Statements are cached in the book. Bind functions keep the first failure. */
typedef struct ap_query ap_query;
AP_MUST_USE ap_status ap_query_open(ap_query **out, ap_book *book, const char *name, ap_error *err);
void ap_query_close(ap_query *query);
void ap_query_bind_int(ap_query *query, const char *name, int64_t value);
void ap_query_bind_real(ap_query *query, const char *name, double value); /* NaN binds NULL */
void ap_query_bind_text(ap_query *query, const char *name, ap_str value); /* none binds NULL; copied */
void ap_query_bind_date(ap_query *query, const char *name, ap_date date); /* ISO text; none binds NULL */
AP_MUST_USE ap_status ap_query_step(bool *row, ap_query *query, ap_error *err);
AP_MUST_USE ap_status ap_query_reset(ap_query *query, ap_error *err); /* ready to be bound and run again */
bool ap_query_is_null(const ap_query *query, int column);
int64_t ap_query_int(const ap_query *query, int column);
double ap_query_real(const ap_query *query, int column); /* NULL -> NaN */
ap_str ap_query_text(const ap_query *query, int column); /* valid until the next step */
ap_date ap_query_date(const ap_query *query, int column);
/* Runs a statement that returns nothing, or one integer: for short changes. */
AP_MUST_USE ap_status ap_query_run(ap_query *query, ap_error *err);
int64_t ap_book_last_row(const ap_book *book);
int64_t ap_book_changes(const ap_book *book); /* rows changed by the last statement */

#endif
