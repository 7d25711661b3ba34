/* From one version of the tables to the next.
 *
 * sql/schema/NNN_*.sql are the steps; several files may share a number. A step and its user_version are one transaction. A new
 * book gets all steps, the views, the seeds of sql/seed/ and the application id in a single one. Views are not data: they
 * are dropped and made again from sql/views/ at the end of every migration; so are the seeds of sql/seed/again/, which leave alone what a
 * company changed. */
#include "book/handle.h"

static const char schema_prefix[] = "sql/schema/";

/* The number in "sql/schema/001_10_species.sql". */
static int step_of(const char *name) {
    int number = 0;
    for (const char *at = name + sizeof schema_prefix - 1; *at >= '0' && *at <= '9' && number < 100000; at++) {
        number = number * 10 + (*at - '0');
    }
    return number;
}

int ap_book_version_known(void) {
    size_t first = 0;
    size_t count = ap_asset_range(&first, schema_prefix);
    return count > 0 ? step_of(ap_assets[first + count - 1].name) : 0;
}

static ap_status run_asset(ap_book *book, const char *name, ap_error *err) {
    ap_arena arena;
    ap_arena_init(&arena, 4 << 20);
    ap_str sql = AP_STR_NONE;
    ap_status status = ap_asset_get(&sql, &arena, name, err);
    char *text = status == AP_OK ? ap_arena_cstr(&arena, sql) : NULL;
    if (status == AP_OK && !text) {
        status = ap_error_set(err, AP_E_MEMORY, "unable to read %s: out of memory", name);
    }
    if (status == AP_OK) {
        status = ap_book_exec(book, text, "make the tables", err);
        if (status != AP_OK) {
            status = ap_error_wrap(err, status, "%s", name);
        }
    }
    ap_arena_release(&arena);
    return status;
}

static ap_status run_assets(ap_book *book, const char *prefix, ap_error *err) {
    size_t first = 0;
    size_t count = ap_asset_range(&first, prefix);
    ap_status status = AP_OK;
    for (size_t i = first; i < first + count && status == AP_OK; i++) {
        status = run_asset(book, ap_assets[i].name, err);
    }
    return status;
}

static ap_status run_step(ap_book *book, int step, ap_error *err) {
    size_t first = 0;
    size_t count = ap_asset_range(&first, schema_prefix);
    ap_status status = AP_OK;
    for (size_t i = first; i < first + count && status == AP_OK; i++) {
        if (step_of(ap_assets[i].name) == step) {
            status = run_asset(book, ap_assets[i].name, err);
        }
    }
    char pragma[64];
    snprintf(pragma, sizeof pragma, "PRAGMA user_version = %d", step);
    return status == AP_OK ? ap_book_exec(book, pragma, "set the version", err) : status;
}

static ap_status drop_views(ap_book *book, ap_error *err) {
    static const char list[] =
        "SELECT 'DROP VIEW \"' || replace(name, '\"', '\"\"') || '\"' FROM sqlite_schema WHERE type = 'view'";
    for (;;) {
        sqlite3_stmt *statement = NULL;
        ap_status status = ap_book_prepare(&statement, book, AP_STR_LIT(list), err);
        if (status != AP_OK) {
            return status;
        }
        int rc = sqlite3_step(statement);
        char *drop = rc == SQLITE_ROW ? sqlite3_mprintf("%s", sqlite3_column_text(statement, 0)) : NULL;
        sqlite3_finalize(statement);
        if (rc == SQLITE_DONE) {
            return AP_OK;
        }
        if (!drop) {
            return ap_book_error(err, book, rc == SQLITE_ROW ? SQLITE_NOMEM : rc, "list the views");
        }
        status = ap_book_exec(book, drop, "replace a view", err);
        sqlite3_free(drop);
        if (status != AP_OK) {
            return status;
        }
    }
}

/* A book of version 0 holds nothing yet, whether it was just made or left so. */
static ap_status fill_new(ap_book *book, int known, ap_error *err) {
    char pragma[64];
    snprintf(pragma, sizeof pragma, "PRAGMA application_id = %d", AP_BOOK_APPLICATION_ID);
    ap_status status = ap_book_exec(book, pragma, "set the application id", err);
    for (int step = 1; step <= known && status == AP_OK; step++) {
        status = run_step(book, step, err);
    }
    if (status == AP_OK) {
        status = run_assets(book, "sql/views/", err);
    }
    return status == AP_OK ? run_assets(book, "sql/seed/", err) : status;
}

static ap_status one_step(ap_book *book, int from, int known, ap_error *err) {
    ap_status status = ap_book_begin(book, err);
    if (status != AP_OK) {
        return status;
    }
    /* Somebody else may have been quicker. */
    int64_t version = 0;
    status = ap_book_integer(&version, book, "PRAGMA user_version", 0, err);
    if (status == AP_OK && version == from) {
        if (from == 0) {
            status = fill_new(book, known, err);
        } else {
            status = drop_views(book, err);
            status = status == AP_OK ? run_step(book, from + 1, err) : status;
            bool last = from + 1 == known;
            status = status == AP_OK && last ? run_assets(book, "sql/views/", err) : status;
            status = status == AP_OK && last ? run_assets(book, "sql/seed/again/", err) : status;
        }
    }
    if (status == AP_OK) {
        status = ap_book_integer(&version, book, "PRAGMA user_version", 0, err);
    }
    if (status == AP_OK) {
        status = ap_book_commit(book, err);
    }
    if (status != AP_OK) {
        ap_book_rollback(book);
        return status;
    }
    book->version = (int)version;
    return AP_OK;
}

ap_status ap_book_migrate(ap_book *book, ap_error *err) {
    int known = ap_book_version_known();
    if (known == 0) {
        return ap_error_set(err, AP_E_INTERNAL, "the program carries no tables");
    }
    while (book->version < known) {
        int before = book->version;
        ap_status status = one_step(book, before, known, err);
        if (status != AP_OK) {
            return status;
        }
        if (book->version <= before) {
            return ap_error_set(err, AP_E_INTERNAL, "no step leads from version %d of '%s'", before, book->path);
        }
    }
    return AP_OK;
}
