#include "book/imports.h"

#include "book/handle.h"
#include "book/kept_facts.h"

/* NOT NULL columns take '' for a text that was not given. */
static ap_str given(ap_str text) {
    return text.ptr ? text : AP_STR_LIT("");
}

static ap_status open_change(ap_query **out, ap_book *book, const char *name, ap_error *err) {
    *out = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    return status == AP_OK ? ap_query_open(out, book, name, err) : status;
}

static ap_status run_and_close(ap_query *query, ap_error *err) {
    ap_status status = ap_query_run(query, err);
    ap_query_close(query);
    return status;
}

ap_status ap_book_import_begin(int64_t *import_id, ap_book *book, const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = open_change(&query, book, "import_insert", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_date(query, ":today", author->today);
    ap_query_bind_text(query, ":who", given(author->role));
    status = run_and_close(query, err);
    if (status == AP_OK) {
        *import_id = ap_book_last_row(book);
    }
    return status;
}

ap_status ap_book_import_file_add(int64_t *file_id, ap_book *book, int64_t import_id, const ap_import_file *file,
                                  ap_error *err) {
    ap_query *query = NULL;
    ap_status status = open_change(&query, book, "import_file_insert", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":import", import_id);
    ap_query_bind_text(query, ":path", given(file->path));
    ap_query_bind_text(query, ":sha256", given(file->sha256));
    ap_query_bind_int(query, ":bytes", file->bytes);
    ap_query_bind_text(query, ":dialect", given(file->dialect));
    ap_query_bind_text(query, ":date_order", given(file->date_order));
    ap_query_bind_text(query, ":columns", given(file->columns));
    status = run_and_close(query, err);
    if (status == AP_OK) {
        *file_id = ap_book_last_row(book);
    }
    return status;
}

ap_status ap_book_import_find_file(int64_t *import_id, ap_book *book, ap_str sha256, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    *import_id = 0;
    ap_status status = ap_query_open(&query, book, "import_find_file", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_text(query, ":sha256", sha256);
    status = ap_query_step(&row, query, err);
    if (status == AP_OK && row) {
        *import_id = ap_query_int(query, 0);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_import_file_end(ap_book *book, int64_t file_id, const ap_file_counts *counts, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = open_change(&query, book, "import_file_end", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":file", file_id);
    ap_query_bind_int(query, ":stored", counts->stored);
    ap_query_bind_int(query, ":unchanged", counts->unchanged);
    ap_query_bind_int(query, ":set_aside", counts->set_aside);
    ap_query_bind_int(query, ":conflicts", counts->conflicts);
    return run_and_close(query, err);
}

ap_status ap_book_set_aside_add(ap_book *book, int64_t file_id, const ap_set_aside *row, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = open_change(&query, book, "set_aside_insert", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":file", file_id);
    ap_query_bind_int(query, ":line", row->line);
    ap_query_bind_int(query, ":column", row->column);
    ap_query_bind_text(query, ":field", row->field);
    ap_query_bind_text(query, ":text", row->text);
    ap_query_bind_text(query, ":reason", given(row->reason));
    ap_query_bind_text(query, ":remedy", row->remedy);
    ap_query_bind_text(query, ":raw", given(row->raw));
    return run_and_close(query, err);
}

ap_status ap_book_warning_add(ap_book *book, int64_t file_id, int64_t line, ap_str field, ap_str says, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = open_change(&query, book, "warning_insert", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":file", file_id);
    ap_query_bind_int(query, ":line", line);
    ap_query_bind_text(query, ":field", field);
    ap_query_bind_text(query, ":says", given(says));
    return run_and_close(query, err);
}

ap_status ap_book_import_rests(ap_import_rests *out, ap_book *book, int64_t import_id, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_query_open(&query, book, "import_rests", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":import", import_id);
    status = ap_query_step(&row, query, err);
    if (status == AP_OK && row) {
        *out = (ap_import_rests){.picks = ap_query_int(query, 0),
                                 .amendments = ap_query_int(query, 1),
                                 .findings = ap_query_int(query, 2),
                                 .writeups = ap_query_int(query, 3)};
    }
    ap_query_close(query);
    return status;
}

static ap_status must_be_live(ap_book *book, int64_t import_id, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_query_open(&query, book, "import_live", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":import", import_id);
    status = ap_query_step(&row, query, err);
    if (status == AP_OK && !row) {
        status = ap_error_set(err, AP_E_NOT_FOUND, "no import %lld in '%s'", (long long)import_id, ap_book_path(book));
    } else if (status == AP_OK && !ap_query_is_null(query, 0)) {
        ap_str day = ap_query_text(query, 0);
        status = ap_error_set(err, AP_E_NOT_FOUND, "import %lld was taken out already, on %.*s", (long long)import_id,
                              AP_STR_ARG(day));
    }
    ap_query_close(query);
    return status;
}

typedef struct undo {
    ap_book *book;
    int64_t import_id;
    ap_str why;
    const ap_book_author *author;
} undo;

static ap_status undo_signed(const undo *it, const char *name, int64_t picks, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, it->book, name, err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":import", it->import_id);
    ap_query_bind_date(query, ":today", it->author->today);
    ap_query_bind_text(query, ":who", given(it->author->role));
    ap_query_bind_text(query, ":why", given(it->why));
    if (picks >= 0) {
        ap_query_bind_int(query, ":picks", picks);
    }
    return run_and_close(query, err);
}

ap_status ap_book_import_undo(ap_book *book, int64_t import_id, ap_str why, const ap_book_author *author,
                              ap_error *err) {
    const undo it = {book, import_id, why, author};
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = must_be_live(book, import_id, err);
    }
    if (status == AP_OK) {
        status = undo_signed(&it, "import_undo_conflicts", -1, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "import_undo_picks", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":import", import_id);
        status = run_and_close(query, err);
    }
    const int64_t picks = ap_book_changes(book);
    query = NULL;
    if (status == AP_OK) { /* what they came to goes with them */
        status = ap_book_kept_drop(book, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "import_undo_read_again", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":import", import_id);
        status = run_and_close(query, err);
    }
    return status == AP_OK ? undo_signed(&it, "import_undo_mark", picks, err) : status;
}

ap_status ap_book_import_read_again(ap_buf *out, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "import_read_again", err);
    bool row = status == AP_OK;
    while (status == AP_OK && row) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            ap_buf_append_cstr(out, out->len ? ", " : "");
            ap_buf_append_str(out, ap_query_text(query, 0));
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_buf_check(out, "the files to read again", err) : status;
}
