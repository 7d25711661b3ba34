/* Cursors over sql/query/NAME.sql; a closed one is kept prepared for the next. */
#include "book/handle.h"

struct ap_query {
    ap_book *book;
    sqlite3_stmt *statement;
    char name[AP_QUERY_NAME_MAX];
    int rc;             /* first failure of a bind */
    char parameter[64]; /* the name that is not there */
    bool stepped;
};

static sqlite3_stmt *take_idle(ap_book *book, const char *name) {
    for (size_t i = 0; i < book->idle_count; i++) {
        if (strcmp(book->idle[i].name, name) == 0) {
            sqlite3_stmt *statement = book->idle[i].statement;
            book->idle[i] = book->idle[--book->idle_count];
            return statement;
        }
    }
    return NULL;
}

static ap_status prepare_file(sqlite3_stmt **out, ap_book *book, const char *name, ap_error *err) {
    char path[AP_QUERY_NAME_MAX + 16];
    snprintf(path, sizeof path, "sql/query/%s.sql", name);
    ap_str sql = AP_STR_NONE;
    ap_status status = ap_asset_get(&sql, &book->texts, path, err);
    if (status == AP_OK) {
        status = ap_book_prepare(out, book, sql, err);
    }
    return status == AP_OK ? AP_OK : ap_error_wrap(err, status, "%s", path);
}

ap_status ap_query_open(ap_query **out, ap_book *book, const char *name, ap_error *err) {
    *out = NULL;
    if (strlen(name) >= AP_QUERY_NAME_MAX) {
        return ap_error_set(err, AP_E_INTERNAL, "the name of query '%s' is too long", name);
    }
    ap_query *query = calloc(1, sizeof *query);
    if (!query) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory");
    }
    query->book = book;
    query->rc = SQLITE_OK;
    snprintf(query->name, sizeof query->name, "%s", name);
    query->statement = take_idle(book, name);
    if (!query->statement) {
        ap_status status = prepare_file(&query->statement, book, name, err);
        if (status != AP_OK) {
            free(query);
            return status;
        }
    }
    *out = query;
    return AP_OK;
}

void ap_query_close(ap_query *query) {
    if (!query) {
        return;
    }
    ap_book *book = query->book;
    sqlite3_reset(query->statement);
    sqlite3_clear_bindings(query->statement);
    if (book->idle_count == AP_QUERY_IDLE_MAX) {
        sqlite3_finalize(book->idle[0].statement);
        book->idle[0] = book->idle[--book->idle_count];
    }
    ap_idle_query *idle = &book->idle[book->idle_count++];
    memcpy(idle->name, query->name, sizeof idle->name);
    idle->statement = query->statement;
    free(query);
}

void ap_book_query_release(ap_book *book) {
    while (book->idle_count > 0) {
        sqlite3_finalize(book->idle[--book->idle_count].statement);
    }
}

/* 0 when the file has no such parameter; the failure waits for the step. */
static int parameter(ap_query *query, const char *name) {
    if (query->stepped) {
        sqlite3_reset(query->statement);
        query->stepped = false;
    }
    int at = sqlite3_bind_parameter_index(query->statement, name);
    if (at == 0 && query->rc == SQLITE_OK) {
        query->rc = SQLITE_RANGE;
        snprintf(query->parameter, sizeof query->parameter, "%s", name);
    }
    return at;
}

static void keep(ap_query *query, int rc) {
    if (rc != SQLITE_OK && query->rc == SQLITE_OK) {
        query->rc = rc;
    }
}

void ap_query_bind_int(ap_query *query, const char *name, int64_t value) {
    int at = parameter(query, name);
    if (at > 0) {
        keep(query, sqlite3_bind_int64(query->statement, at, value));
    }
}

void ap_query_bind_real(ap_query *query, const char *name, double value) {
    int at = parameter(query, name);
    if (at > 0) {
        keep(query, sqlite3_bind_double(query->statement, at, value)); /* SQLite stores NaN as NULL */
    }
}

void ap_query_bind_text(ap_query *query, const char *name, ap_str value) {
    int at = parameter(query, name);
    if (at > 0) {
        keep(query, value.ptr
                        ? sqlite3_bind_text64(query->statement, at, value.ptr, value.len, SQLITE_TRANSIENT, SQLITE_UTF8)
                        : sqlite3_bind_null(query->statement, at));
    }
}

void ap_query_bind_date(ap_query *query, const char *name, ap_date date) {
    char text[AP_ISO_SIZE];
    ap_date_to_iso(text, date);
    ap_query_bind_text(query, name, date == AP_DATE_NONE ? AP_STR_NONE : ap_str_from(text));
}

static ap_status fail(ap_query *query, int rc, ap_error *err) {
    ap_status status = ap_book_error(err, query->book, rc, "run a query");
    return ap_error_wrap(err, status, "%s", query->name);
}

ap_status ap_query_step(bool *row, ap_query *query, ap_error *err) {
    *row = false;
    if (query->rc == SQLITE_RANGE) {
        return ap_error_set(err, AP_E_INTERNAL, "query '%s' has no parameter '%s'", query->name, query->parameter);
    }
    if (query->rc != SQLITE_OK) {
        return fail(query, query->rc, err);
    }
    query->stepped = true;
    int rc = sqlite3_step(query->statement);
    if (rc == SQLITE_ROW) {
        *row = true;
        return AP_OK;
    }
    if (rc == SQLITE_DONE) {
        return AP_OK;
    }
    ap_status status = fail(query, rc, err);
    sqlite3_reset(query->statement);
    query->stepped = false;
    return status;
}

ap_status ap_query_reset(ap_query *query, ap_error *err) {
    (void)err;
    sqlite3_reset(query->statement); /* repeats the failure of the last step, which was reported there */
    query->stepped = false;
    query->rc = SQLITE_OK;
    return AP_OK;
}

ap_status ap_query_run(ap_query *query, ap_error *err) {
    bool row = false;
    ap_status status = ap_query_step(&row, query, err);
    if (status == AP_OK && !row) {
        status = ap_query_reset(query, err);
    }
    return status;
}

bool ap_query_is_null(const ap_query *query, int column) {
    return sqlite3_column_type(query->statement, column) == SQLITE_NULL;
}

int64_t ap_query_int(const ap_query *query, int column) {
    return sqlite3_column_int64(query->statement, column);
}

double ap_query_real(const ap_query *query, int column) {
    return ap_query_is_null(query, column) ? NAN : sqlite3_column_double(query->statement, column);
}

ap_str ap_query_text(const ap_query *query, int column) {
    return ap_column_text(query->statement, column);
}

ap_date ap_query_date(const ap_query *query, int column) {
    ap_date date = AP_DATE_NONE;
    ap_str text = ap_query_text(query, column);
    return text.ptr && ap_date_from_iso(&date, text) ? date : AP_DATE_NONE;
}
