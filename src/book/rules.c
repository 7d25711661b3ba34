#include "book/rules.h"

enum { ROWS_MAX = 4096 };

static ap_str keep(ap_arena *arena, ap_str text) {
    return ap_arena_str(arena, text);
}

/* Steps through `query`, calling `take` with room for one more row of `size` bytes at a time. */
static ap_status read_rows(void **rows, size_t *count, size_t size, ap_arena *arena, ap_query *query,
                           void (*take)(void *row, ap_arena *arena, const ap_query *query), ap_error *err) {
    size_t cap = 0;
    bool row = false;
    *rows = NULL;
    *count = 0;
    ap_status status = ap_query_step(&row, query, err);
    while (status == AP_OK && row && *count < ROWS_MAX) {
        if (*count == cap) {
            size_t more = cap ? cap * 2 : 32;
            void *grown = ap_arena_alloc_array(arena, more, size);
            if (!grown) {
                return ap_arena_check(arena, "the rules", err);
            }
            if (*rows) {
                memcpy(grown, *rows, cap * size);
            }
            *rows = grown;
            cap = more;
        }
        take((char *)*rows + *count * size, arena, query);
        ++*count;
        status = ap_query_step(&row, query, err);
    }
    if (status == AP_OK && row) {
        status =
            ap_error_set(err, AP_E_LIMIT, "the book holds more than %d rows of rules or of their history", ROWS_MAX);
    }
    return status == AP_OK ? ap_arena_check(arena, "the rules", err) : status;
}

static void take_rule(void *row, ap_arena *arena, const ap_query *query) {
    *(ap_rule_row *)row = (ap_rule_row){
        .name = keep(arena, ap_query_text(query, 0)),
        .key = keep(arena, ap_query_text(query, 1)),
        .value = keep(arena, ap_query_text(query, 2)),
        .number = ap_query_real(query, 3),
        .shipped = keep(arena, ap_query_text(query, 4)),
        .reason = keep(arena, ap_query_text(query, 5)),
        .source = keep(arena, ap_query_text(query, 6)),
    };
}

ap_status ap_book_rules(ap_rule_row **rows, size_t *count, ap_arena *arena, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    void *all = NULL;
    *rows = NULL;
    *count = 0;
    ap_status status = ap_query_open(&query, book, "rule_list", err);
    if (status == AP_OK) {
        status = read_rows(&all, count, sizeof **rows, arena, query, take_rule, err);
    }
    *rows = all;
    ap_query_close(query);
    return status;
}

static void take_change(void *row, ap_arena *arena, const ap_query *query) {
    *(ap_rule_change *)row = (ap_rule_change){
        .key = keep(arena, ap_query_text(query, 0)),
        .old_value = keep(arena, ap_query_text(query, 1)),
        .new_value = keep(arena, ap_query_text(query, 2)),
        .on = ap_query_date(query, 3),
        .who = keep(arena, ap_query_text(query, 4)),
        .why = keep(arena, ap_query_text(query, 5)),
    };
}

ap_status ap_book_rule_history(ap_rule_change **rows, size_t *count, ap_arena *arena, ap_book *book, ap_str name,
                               ap_error *err) {
    ap_query *query = NULL;
    void *all = NULL;
    *rows = NULL;
    *count = 0;
    ap_status status = ap_query_open(&query, book, "rule_history_list", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":name", name);
        status = read_rows(&all, count, sizeof **rows, arena, query, take_change, err);
    }
    *rows = all;
    ap_query_close(query);
    return status;
}

ap_status ap_book_rule_change_text(ap_book *book, ap_str name, ap_str key, ap_str value, ap_str why,
                                   const ap_book_author *author, ap_error *err) {
    static const char *const files[] = {"rule_history_insert", "rule_put"};
    ap_status status = AP_OK;
    for (size_t i = 0; i < 2 && status == AP_OK; i++) {
        ap_query *query = NULL;
        status = ap_query_open(&query, book, files[i], err);
        if (status == AP_OK) {
            ap_query_bind_text(query, ":name", name);
            ap_query_bind_text(query, ":key", key);
            ap_query_bind_text(query, ":why", why);
            ap_query_bind_text(query, i == 0 ? ":new_value" : ":value", value);
            if (i == 0) {
                ap_query_bind_date(query, ":today", author->today);
                ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
            }
            status = ap_query_run(query, err);
        }
        ap_query_close(query);
    }
    return status;
}

ap_status ap_book_rule_change(ap_book *book, ap_str name, ap_str key, double value, ap_str why,
                              const ap_book_author *author, ap_error *err) {
    char number[64];
    snprintf(number, sizeof number, "%.15g", value);
    return ap_book_rule_change_text(book, name, key, ap_str_from(number), why, author, err);
}
