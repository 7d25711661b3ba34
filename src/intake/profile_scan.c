#include "intake/profile_scan.h"

enum { SHOWN = 40 };

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\r';
}

static void pass_blanks(ap_scan_line *line) {
    while (line->rest.len && is_blank(line->rest.ptr[0])) {
        line->rest.ptr++;
        line->rest.len--;
    }
}

static void advance(ap_scan_line *line, size_t bytes) {
    line->rest.ptr += bytes;
    line->rest.len -= bytes;
    pass_blanks(line);
}

static bool is_word(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

static size_t word_len(ap_str rest) {
    size_t len = 0;
    while (len < rest.len && is_word(rest.ptr[len]) &&
           !(rest.ptr[len] == '-' && len + 1 < rest.len && rest.ptr[len + 1] == '>')) {
        len++;
    }
    return len;
}

bool ap_take_word(ap_str *out, ap_scan_line *line) {
    pass_blanks(line);
    const size_t len = word_len(line->rest);
    if (len == 0) {
        return false;
    }
    *out = (ap_str){line->rest.ptr, len};
    advance(line, len);
    return true;
}

bool ap_take_this(ap_scan_line *line, const char *word) {
    pass_blanks(line);
    const size_t len = strlen(word);
    if (line->rest.len < len || memcmp(line->rest.ptr, word, len) != 0 ||
        (word[0] >= 'a' && word[0] <= 'z' && word_len(line->rest) != len)) {
        return false;
    }
    advance(line, len);
    return true;
}

/* Length of the quoted text at the front with both quotes; 0 when there is none. */
static size_t quoted_len(ap_str rest) {
    if (rest.len == 0 || rest.ptr[0] != '"') {
        return 0;
    }
    for (size_t i = 1; i < rest.len; i++) {
        if (rest.ptr[i] == '\\') {
            i++;
        } else if (rest.ptr[i] == '"') {
            return i + 1;
        }
    }
    return 0;
}

bool ap_take_text(ap_str *out, ap_scan_line *line) {
    pass_blanks(line);
    const size_t len = quoted_len(line->rest);
    char *copy = len ? ap_arena_alloc(line->arena, len) : NULL;
    if (!copy) {
        return false;
    }
    size_t used = 0;
    for (size_t i = 1; i + 1 < len; i++) {
        char c = line->rest.ptr[i];
        if (c == '\\') {
            c = line->rest.ptr[++i];
            if (c != '"' && c != '\\' && c != 'n' && c != 't') {
                return false;
            }
            c = c == 'n' ? '\n' : c == 't' ? '\t' : c;
        }
        copy[used++] = c;
    }
    *out = (ap_str){copy, used};
    advance(line, len);
    return true;
}

bool ap_take_pattern(ap_str *out, char flags[8], ap_scan_line *line) {
    pass_blanks(line);
    const ap_str rest = line->rest;
    if (rest.len < 2 || rest.ptr[0] != '/') {
        return false;
    }
    size_t at = 1;
    while (at < rest.len && rest.ptr[at] != '/') {
        at += rest.ptr[at] == '\\' && at + 1 < rest.len ? 2 : 1;
    }
    if (at >= rest.len || at == 1) {
        return false;
    }
    *out = (ap_str){rest.ptr + 1, at - 1};
    size_t count = 0;
    for (at++; at < rest.len && is_word(rest.ptr[at]); at++) {
        if (count == 4 || !strchr("ixms", rest.ptr[at])) {
            return false;
        }
        flags[count++] = rest.ptr[at];
    }
    flags[count] = '\0';
    advance(line, at);
    return true;
}

bool ap_take_number(int64_t *out, ap_scan_line *line) {
    pass_blanks(line);
    const size_t len = word_len(line->rest);
    if (len == 0 || !ap_str_to_int64(out, (ap_str){line->rest.ptr, len})) {
        return false;
    }
    advance(line, len);
    return true;
}

bool ap_take_rest(ap_str *out, ap_scan_line *line, bool to_comma) {
    pass_blanks(line);
    if (quoted_len(line->rest)) {
        return ap_take_text(out, line);
    }
    size_t len = 0;
    while (len < line->rest.len && !(to_comma && line->rest.ptr[len] == ',') &&
           !(line->rest.ptr[len] == '#' && (len == 0 || is_blank(line->rest.ptr[len - 1])))) {
        len++;
    }
    *out = ap_str_trim((ap_str){line->rest.ptr, len});
    advance(line, len);
    return out->len > 0;
}

bool ap_at_end(const ap_scan_line *line) {
    const ap_str rest = ap_str_trim(line->rest);
    return rest.len == 0 || rest.ptr[0] == '#';
}

ap_str ap_next_shown(const ap_scan_line *line) {
    ap_str rest = ap_str_trim(line->rest);
    if (rest.len > SHOWN) {
        rest.len = SHOWN;
        while (rest.len && ((unsigned char)rest.ptr[rest.len] & 0xC0) == 0x80) {
            rest.len--;
        }
    }
    return ap_str_trim(rest);
}
