#include "intake/header.h"
#include "intake/profile_guess.h"

ap_status ap_header_sense_of(int *field, ap_header_sense *sense, ap_arena *arena, ap_book *book, ap_str header,
                             ap_error *err) {
    ap_unit unit = AP_UNIT_NONE;
    char space[AP_HEADER_NAME_SIZE];
    *sense = AP_SENSE_CANONICAL;
    *field = ap_header_field(&unit, header);
    if (*field >= 0) {
        return AP_OK;
    }
    ap_str name = AP_STR_NONE;
    *sense = AP_SENSE_NONE;
    const ap_str spelling = ap_header_spelling(space, header);
    if (spelling.len == 0) {
        return AP_OK;
    }
    ap_status status = ap_header_synonym(&name, arena, book, header, err);
    const bool listed = name.len > 0;
    if (status == AP_OK && !listed) {
        status = ap_header_suggest(&name, arena, book, header, err);
    }
    if (status != AP_OK || name.len == 0) {
        return status;
    }
    *field = ap_field_find(name);
    *sense = *field < 0 ? AP_SENSE_NONE : listed ? AP_SENSE_SYNONYM : AP_SENSE_NEAR;
    return AP_OK;
}

static ap_status check_one(ap_arena *arena, ap_book *book, ap_str header, ap_str wanted, ap_error *err) {
    int field = -1;
    ap_header_sense sense = AP_SENSE_NONE;
    const ap_status status = ap_header_sense_of(&field, &sense, arena, book, header, err);
    if (status != AP_OK) {
        return status;
    }
    const char *got = field >= 0 ? ap_field_get(field)->name : NULL;
    const bool right = wanted.len ? got && ap_str_equal_word(wanted, got) : !got;
    if (right) {
        return AP_OK;
    }
    return ap_error_set(
        err, AP_E_BOOK,
        "the book's spellings of headers contradict their examples: '%.*s' must mean %.*s, but means %s",
        AP_STR_ARG(header), AP_STR_ARG(wanted.len ? wanted : AP_STR_LIT("nothing")), got ? got : "nothing");
}

ap_status ap_header_check_examples(ap_book *book, ap_error *err) {
    ap_arena arena;
    ap_query *query = NULL;
    ap_arena_init(&arena, 1u << 20);
    ap_status status = ap_query_open(&query, book, "header_examples", err);
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            status = check_one(&arena, book, ap_query_text(query, 0), ap_query_text(query, 1), err);
        }
    }
    ap_query_close(query);
    ap_arena_release(&arena);
    return status;
}
