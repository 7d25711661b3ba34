#include "book/profiles.h"

#include "book/handle.h"

enum { PROFILES_MAX = 1000, HISTORY_MAX = 10000 };

static ap_kept_profile kept_of(ap_arena *arena, const ap_query *query) {
    return (ap_kept_profile){.name = ap_arena_str(arena, ap_query_text(query, 0)),
                             .text = ap_arena_str(arena, ap_query_text(query, 1)),
                             .changed_on = ap_arena_str(arena, ap_query_text(query, 2)),
                             .who = ap_arena_str(arena, ap_query_text(query, 3)),
                             .why = ap_arena_str(arena, ap_query_text(query, 4)),
                             .replaced = ap_query_int(query, 5)};
}

ap_status ap_book_profiles(ap_kept_profile **out, size_t *count, ap_arena *arena, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    *count = 0;
    *out = ap_arena_alloc_array(arena, PROFILES_MAX, sizeof **out);
    if (!*out) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the profiles");
    }
    ap_status status = ap_query_open(&query, book, "profile_list", err);
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row && *count == PROFILES_MAX) {
            status = ap_error_set(err, AP_E_LIMIT, "the book holds more than %d profiles", (int)PROFILES_MAX);
        } else if (status == AP_OK && row) {
            (*out)[(*count)++] = kept_of(arena, query);
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the profiles", err) : status;
}

ap_status ap_book_profile_find(ap_kept_profile *out, bool *found, ap_arena *arena, ap_book *book, ap_str name,
                               ap_error *err) {
    ap_query *query = NULL;
    *found = false;
    ap_status status = ap_query_open(&query, book, "profile_get", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":name", name);
        status = ap_query_step(found, query, err);
    }
    if (status == AP_OK && *found) {
        *out = kept_of(arena, query);
        status = ap_arena_check(arena, "a profile", err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_profile_history(ap_profile_change **out, size_t *count, ap_arena *arena, ap_book *book, ap_str name,
                                  ap_error *err) {
    ap_query *query = NULL;
    size_t cap = 0;
    *count = 0;
    *out = NULL;
    ap_status status = ap_query_open(&query, book, "profile_history_list", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":name", name);
    }
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status != AP_OK || !row || *count == HISTORY_MAX) {
            break;
        }
        if (*count == cap) {
            ap_profile_change *wider = ap_arena_alloc_array(arena, cap ? cap * 2 : 16, sizeof *wider);
            if (!wider) {
                status = ap_error_set(err, AP_E_MEMORY, "out of memory for the profiles");
                break;
            }
            if (cap) {
                memcpy(wider, *out, cap * sizeof *wider);
            }
            *out = wider;
            cap = cap ? cap * 2 : 16;
        }
        (*out)[(*count)++] = (ap_profile_change){.name = ap_arena_str(arena, ap_query_text(query, 0)),
                                                 .text = ap_arena_str(arena, ap_query_text(query, 1)),
                                                 .replaced_on = ap_arena_str(arena, ap_query_text(query, 2)),
                                                 .who = ap_arena_str(arena, ap_query_text(query, 3)),
                                                 .why = ap_arena_str(arena, ap_query_text(query, 4))};
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the profiles", err) : status;
}

/* The text that is there goes to the history; *there = false when there is none. */
static ap_status to_history(bool *there, ap_book *book, ap_str name, ap_str why, const ap_book_author *author,
                            ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "profile_history_insert", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":name", name);
        ap_query_bind_date(query, ":today", author->today);
        ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
        ap_query_bind_text(query, ":why", why);
        status = ap_query_run(query, err);
    }
    *there = status == AP_OK && ap_book_changes(book) > 0;
    ap_query_close(query);
    return status;
}

ap_status ap_book_profile_keep(bool *replaced, ap_book *book, ap_str name, ap_str text, ap_str why,
                               const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = to_history(replaced, book, name, why, author, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "profile_put", err);
    }
    if (status == AP_OK) {
        ap_query_bind_text(query, ":name", name);
        ap_query_bind_text(query, ":text", text);
        ap_query_bind_date(query, ":today", author->today);
        ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
        ap_query_bind_text(query, ":why", why);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_profile_drop(ap_book *book, ap_str name, ap_str why, const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    bool there = false;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = to_history(&there, book, name, why, author, err);
    }
    if (status == AP_OK && !there) {
        return ap_error_set(err, AP_E_NOT_FOUND,
                            "the book keeps no profile '%.*s': 'afterpick profile list' lists them", AP_STR_ARG(name));
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "profile_drop", err);
    }
    if (status == AP_OK) {
        ap_query_bind_text(query, ":name", name);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}
