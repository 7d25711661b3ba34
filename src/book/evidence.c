#include "book/evidence.h"

#include "book/handle.h"

static ap_status need_reason(ap_book *book, ap_str why, ap_error *err) {
    if (ap_str_is_blank(why)) {
        return ap_error_set(err, AP_E_USAGE, "a change of the evidence needs a reason: --why \"...\"");
    }
    return ap_book_need_transaction(book, err);
}

static ap_str role_of(const ap_book_author *author) {
    return author->role.ptr ? author->role : AP_STR_LIT("");
}

static void read_set(ap_evidence_set *out, const ap_query *query, ap_arena *arena) {
    *out = (ap_evidence_set){
        .id = ap_query_int(query, 0),
        .sha256 = ap_arena_str(arena, ap_query_text(query, 1)),
        .origin = ap_arena_str(arena, ap_query_text(query, 2)),
        .imported_on = ap_query_date(query, 3),
        .who = ap_arena_str(arena, ap_query_text(query, 4)),
        .why = ap_arena_str(arena, ap_query_text(query, 5)),
        .removed_on = ap_query_date(query, 6),
        .removed_who = ap_arena_str(arena, ap_query_text(query, 7)),
        .removed_why = ap_arena_str(arena, ap_query_text(query, 8)),
    };
}

static void read_item(ap_evidence_item *out, const ap_query *query) {
    *out = (ap_evidence_item){
        .kind = (ap_evidence_kind)ap_query_int(query, 0),
        .species_id = ap_query_int(query, 1),
        .class = (uint32_t)ap_query_int(query, 2),
        .log_shift = ap_query_real(query, 3),
        .se_log = ap_query_real(query, 4),
        .trees = ap_query_int(query, 5),
        .picks = ap_query_int(query, 6),
        .set_id = ap_query_int(query, 7),
    };
}

static ap_status count_rows(size_t *out, ap_book *book, const char *sql, size_t most, ap_error *err) {
    int64_t count = 0;
    ap_status status = ap_book_integer(&count, book, sql, 0, err);
    *out = (size_t)count;
    if (status == AP_OK && (uint64_t)count > most) {
        status = ap_error_set(err, AP_E_LIMIT, "the book holds %lld rows of evidence, more than %zu", (long long)count,
                              most);
    }
    return status;
}

