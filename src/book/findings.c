#include "book/findings.h"

#include "book/handle.h"

enum { PICKS_MAX = 1000, CHANGES_MAX = 1000 };

static bool is_one_of(ap_str scope, const char *const *scopes, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (ap_str_equal_word(scope, scopes[i])) {
            return true;
        }
    }
    return false;
}

ap_status ap_book_finding_same(ap_finding_row *out, ap_arena *arena, ap_book *book, ap_str detector, ap_str first_pick,
                               const char *const *scopes, size_t scope_count, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    *out = (ap_finding_row){0};
    ap_status status = ap_query_open(&query, book, "finding_same", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":first_pick", first_pick);
        ap_query_bind_text(query, ":detector", detector);
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row && !is_one_of(ap_query_text(query, 1), scopes, scope_count)) {
        status = ap_query_step(&row, query, err);
    }
    if (status == AP_OK && row) {
        *out = (ap_finding_row){.id = ap_query_int(query, 0),
                                .scope = ap_arena_str(arena, ap_query_text(query, 1)),
                                .picks = ap_query_int(query, 2),
                                .state = ap_arena_str(arena, ap_query_text(query, 3)),
                                .found_on = ap_query_date(query, 4),
                                .state_on = ap_query_date(query, 5),
                                .state_picks = ap_query_int(query, 6),
                                .why = ap_arena_str(arena, ap_query_text(query, 7)),
                                .last_pick = ap_arena_str(arena, ap_query_text(query, 8)),
                                .last_date = ap_query_date(query, 9)};
        status = ap_arena_check(arena, "a finding", err);
    }
    ap_query_close(query);
    return status;
}

/* "J231/A/17" -> job, part, pick; what holds no '/' is left to the name alone. */
static void bind_parts(ap_query *query, ap_str name) {
    ap_str job = name;
    ap_str pick = AP_STR_NONE;
    ap_str part = AP_STR_LIT("");
    for (size_t i = 0; i < name.len; i++) {
        if (name.ptr[i] == '/' && !pick.ptr) {
            job.len = i;
            pick = (ap_str){name.ptr + i + 1, name.len - i - 1};
        } else if (name.ptr[i] == '/') {
            part = (ap_str){name.ptr + job.len + 1, i - job.len - 1};
            pick = (ap_str){name.ptr + i + 1, name.len - i - 1};
        }
    }
    ap_query_bind_text(query, ":job", job);
    ap_query_bind_text(query, ":part", part);
    ap_query_bind_text(query, ":pick", pick);
}

static ap_status write_picks(ap_book *book, int64_t id, const ap_str *names, size_t count, ap_error *err) {
    ap_query *clear = NULL;
    ap_query *insert = NULL;
    ap_status status = ap_query_open(&clear, book, "finding_pick_clear", err);
    if (status == AP_OK) {
        ap_query_bind_int(clear, ":id", id);
        status = ap_query_run(clear, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&insert, book, "finding_pick_insert", err);
    }
    for (size_t i = 0; i < count && status == AP_OK; i++) {
        ap_query_bind_int(insert, ":id", id);
        ap_query_bind_int(insert, ":position", (int64_t)i + 1);
        ap_query_bind_text(insert, ":pick_name", names[i]);
        bind_parts(insert, names[i]);
        status = ap_query_run(insert, err);
        if (status == AP_OK) {
            status = ap_query_reset(insert, err);
        }
    }
    ap_query_close(clear);
    ap_query_close(insert);
    return status;
}

ap_status ap_book_finding_keep(int64_t *id, ap_book *book, const ap_finding_row *row, const ap_str *names,
                               size_t name_count, ap_date today, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, row->id ? "finding_seen" : "finding_insert", err);
    if (status == AP_OK) {
        if (row->id) {
            ap_query_bind_int(query, ":id", row->id);
        } else {
            ap_query_bind_text(query, ":detector", row->detector);
            ap_query_bind_text(query, ":scope", row->scope);
            ap_query_bind_text(query, ":first_pick", row->first_pick);
        }
        ap_query_bind_text(query, ":last_pick", row->last_pick);
        ap_query_bind_date(query, ":last_date", row->last_date);
        ap_query_bind_text(query, ":class", row->class);
        ap_query_bind_text(query, ":says", row->says);
        ap_query_bind_int(query, ":picks", row->picks);
        ap_query_bind_date(query, ":today", today);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    if (status == AP_OK) {
        *id = row->id ? row->id : ap_book_last_row(book);
        status = write_picks(book, *id, names, name_count, err);
    }
    return status;
}

