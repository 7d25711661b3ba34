#include "book/actions.h"

#include <inttypes.h>

#include "book/handle.h"

enum { ACTIONS_MAX = 10000, CHANGES_MAX = 1000 };

static void bind_number(ap_query *query, const char *name, int64_t value) {
    if (value) {
        ap_query_bind_int(query, name, value);
    }
}

static ap_status add_measure(ap_book *book, int64_t id, const ap_action_measure *measure, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "action_measure_insert", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":action", id);
        ap_query_bind_text(query, ":figure", measure->figure);
        ap_query_bind_text(query, ":species", measure->species);
        ap_query_bind_text(query, ":cut", measure->cut);
        ap_query_bind_text(query, ":crew", measure->crew);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_status check_source(ap_book *book, const ap_action *action, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_query_open(&query, book, "action_source", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":writeup", action->writeup);
        ap_query_bind_int(query, ":finding", action->finding);
        status = ap_query_step(&row, query, err);
    }
    if (status == AP_OK && !ap_query_int(query, 0)) {
        status = ap_error_set(err, AP_E_NOT_FOUND,
                              "there is no write-up %" PRId64 " in this book; 'afterpick writeup' lists them",
                              action->writeup);
    } else if (status == AP_OK && !ap_query_int(query, 1)) {
        status = ap_error_set(err, AP_E_NOT_FOUND,
                              "there is no finding %" PRId64 " in this book; 'afterpick findings' lists them",
                              action->finding);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_action_add(int64_t *id, ap_book *book, const ap_action *action, const ap_book_author *author,
                             ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = check_source(book, action, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "action_insert", err);
    }
    if (status == AP_OK) {
        bind_number(query, ":writeup", action->writeup);
        bind_number(query, ":finding", action->finding);
        ap_query_bind_text(query, ":says", action->says);
        ap_query_bind_text(query, ":control", action->control);
        ap_query_bind_text(query, ":owner", action->owner);
        ap_query_bind_date(query, ":due", action->due);
        ap_query_bind_text(query, ":measure", action->measure.figure);
        ap_query_bind_text(query, ":target", action->target);
        ap_query_bind_date(query, ":today", author->today);
        status = ap_query_run(query, err);
        *id = ap_book_last_row(book);
    }
    ap_query_close(query);
    if (status == AP_OK && action->measure.figure.ptr) {
        status = add_measure(book, *id, &action->measure, err);
    }
    return status;
}

