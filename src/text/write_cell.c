/* One cell as RFC 4180 text, and what a spreadsheet would take for a formula made harmless. */
#include "text/decode.h"

static bool is_plain_number(ap_str cell) {
    size_t digits = 0;
    for (size_t i = cell.len > 0 && (cell.ptr[0] == '-' || cell.ptr[0] == '+'); i < cell.len; i++) {
        bool digit = cell.ptr[i] >= '0' && cell.ptr[i] <= '9';
        if (!digit && cell.ptr[i] != '.' && cell.ptr[i] != ',') {
            return false;
        }
        digits += digit;
    }
    return digits > 0;
}

/* '=', '+', '-', '@' and their full-width forms. */
static bool has_sign(ap_str text) {
    size_t len = 0;
    const uint32_t first = text.len > 0 ? ap_utf8_get(text, 0, &len) : 0;
    return first == '=' || first == '+' || first == '-' || first == '@' || first == 0xFF1D || first == 0xFF0B ||
           first == 0xFF0D || first == 0xFF20;
}

/* An apostrophe or several, and a sign behind them: a guarded formula, or a text that looks like one. */
static bool is_guarded(ap_str cell) {
    size_t at = 0;
    while (at < cell.len && cell.ptr[at] == '\'') {
        at++;
    }
    return at > 0 && has_sign((ap_str){cell.ptr + at, cell.len - at});
}

/* A sign starts a formula, also behind blanks; a signed number is none. What looks guarded is guarded once more, so that taking one
 * apostrophe off gives every text back. */
static bool needs_guard(ap_str cell) {
    const ap_str rest = ap_str_trim(cell);
    return is_guarded(cell) || (has_sign(rest) && !is_plain_number(rest));
}

ap_str ap_delimited_unguard(ap_str cell) {
    return is_guarded(cell) ? (ap_str){cell.ptr + 1, cell.len - 1} : cell;
}

void ap_delimited_write_cell(ap_buf *out, ap_str cell, char delimiter, bool guard) {
    bool apostrophe = guard && needs_guard(cell);
    bool quoted = false;
    for (size_t i = 0; i < cell.len && !quoted; i++) {
        char c = cell.ptr[i];
        quoted = c == delimiter || c == '"' || c == '\n' || c == '\r';
    }
    if (!quoted) {
        if (apostrophe) {
            ap_buf_append_char(out, '\'');
        }
        ap_buf_append_str(out, cell);
        return;
    }
    ap_buf_append_cstr(out, apostrophe ? "\"'" : "\"");
    for (size_t at = 0; at < cell.len;) {
        const char *quote = memchr(cell.ptr + at, '"', cell.len - at);
        size_t len = quote ? (size_t)(quote - cell.ptr) + 1 - at : cell.len - at;
        ap_buf_append(out, cell.ptr + at, len);
        if (quote) {
            ap_buf_append_char(out, '"');
        }
        at += len;
    }
    ap_buf_append_char(out, '"');
}
