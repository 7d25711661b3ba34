#include "book/writeups.h"

#include <inttypes.h>

#include "book/handle.h"

enum { WRITEUPS_MAX = 10000, ATTACHMENTS_MAX = 500 };

static ap_str role_of(const ap_book_author *author) {
    return author->role.ptr ? author->role : AP_STR_LIT("");
}

ap_status ap_book_writeup_open(int64_t *id, ap_book *book, const ap_writeup_new *new_one, const ap_book_author *author,
                               ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "writeup_insert", err);
    }
    if (status == AP_OK) {
        if (new_one->ids[0]) {
            ap_query_bind_int(query, ":pick_id", new_one->ids[0]);
        }
        ap_query_bind_text(query, ":pick_name", new_one->picks[0]);
        ap_query_bind_text(query, ":title", new_one->title);
        ap_query_bind_text(query, ":token", new_one->token);
        ap_query_bind_text(query, ":told", new_one->told);
        ap_query_bind_date(query, ":today", author->today);
        status = ap_query_run(query, err);
        *id = ap_book_last_row(book);
    }
    ap_query_close(query);
    query = NULL;
    for (size_t i = 0; status == AP_OK && i < new_one->pick_count; i++) {
        status = ap_query_open(&query, book, "writeup_pick_insert", err);
        if (status == AP_OK) {
            ap_query_bind_int(query, ":writeup", *id);
            ap_query_bind_int(query, ":position", (int64_t)i + 1);
            ap_query_bind_text(query, ":pick_name", new_one->picks[i]);
            if (new_one->ids[i]) {
                ap_query_bind_int(query, ":pick_id", new_one->ids[i]);
            }
            status = ap_query_run(query, err);
        }
        ap_query_close(query);
        query = NULL;
    }
    return status;
}

ap_status ap_book_writeup_keep(int64_t *revision, ap_book *book, int64_t id, ap_str text, ap_str why,
                               const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "writeup_revision_insert", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":writeup", id);
        ap_query_bind_text(query, ":text", text);
        ap_query_bind_text(query, ":why", why.ptr ? why : AP_STR_LIT(""));
        ap_query_bind_text(query, ":who", role_of(author));
        ap_query_bind_date(query, ":today", author->today);
        status = ap_query_step(&row, query, err);
    }
    if (status == AP_OK) {
        *revision = ap_query_int(query, 0);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_writeup_settle(ap_book *book, const ap_writeup *writeup, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "writeup_state_set", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":writeup", writeup->id);
        ap_query_bind_text(query, ":title", writeup->title);
        ap_query_bind_text(query, ":severity", writeup->severity);
        ap_query_bind_text(query, ":probability", writeup->probability);
        ap_query_bind_text(query, ":state", writeup->state);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_writeup_take_up(ap_book *book, int64_t id, int64_t finding, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "writeup_finding_insert", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":writeup", id);
        ap_query_bind_int(query, ":finding", finding);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_writeup_attach(ap_book *book, int64_t id, const ap_attachment *file, const ap_book_author *author,
                                 ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "writeup_attachment_put", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":writeup", id);
        ap_query_bind_text(query, ":name", file->name);
        ap_query_bind_text(query, ":sha256", file->sha256);
        ap_query_bind_int(query, ":bytes", file->bytes);
        ap_query_bind_text(query, ":says", file->says.ptr ? file->says : AP_STR_LIT(""));
        ap_query_bind_text(query, ":who", role_of(author));
        ap_query_bind_date(query, ":today", author->today);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_writeup writeup_of(ap_arena *arena, const ap_query *query) {
    return (ap_writeup){
        .id = ap_query_int(query, 0),
        .token = ap_arena_str(arena, ap_query_text(query, 1)),
        .title = ap_arena_str(arena, ap_query_text(query, 2)),
        .severity = ap_arena_str(arena, ap_query_text(query, 3)),
        .probability = ap_arena_str(arena, ap_query_text(query, 4)),
        .state = ap_arena_str(arena, ap_query_text(query, 5)),
        .opened = ap_query_date(query, 6),
        .told = ap_arena_str(arena, ap_query_text(query, 7)),
        .picks = ap_arena_str(arena, ap_query_text(query, 8)),
        .revision = ap_query_int(query, 9),
        .stored_on = ap_query_date(query, 10),
        .who = ap_arena_str(arena, ap_query_text(query, 11)),
        .pick_names = ap_arena_str(arena, ap_query_text(query, 12)),
    };
}

static ap_status read_list(ap_writeup *out, size_t max, size_t *count, ap_arena *arena, ap_book *book, int64_t id,
                           ap_error *err) {
    ap_query *query = NULL;
    *count = 0;
    ap_status status = ap_query_open(&query, book, "writeup_list", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":id", id);
    }
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row && *count == max) {
            status = ap_error_set(err, AP_E_LIMIT, "the book holds more than %zu write-ups", max);
        } else if (status == AP_OK && row) {
            out[(*count)++] = writeup_of(arena, query);
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the write-ups", err) : status;
}