static ap_status note_change(ap_book *book, int64_t id, const char *field, ap_str old_value, ap_str new_value,
                             ap_str why, const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    if (ap_str_equal(old_value, new_value)) {
        return AP_OK;
    }
    ap_status status = ap_query_open(&query, book, "action_history_insert", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":id", id);
        ap_query_bind_text(query, ":field", ap_str_from(field));
        ap_query_bind_text(query, ":old", old_value);
        ap_query_bind_text(query, ":new", new_value);
        ap_query_bind_date(query, ":today", author->today);
        ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
        ap_query_bind_text(query, ":why", why);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_action_change(ap_book *book, const ap_action *before, const ap_action *changed, ap_str why,
                                const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    char due[2][AP_ISO_SIZE];
    ap_date_to_iso(due[0], before->due);
    ap_date_to_iso(due[1], changed->due);
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = note_change(book, before->id, "state", before->state, changed->state, why, author, err);
    }
    if (status == AP_OK) {
        status = note_change(book, before->id, "due", ap_str_from(due[0]), ap_str_from(due[1]), why, author, err);
    }
    if (status == AP_OK) {
        status = note_change(book, before->id, "owner", before->owner, changed->owner, why, author, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "action_change", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":id", before->id);
        ap_query_bind_text(query, ":state", changed->state);
        ap_query_bind_text(query, ":owner", changed->owner);
        ap_query_bind_date(query, ":due", changed->due);
        ap_query_bind_date(query, ":today", author->today);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_action action_of(ap_arena *arena, const ap_query *query) {
    return (ap_action){
        .id = ap_query_int(query, 0),
        .writeup = ap_query_is_null(query, 1) ? 0 : ap_query_int(query, 1),
        .finding = ap_query_is_null(query, 2) ? 0 : ap_query_int(query, 2),
        .says = ap_arena_str(arena, ap_query_text(query, 3)),
        .control = ap_arena_str(arena, ap_query_text(query, 4)),
        .owner = ap_arena_str(arena, ap_query_text(query, 5)),
        .due = ap_query_date(query, 6),
        .target = ap_arena_str(arena, ap_query_text(query, 7)),
        .state = ap_arena_str(arena, ap_query_text(query, 8)),
        .opened = ap_query_date(query, 9),
        .closed = ap_query_date(query, 10),
        .measure = {.figure = ap_arena_str(arena, ap_query_text(query, 11)),
                    .species = ap_arena_str(arena, ap_query_text(query, 12)),
                    .cut = ap_arena_str(arena, ap_query_text(query, 13)),
                    .crew = ap_arena_str(arena, ap_query_text(query, 14))},
    };
}

static ap_status read_list(ap_action *out, size_t max, size_t *count, ap_arena *arena, ap_book *book, int64_t id,
                           int64_t writeup, ap_error *err) {
    ap_query *query = NULL;
    *count = 0;
    ap_status status = ap_query_open(&query, book, "action_list", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":id", id);
        ap_query_bind_int(query, ":writeup", writeup);
    }
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row && *count == max) {
            status = ap_error_set(err, AP_E_LIMIT, "the book holds more than %zu actions", max);
        } else if (status == AP_OK && row) {
            out[(*count)++] = action_of(arena, query);
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the actions", err) : status;
}

ap_status ap_book_actions(ap_action **out, size_t *count, ap_arena *arena, ap_book *book, int64_t writeup,
                          ap_error *err) {
    int64_t rows = 0;
    ap_status status = ap_book_integer(&rows, book, "SELECT count(*) FROM action", 0, err);
    if (status != AP_OK) {
        return status;
    }
    if (rows > ACTIONS_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "the book holds more than %d actions", (int)ACTIONS_MAX);
    }
    *out = ap_arena_alloc_array(arena, (size_t)rows + 1, sizeof **out);
    if (!*out) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the actions");
    }
    return read_list(*out, (size_t)rows, count, arena, book, 0, writeup, err);
}

ap_status ap_book_action_get(ap_action *out, ap_arena *arena, ap_book *book, int64_t id, ap_error *err) {
    size_t count = 0;
    ap_status status = id > 0 ? read_list(out, 1, &count, arena, book, id, 0, err) : AP_OK;
    if (status == AP_OK && count == 0) {
        status = ap_error_set(err, AP_E_NOT_FOUND,
                              "there is no action %" PRId64 " in this book; 'afterpick action' lists them", id);
    }
    return status;
}

ap_status ap_book_action_history(ap_action_change **out, size_t *count, ap_arena *arena, ap_book *book, int64_t id,
                                 ap_error *err) {
    ap_query *query = NULL;
    *count = 0;
    *out = ap_arena_alloc_array(arena, CHANGES_MAX, sizeof **out);
    if (!*out) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for an action's history");
    }
    ap_status status = ap_query_open(&query, book, "action_history_list", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":id", id);
    }
    for (bool row = true; status == AP_OK && row && *count < CHANGES_MAX;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            (*out)[(*count)++] = (ap_action_change){
                .field = ap_arena_str(arena, ap_query_text(query, 0)),
                .old_value = ap_arena_str(arena, ap_query_text(query, 1)),
                .new_value = ap_arena_str(arena, ap_query_text(query, 2)),
                .changed_on = ap_query_date(query, 3),
                .who = ap_arena_str(arena, ap_query_text(query, 4)),
                .why = ap_arena_str(arena, ap_query_text(query, 5)),
            };
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "an action's history", err) : status;
}
