/* What the files of book/ share: the open book itself and how SQLite's words become ours. Private to this room. */
#ifndef AP_BOOK_HANDLE_H
#define AP_BOOK_HANDLE_H

#include <sqlite3.h>

#include "base/asset.h"
#include "book/book.h"

enum { AP_QUERY_NAME_MAX = 64, AP_QUERY_IDLE_MAX = 48 };

typedef struct ap_idle_query {
    char name[AP_QUERY_NAME_MAX];
    sqlite3_stmt *statement;
} ap_idle_query;

struct ap_species_index;

struct ap_book {
    sqlite3 *db;
    char *path;
    ap_book_mode mode;
    int version;
    ap_arena texts; /* SQL files and species: live until the book closes */
    ap_idle_query idle[AP_QUERY_IDLE_MAX];
    size_t idle_count;
    struct ap_species_index *species;
};

/* It was opened so that nothing is changed. */
bool ap_book_only_reads(const ap_book *book);

/* Where tests put a file system that fails: the name of a registered SQLite VFS, NULL = the usual one. */
void ap_book_set_vfs(const char *name);
const char *ap_book_vfs(void);
/* A path that SQLite takes for nothing else; to be freed. */
char *ap_book_plain_path(const char *path);
/* Pages that a copy takes over at a time; tests make it few. */
void ap_book_set_copy_step(int pages);
/* How long a writer waits for another; tests make it short. */
void ap_book_set_busy_wait(int milliseconds);

/* Translates an SQLite result code: "unable to DOING in 'PATH': reason". Never returns AP_OK. */
ap_status ap_book_error(ap_error *err, const ap_book *book, int rc, const char *doing);
AP_MUST_USE ap_status ap_book_exec(ap_book *book, const char *sql, const char *doing, ap_error *err);
AP_MUST_USE ap_status ap_book_prepare(sqlite3_stmt **out, ap_book *book, ap_str sql, ap_error *err);
/* One integer from a one-line statement; `fallback` when there is no row. */
AP_MUST_USE ap_status ap_book_integer(int64_t *out, ap_book *book, const char *sql, int64_t fallback, ap_error *err);
/* The page cache of a book in its mode: a reader of every page takes less while it works. */
void ap_book_cache_as_usual(ap_book *book);
/* The same, and the memory that pages took goes back: what follows works on what was read. */
void ap_book_memory_back(ap_book *book);
/* How long it waits for another writer, after it did not. */
void ap_book_wait_as_usual(ap_book *book);
/* Refuses to write outside a transaction: half a change must not stay. */
AP_MUST_USE ap_status ap_book_need_transaction(const ap_book *book, ap_error *err);

/* Foreign keys are looked up on every insert. While picks are written they are not: every number a pick refers to was found or made in
 * the same transaction by the writer itself. */
void ap_book_check_references(ap_book *book, bool on);
/* The triggers that end what is kept of the picks cost each insert something; whoever switches them off keeps it in force or drops
 * it itself. A pick behind the last one kept ends it in any case. */
void ap_book_end_kept_facts(ap_book *book, bool on);

/* The newest version sql/schema/ can make. */
int ap_book_version_known(void);
/* Brings the book from its version up to the newest, each step in one transaction. */
AP_MUST_USE ap_status ap_book_migrate(ap_book *book, ap_error *err);

void ap_book_species_release(ap_book *book);
void ap_book_query_release(ap_book *book);

/* SQLite's text of a column as a view; none for NULL. */
static inline ap_str ap_column_text(sqlite3_stmt *statement, int column) {
    const char *text = (const char *)sqlite3_column_text(statement, column);
    return text ? (ap_str){text, (size_t)sqlite3_column_bytes(statement, column)} : AP_STR_NONE;
}

/* Binds a text that outlives the step; NULL when empty. */
static inline int ap_bind_view(sqlite3_stmt *statement, int at, ap_str text) {
    if (!text.ptr || text.len == 0) {
        return sqlite3_bind_null(statement, at);
    }
    return sqlite3_bind_text64(statement, at, text.ptr, text.len, SQLITE_STATIC, SQLITE_UTF8);
}

#endif