ap_status ap_book_finding_get(ap_finding_row *out, ap_arena *arena, ap_book *book, int64_t id, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    *out = (ap_finding_row){0};
    ap_status status = ap_query_open(&query, book, "finding_get", err);
    if (status == AP_OK) {
        ap_query_bind_int(query, ":id", id);
        status = ap_query_step(&row, query, err);
    }
    if (status == AP_OK && !row) {
        status = ap_error_set(err, AP_E_NOT_FOUND, "the book keeps no finding %lld; 'afterpick findings' lists them",
                              (long long)id);
    }
    if (status == AP_OK) {
        ap_str *texts[] = {&out->detector,
                           &out->scope,
                           &out->first_pick,
                           &out->last_pick,
                           NULL,
                           &out->class,
                           &out->says,
                           NULL,
                           &out->state,
                           NULL,
                           NULL,
                           NULL,
                           NULL,
                           &out->who,
                           &out->why};
        for (int i = 0; i < (int)(sizeof texts / sizeof texts[0]); i++) {
            if (texts[i]) {
                *texts[i] = ap_arena_str(arena, ap_query_text(query, i + 1));
            }
        }
        out->id = id;
        out->last_date = ap_query_date(query, 5);
        out->picks = ap_query_int(query, 8);
        out->found_on = ap_query_date(query, 10);
        out->seen_on = ap_query_date(query, 11);
        out->state_on = ap_query_date(query, 12);
        out->state_picks = ap_query_int(query, 13);
        status = ap_arena_check(arena, "a finding", err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_finding_picks(ap_finding_pick **picks, size_t *count, ap_arena *arena, ap_book *book, int64_t id,
                                ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    *count = 0;
    *picks = ap_arena_alloc_array(arena, PICKS_MAX, sizeof **picks);
    ap_status status = ap_arena_check(arena, "the picks of a finding", err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "finding_picks", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":id", id);
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row && *count < PICKS_MAX) {
        ap_finding_pick *pick = &(*picks)[(*count)++];
        *pick = (ap_finding_pick){.name = ap_arena_str(arena, ap_query_text(query, 0)),
                                  .there = ap_query_int(query, 1) != 0,
                                  .date = ap_query_date(query, 2),
                                  .species = ap_arena_str(arena, ap_query_text(query, 3)),
                                  .crew = ap_arena_str(arena, ap_query_text(query, 4)),
                                  .crane = ap_arena_str(arena, ap_query_text(query, 5))};
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the picks of a finding", err) : status;
}

ap_status ap_book_finding_history(ap_finding_change **rows, size_t *count, ap_arena *arena, ap_book *book, int64_t id,
                                  ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    *count = 0;
    *rows = ap_arena_alloc_array(arena, CHANGES_MAX, sizeof **rows);
    ap_status status = ap_arena_check(arena, "the history of a finding", err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "finding_history_list", err);
    }
    if (status == AP_OK) {
        ap_query_bind_int(query, ":id", id);
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row && *count < CHANGES_MAX) {
        (*rows)[(*count)++] = (ap_finding_change){.old_state = ap_arena_str(arena, ap_query_text(query, 0)),
                                                  .new_state = ap_arena_str(arena, ap_query_text(query, 1)),
                                                  .on = ap_query_date(query, 2),
                                                  .who = ap_arena_str(arena, ap_query_text(query, 3)),
                                                  .why = ap_arena_str(arena, ap_query_text(query, 4))};
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the history of a finding", err) : status;
}

ap_status ap_book_finding_set_state(ap_book *book, int64_t id, ap_str state, ap_str why, const ap_book_author *author,
                                    ap_error *err) {
    static const char *const files[] = {"finding_history_insert", "finding_state"};
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK && ap_str_equal_word(state, "dismissed") && ap_str_is_blank(why)) {
        status = ap_error_set(err, AP_E_INPUT, "a finding is dismissed with a reason: add --why \"...\"");
    }
    for (size_t i = 0; i < 2 && status == AP_OK; i++) {
        ap_query *query = NULL;
        status = ap_query_open(&query, book, files[i], err);
        if (status == AP_OK) {
            ap_query_bind_int(query, ":id", id);
            ap_query_bind_text(query, ":state", state);
            ap_query_bind_date(query, ":today", author->today);
            ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
            ap_query_bind_text(query, ":why", why.ptr ? why : AP_STR_LIT(""));
            status = ap_query_run(query, err);
        }
        ap_query_close(query);
    }
    return status;
}