static ap_status read_sets(ap_evidence *out, ap_arena *arena, ap_book *book, ap_error *err) {
    size_t room = 0;
    bool row = false;
    ap_query *query = NULL;
    ap_status status = count_rows(&room, book, "SELECT count(*) FROM evidence_set", AP_EVIDENCE_SETS_MAX, err);
    if (status == AP_OK) {
        out->sets = ap_arena_alloc_array(arena, room + 1, sizeof *out->sets);
        status = ap_arena_check(arena, "the evidence", err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "evidence_sets", err);
    }
    if (status == AP_OK) {
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row && out->set_count < room) {
        read_set(&out->sets[out->set_count++], query, arena);
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_status read_items(ap_evidence *out, ap_arena *arena, ap_book *book, ap_date day, ap_error *err) {
    size_t room = 0;
    bool row = false;
    ap_query *query = NULL;
    ap_status status = count_rows(&room, book, "SELECT count(*) FROM evidence_item",
                                  (size_t)AP_EVIDENCE_SETS_MAX * AP_EVIDENCE_ITEMS_MAX, err);
    if (status == AP_OK) {
        out->items = ap_arena_alloc_array(arena, room + 1, sizeof *out->items);
        status = ap_arena_check(arena, "the evidence", err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "evidence_items", err);
    }
    if (status == AP_OK) {
        ap_query_bind_date(query, ":day", day);
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row && out->item_count < room) {
        read_item(&out->items[out->item_count++], query);
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_evidence_read(ap_evidence *out, ap_arena *arena, ap_book *book, ap_date day, ap_error *err) {
    *out = (ap_evidence){0};
    ap_status status = read_sets(out, arena, book, err);
    if (status == AP_OK) {
        status = read_items(out, arena, book, day, err);
    }
    return status == AP_OK ? ap_arena_check(arena, "the evidence", err) : status;
}

static ap_status look_up(bool *known, ap_book *book, const ap_evidence_set *set, ap_error *err) {
    bool row = false;
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "evidence_known", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_text(query, ":sha256", set->sha256);
    ap_query_bind_text(query, ":origin", set->origin);
    status = ap_query_step(&row, query, err);
    *known = status == AP_OK && ap_query_int(query, 0) != 0;
    if (status == AP_OK && !*known && ap_query_int(query, 2) != 0) {
        status = ap_error_set(err, AP_E_DOMAIN,
                              "this is evidence of this book's own picks, given away before: it counts already");
    } else if (status == AP_OK && !*known && ap_query_int(query, 1) != 0) {
        status = ap_error_set(err, AP_E_DOMAIN,
                              "other evidence of '%.*s' counts already, and the same trees would count twice: take it "
                              "out first with 'afterpick evidence remove \"%.*s\" --why ...'",
                              AP_STR_ARG(set->origin), AP_STR_ARG(set->origin));
    }
    ap_query_close(query);
    return status;
}

static ap_status insert_set(ap_book *book, const ap_evidence_set *set, const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "evidence_set_insert", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_text(query, ":sha256", set->sha256);
    ap_query_bind_text(query, ":origin", set->origin);
    ap_query_bind_date(query, ":today", author->today);
    ap_query_bind_text(query, ":who", role_of(author));
    ap_query_bind_text(query, ":why", set->why);
    status = ap_query_run(query, err);
    ap_query_close(query);
    return status;
}

static ap_status insert_item(ap_book *book, const ap_evidence_item *item, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "evidence_item_insert", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":kind", item->kind);
    ap_query_bind_int(query, ":species_id", item->species_id);
    ap_query_bind_int(query, ":class", item->class);
    ap_query_bind_real(query, ":log_shift", item->log_shift);
    ap_query_bind_real(query, ":se_log", item->se_log);
    ap_query_bind_int(query, ":trees", item->trees);
    ap_query_bind_int(query, ":picks", item->picks);
    status = ap_query_run(query, err);
    ap_query_close(query);
    return status;
}

ap_status ap_book_evidence_add(bool *known, ap_book *book, const ap_evidence_set *set, const ap_evidence_item *items,
                               size_t count, const ap_book_author *author, ap_error *err) {
    *known = false;
    ap_status status = need_reason(book, set->why, err);
    if (status == AP_OK) {
        status = look_up(known, book, set, err);
    }
    if (status != AP_OK || *known) {
        return status;
    }
    status = insert_set(book, set, author, err);
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        status = insert_item(book, &items[i], err);
    }
    return status;
}

ap_status ap_book_evidence_remove(ap_book *book, ap_str origin, ap_str why, const ap_book_author *author,
                                  ap_error *err) {
    ap_query *query = NULL;
    ap_status status = need_reason(book, why, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "evidence_remove", err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_text(query, ":origin", origin);
    ap_query_bind_date(query, ":today", author->today);
    ap_query_bind_text(query, ":who", role_of(author));
    ap_query_bind_text(query, ":why", why);
    status = ap_query_run(query, err);
    if (status == AP_OK && ap_book_changes(book) == 0) {
        status = ap_error_set(err, AP_E_NOT_FOUND, "no evidence of '%.*s' counts: 'afterpick evidence list' shows all",
                              AP_STR_ARG(origin));
    }
    ap_query_close(query);
    return status;
}

ap_status ap_book_evidence_exported(ap_book *book, ap_str sha256, ap_str origin, ap_date today, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "evidence_exported", err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_text(query, ":sha256", sha256);
    ap_query_bind_text(query, ":origin", origin);
    ap_query_bind_date(query, ":today", today);
    status = ap_query_run(query, err);
    ap_query_close(query);
    return status;
}
