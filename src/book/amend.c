#include "book/amend.h"

#include "book/pick_columns.h"

typedef struct amendment {
    ap_book *book;
    int column;
    ap_pick old;
    ap_pick new;
    ap_str why;
    const ap_book_author *author;
} amendment;

static size_t size_of_kind(ap_field_kind kind) {
    switch (kind) {
    case AP_KIND_TEXT:
        return sizeof(ap_str);
    case AP_KIND_QTY:
        return sizeof(double);
    default:
        return sizeof(int32_t);
    }
}

static ap_status check_request(int column, const ap_pick *value, ap_str why, ap_error *err) {
    const ap_field *field = ap_field_get(column);
    if (!field) {
        return ap_error_set(err, AP_E_INTERNAL, "no column %d", column);
    }
    if (ap_str_is_blank(why)) {
        return ap_error_set(err, AP_E_USAGE, "an amendment needs a reason: --why");
    }
    if (column == AP_F_job || column == AP_F_pick) {
        return ap_error_set(
            err, AP_E_USAGE,
            "%s is the pick's name and cannot be amended: take the import out and import the mended log", field->name);
    }
    bool blank = ap_pick_field_is_blank(value, column);
    if (blank && (column == AP_F_date || column == AP_F_species)) {
        return ap_error_set(err, AP_E_USAGE, "%s must be recorded", field->name);
    }
    if (column == AP_F_species && value->species_id <= 0) {
        return ap_error_set(err, AP_E_INTERNAL, "a species without its number");
    }
    return AP_OK;
}

static ap_status make_new(amendment *it, const ap_pick *value, ap_error *err) {
    const ap_field *field = ap_field_get(it->column);
    it->new = it->old;
    memcpy(ap_pick_at(&it->new, it->column), ap_pick_at_const(value, it->column), size_of_kind(field->kind));
    it->new.written[it->column] =
        ap_pick_field_is_blank(value, it->column) ? (ap_written){0, 0} : value->written[it->column];
    if (it->column == AP_F_species) {
        it->new.species_id = value->species_id;
    }
    ap_pick_count_legs(&it->new);
    if (isnan(it->new.planned_weight_kg) && isnan(it->new.measured_weight_kg)) {
        return ap_error_set(err, AP_E_USAGE, "%s must be recorded: the pick '%.*s' has no other weight", field->name,
                            AP_STR_ARG(it->old.name));
    }
    /* A finer reading of the same value is a change; the same value written the same way is none. */
    ap_written a = it->old.written[it->column];
    ap_written b = it->new.written[it->column];
    if (ap_pick_value_same(&it->old, &it->new, it->column) && a.unit == b.unit && a.quantum == b.quantum &&
        it->column != AP_F_species) {
        return ap_error_set(err, AP_E_USAGE, "%s of '%.*s' stands so already", field->name, AP_STR_ARG(it->old.name));
    }
    return AP_OK;
}

/* The number of a tree of the pick's job, made when it is new; 0 for a blank. */
static ap_status tree_id(int64_t *id, ap_book *book, const ap_pick *pick, ap_error *err) {
    static const char *const names[] = {"tree_insert", "tree_find"};
    *id = 0;
    for (size_t i = 0; i < 2 && pick->tree.len > 0; i++) {
        ap_query *query = NULL;
        bool row = false;
        ap_status status = ap_query_open(&query, book, names[i], err);
        if (status != AP_OK) {
            return status;
        }
        ap_query_bind_text(query, ":job", pick->job);
        ap_query_bind_text(query, ":tree", pick->tree);
        status = ap_query_step(&row, query, err);
        *id = row ? ap_query_int(query, 0) : 0;
        ap_query_close(query);
        if (status != AP_OK) {
            return status;
        }
    }
    return AP_OK;
}

static void write_update(ap_buf *sql, int column) {
    ap_buf_append_cstr(sql, "UPDATE pick SET written = ?2, ");
    if (column == AP_F_tree) {
        ap_buf_append_cstr(sql, "tree_id");
    } else {
        if (column == AP_F_species) {
            ap_buf_append_cstr(sql, "species_id = ?4, ");
        }
        ap_pick_column_name(sql, column);
    }
    ap_buf_append_cstr(sql, " = ?1 WHERE id = ?3");
}

static int bind_update(sqlite3_stmt *statement, ap_binder *binder, ap_written_text *written, const amendment *it,
                       int64_t tree) {
    ap_written_encode(written, &binder->columns, &it->new);
    int rc = sqlite3_bind_text(statement, 2, written->text, (int)written->len, SQLITE_STATIC);
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(statement, 3, it->old.id) : rc;
    if (rc == SQLITE_OK && it->column == AP_F_species) {
        rc = sqlite3_bind_int64(statement, 4, it->new.species_id);
    }
    if (rc == SQLITE_OK && it->column == AP_F_tree) {
        return tree > 0 ? sqlite3_bind_int64(statement, 1, tree) : sqlite3_bind_null(statement, 1);
    }
    return rc == SQLITE_OK ? ap_pick_bind_one(statement, 1, binder, &it->new, it->column) : rc;
}