ap_status ap_book_writeups(ap_writeup **out, size_t *count, ap_arena *arena, ap_book *book, ap_error *err) {
    int64_t rows = 0;
    ap_status status = ap_book_integer(&rows, book, "SELECT count(*) FROM writeup", 0, err);
    if (status != AP_OK) {
        return status;
    }
    if (rows > WRITEUPS_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "the book holds more than %d write-ups", (int)WRITEUPS_MAX);
    }
    *out = ap_arena_alloc_array(arena, (size_t)rows + 1, sizeof **out);
    if (!*out) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the write-ups");
    }
    return read_list(*out, (size_t)rows, count, arena, book, 0, err);
}

ap_status ap_book_writeup_get(ap_writeup *out, ap_arena *arena, ap_book *book, int64_t id, ap_error *err) {
    size_t count = 0;
    ap_status status = id > 0 ? read_list(out, 1, &count, arena, book, id, err) : AP_OK;
    if (status == AP_OK && count == 0) {
        status = ap_error_set(err, AP_E_NOT_FOUND,
                              "there is no write-up %" PRId64 " in this book; 'afterpick writeup' lists them", id);
    }
    return status;
}

ap_status ap_book_writeup_text(ap_writeup_revision *out, ap_arena *arena, ap_book *book, int64_t id, int64_t revision,
                               ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_query_open(&query, book, "writeup_text_get", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":writeup", id);
        ap_query_bind_int(query, ":revision", revision);
        status = ap_query_step(&row, query, err);
    }
    if (status == AP_OK && !row) {
        status = ap_error_set(err, AP_E_NOT_FOUND, "write-up %" PRId64 " has no revision %" PRId64, id, revision);
    } else if (status == AP_OK) {
        *out = (ap_writeup_revision){
            .revision = ap_query_int(query, 0),
            .text = ap_arena_str(arena, ap_query_text(query, 1)),
            .stored_on = ap_query_date(query, 2),
            .who = ap_arena_str(arena, ap_query_text(query, 3)),
            .why = ap_arena_str(arena, ap_query_text(query, 4)),
        };
        status = ap_arena_check(arena, "a write-up's text", err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_writeup_attachments(ap_attachment **out, size_t *count, ap_arena *arena, ap_book *book, int64_t id,
                                      ap_error *err) {
    ap_query *query = NULL;
    *count = 0;
    *out = ap_arena_alloc_array(arena, ATTACHMENTS_MAX, sizeof **out);
    if (!*out) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the attachments");
    }
    ap_status status = ap_query_open(&query, book, "writeup_attachment_list", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":writeup", id);
    }
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row && *count == ATTACHMENTS_MAX) {
            status = ap_error_set(err, AP_E_LIMIT, "more than %d files are attached to write-up %" PRId64,
                                  (int)ATTACHMENTS_MAX, id);
        } else if (status == AP_OK && row) {
            (*out)[(*count)++] = (ap_attachment){
                .name = ap_arena_str(arena, ap_query_text(query, 0)),
                .sha256 = ap_arena_str(arena, ap_query_text(query, 1)),
                .bytes = ap_query_int(query, 2),
                .says = ap_arena_str(arena, ap_query_text(query, 3)),
                .added_on = ap_query_date(query, 4),
                .who = ap_arena_str(arena, ap_query_text(query, 5)),
            };
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the attachments", err) : status;
}
