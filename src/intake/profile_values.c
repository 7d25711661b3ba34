#include "intake/profile.h"

static size_t next_piece(ap_str text, size_t at, char *out) {
    if (at < text.len &&
        (text.ptr[at] == ' ' || text.ptr[at] == '\t' || text.ptr[at] == '\n' || text.ptr[at] == '\r')) {
        while (at < text.len &&
               (text.ptr[at] == ' ' || text.ptr[at] == '\t' || text.ptr[at] == '\n' || text.ptr[at] == '\r')) {
            at++;
        }
        *out = ' ';
        return at;
    }
    const char c = at < text.len ? text.ptr[at] : '\0';
    *out = (char)(c >= 'A' && c <= 'Z' ? c + 32 : c);
    return at + 1;
}

bool ap_profile_header_is(ap_str a, ap_str b) {
    a = ap_str_trim(a);
    b = ap_str_trim(b);
    size_t i = 0;
    size_t k = 0;
    while (i < a.len && k < b.len) {
        char c = 0;
        char d = 0;
        i = next_piece(a, i, &c);
        k = next_piece(b, k, &d);
        if (c != d) {
            return false;
        }
    }
    return i == a.len && k == b.len;
}

/* Adds a set of movements to the words already there. */
static void join(ap_buf *space, ap_str words) {
    if (words.len) {
        if (space->len) {
            ap_buf_append_char(space, '+');
        }
        ap_buf_append_str(space, words);
    }
}

ap_status ap_profile_value_of(ap_str *out, const ap_profile_values *values, ap_str cell, ap_buf *space, ap_error *err) {
    const ap_profile_value *otherwise = NULL;
    bool joined = false;
    ap_buf_clear(space);
    for (size_t i = 0; i < values->count; i++) {
        const ap_profile_value *value = &values->items[i];
        if (value->otherwise) {
            otherwise = value;
            continue;
        }
        bool found = false;
        if (value->match) {
            const ap_status status = ap_pattern_match(&found, value->match, cell, 0, err);
            if (status != AP_OK) {
                return status;
            }
        } else {
            found = ap_str_equal_nocase(value->from, cell);
        }
        if (found && (!value->match || !values->joins)) {
            *out = value->to;
            return AP_OK;
        }
        if (found) {
            joined = true;
            join(space, value->to);
        }
    }
    *out = joined ? ap_buf_str(space) : otherwise ? otherwise->to : cell;
    if (joined && out->len == 0) {
        *out = AP_STR_LIT("");
    }
    return ap_buf_check(space, "the words of a cell", err);
}