static ap_status update_pick(const amendment *it, ap_error *err) {
    int64_t tree = 0;
    ap_buf sql;
    ap_binder binder;
    ap_written_text written;
    sqlite3_stmt *statement = NULL;
    ap_status status = it->column == AP_F_tree ? tree_id(&tree, it->book, &it->new, err) : AP_OK;
    if (status != AP_OK) {
        return status;
    }
    ap_buf_init(&sql, 4096);
    ap_binder_init(&binder);
    write_update(&sql, it->column);
    status = ap_book_prepare(&statement, it->book, ap_buf_str(&sql), err);
    if (status == AP_OK) {
        int rc = bind_update(statement, &binder, &written, it, tree);
        rc = rc == SQLITE_OK ? sqlite3_step(statement) : rc;
        if (rc != SQLITE_DONE) {
            status = ap_book_error(err, it->book, rc, "amend a pick");
        }
    }
    sqlite3_finalize(statement);
    ap_buf_release(&sql);
    return status;
}

/* One side of the amendment's row: text, SI and how it was written. */
static void bind_side(ap_query *query, ap_buf *text, const ap_pick *pick, int column, const char *const names[3]) {
    bool quantity = ap_field_get(column)->kind == AP_KIND_QTY;
    bool blank = ap_pick_field_is_blank(pick, column);
    char written[2];
    ap_pick_value_write(text, pick, column);
    ap_written_encode_one(written, pick->written[column]);
    ap_query_bind_text(query, names[0], blank ? AP_STR_NONE : ap_buf_str(text));
    ap_query_bind_real(query, names[1], quantity ? *(const double *)ap_pick_at_const(pick, column) : (double)NAN);
    ap_query_bind_text(query, names[2], quantity && !blank ? (ap_str){written, sizeof written} : AP_STR_NONE);
}

static ap_status keep_history(const amendment *it, ap_error *err) {
    static const char *const old_names[3] = {":old_value", ":old_si", ":old_written"};
    static const char *const new_names[3] = {":new_value", ":new_si", ":new_written"};
    ap_query *query = NULL;
    ap_buf old;
    ap_buf new;
    ap_status status = ap_query_open(&query, it->book, "amendment_insert", err);
    if (status != AP_OK) {
        return status;
    }
    ap_buf_init(&old, 1 << 22);
    ap_buf_init(&new, 1 << 22);
    ap_query_bind_int(query, ":pick", it->old.id);
    ap_query_bind_text(query, ":name", it->old.name);
    ap_query_bind_text(query, ":field", ap_str_from(ap_field_get(it->column)->name));
    bind_side(query, &old, &it->old, it->column, old_names);
    bind_side(query, &new, &it->new, it->column, new_names);
    ap_query_bind_date(query, ":today", it->author->today);
    ap_query_bind_text(query, ":who", it->author->role.ptr ? it->author->role : AP_STR_LIT(""));
    ap_query_bind_text(query, ":why", it->why);
    status = ap_query_run(query, err);
    ap_query_close(query);
    ap_buf_release(&old);
    ap_buf_release(&new);
    return status;
}

static ap_status run_signed(ap_book *book, const char *name, const char *which, int64_t id, ap_str why,
                            const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, name, err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, which, id);
    ap_query_bind_date(query, ":today", author->today);
    ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
    ap_query_bind_text(query, ":why", why);
    status = ap_query_run(query, err);
    ap_query_close(query);
    return status;
}

ap_status ap_book_amend(ap_book *book, ap_str name, int column, const ap_pick *value, ap_str why,
                        const ap_book_author *author, ap_error *err) {
    amendment it = {.book = book, .column = column, .why = why, .author = author};
    ap_arena arena;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = check_request(column, value, why, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_arena_init(&arena, 16 << 20);
    status = ap_book_get_pick(&it.old, &arena, book, name, err);
    if (status == AP_OK) {
        status = make_new(&it, value, err);
    }
    if (status == AP_OK) {
        status = update_pick(&it, err);
    }
    if (status == AP_OK) {
        status = keep_history(&it, err);
    }
    if (status == AP_OK) {
        status = run_signed(book, "conflict_decide_by_amendment", ":pick", it.old.id, why, author, err);
    }
    ap_arena_release(&arena);
    return status;
}

ap_status ap_book_conflict_decide(ap_book *book, int64_t conflict_id, ap_str why, const ap_book_author *author,
                                  ap_error *err) {
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK && ap_str_is_blank(why)) {
        status = ap_error_set(err, AP_E_USAGE, "a decision needs a reason: --why");
    }
    if (status == AP_OK) {
        status = run_signed(book, "conflict_decide", ":conflict", conflict_id, why, author, err);
    }
    if (status == AP_OK && ap_book_changes(book) == 0) {
        status = ap_error_set(err, AP_E_NOT_FOUND, "no open conflict %lld", (long long)conflict_id);
    }
    return status;
}
