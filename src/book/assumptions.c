#include "book/assumptions.h"

#include "book/handle.h"

enum { ASSUMPTIONS_MAX = 100000 };

static void read_one(ap_assumption *out, const ap_query *query, ap_arena *arena) {
    *out = (ap_assumption){
        .id = ap_query_int(query, 0),
        .species_id = ap_query_int(query, 1),
        .density_kg_m3 = ap_query_real(query, 2),
        .sd_log = ap_query_real(query, 3),
        .trees = ap_query_int(query, 4),
        .picks = ap_query_int(query, 5),
        .since = ap_query_date(query, 6),
        .accepted_on = ap_query_date(query, 7),
        .who = ap_arena_str(arena, ap_query_text(query, 8)),
        .why = ap_arena_str(arena, ap_query_text(query, 9)),
        .evidence = ap_arena_str(arena, ap_query_text(query, 10)),
        .lowers_weight = ap_query_int(query, 11) != 0,
        .undone_on = ap_query_date(query, 12),
        .undone_who = ap_arena_str(arena, ap_query_text(query, 13)),
        .undone_why = ap_arena_str(arena, ap_query_text(query, 14)),
    };
}

ap_status ap_book_assumptions_read(ap_assumptions *out, ap_arena *arena, ap_book *book, ap_error *err) {
    *out = (ap_assumptions){0};
    int64_t count = 0;
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_book_integer(&count, book, "SELECT count(*) FROM density_assumption", 0, err);
    if (status == AP_OK && count > ASSUMPTIONS_MAX) {
        status = ap_error_set(err, AP_E_LIMIT, "the book holds more than %d accepted densities", ASSUMPTIONS_MAX);
    }
    if (status == AP_OK) {
        out->items = ap_arena_alloc_array(arena, (size_t)count + 1, sizeof *out->items);
        status = ap_arena_check(arena, "the accepted densities", err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "assumption_list", err);
    }
    if (status == AP_OK) {
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row && out->count < (size_t)count) {
        read_one(&out->items[out->count++], query, arena);
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the accepted densities", err) : status;
}

const ap_assumption *ap_assumption_in_force(const ap_assumptions *all, int64_t species_id, ap_date day) {
    const ap_assumption *found = NULL;
    for (size_t i = 0; i < all->count; i++) {
        const ap_assumption *one = &all->items[i];
        bool begun = day == AP_DATE_NONE || one->since <= day;
        bool stands = one->undone_on == AP_DATE_NONE || (day != AP_DATE_NONE && day < one->undone_on);
        if (one->species_id == species_id && begun && stands) {
            found = one;
        }
    }
    return found;
}

static ap_status need_reason(ap_book *book, ap_str why, ap_error *err) {
    if (ap_str_is_blank(why)) {
        return ap_error_set(err, AP_E_USAGE, "a change of a density needs a reason: --why \"...\"");
    }
    return ap_book_need_transaction(book, err);
}

ap_status ap_book_assumption_accept(ap_book *book, const ap_assumption *assumption, const ap_book_author *author,
                                    ap_error *err) {
    ap_query *query = NULL;
    ap_status status = need_reason(book, assumption->why, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "assumption_insert", err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":species_id", assumption->species_id);
    ap_query_bind_real(query, ":density", assumption->density_kg_m3);
    ap_query_bind_real(query, ":sd_log", assumption->sd_log);
    ap_query_bind_int(query, ":trees", assumption->trees);
    ap_query_bind_int(query, ":picks", assumption->picks);
    ap_query_bind_date(query, ":today", author->today);
    ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
    ap_query_bind_text(query, ":why", assumption->why);
    ap_query_bind_text(query, ":evidence", assumption->evidence);
    ap_query_bind_int(query, ":lowers", assumption->lowers_weight);
    status = ap_query_run(query, err);
    ap_query_close(query);
    return status;
}

ap_status ap_book_assumption_undo(ap_book *book, int64_t id, ap_str why, const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = need_reason(book, why, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "assumption_undo", err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":id", id);
    ap_query_bind_date(query, ":today", author->today);
    ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
    ap_query_bind_text(query, ":why", why);
    status = ap_query_run(query, err);
    if (status == AP_OK && ap_book_changes(book) == 0) {
        status = ap_error_set(err, AP_E_NOT_FOUND, "that density was taken back already");
    }
    ap_query_close(query);
    return status;
}
