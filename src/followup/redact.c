#include "followup/redact.h"

#include "base/utf8.h"

#define LEFT_OUT "[left out]"

static bool is_word(char c) {
    unsigned char byte = (unsigned char)c;
    return (byte >= '0' && byte <= '9') || ((byte | 32) >= 'a' && (byte | 32) <= 'z') || byte >= 0x80;
}

static bool is_gap(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '_';
}

static bool is_mark(char c) {
    return c > ' ' && (unsigned char)c < 0x80 && !is_word(c);
}

/* Small letters of the scripts whose capitals lie at a fixed distance in Unicode 15. */
static uint32_t fold(uint32_t c) {
    if ((c >= 'A' && c <= 'Z') || (c >= 0xC0 && c <= 0xDE && c != 0xD7) || (c >= 0x391 && c <= 0x3A9) ||
        (c >= 0x410 && c <= 0x42F)) {
        return c + 0x20;
    }
    if (c >= 0x400 && c <= 0x40F) {
        return c + 0x50;
    }
    bool odd_capital = (c >= 0x139 && c <= 0x148) || (c >= 0x179 && c <= 0x17E);
    if (c >= 0x100 && c <= 0x17E && c != 0x130 && c != 0x131 && c != 0x138 && c != 0x149 && c != 0x178) {
        return odd_capital ? c + (c & 1) : c | 1;
    }
    return c;
}

static uint32_t next_letter(ap_str text, size_t *at) {
    size_t len;
    uint32_t letter = fold(ap_utf8_get(text, *at, &len));
    *at += len;
    return letter;
}

static size_t behind_gap(ap_str text, size_t at) {
    while (at < text.len && is_gap(text.ptr[at])) {
        at++;
    }
    return at;
}

/* "Miller" in "Millers": the name and a plural end behind it. */
static size_t behind_plural(ap_str text, size_t at) {
    bool ends = at + 1 >= text.len || !is_word(text.ptr[at + 1]);
    return at < text.len && (text.ptr[at] | 32) == 's' && ends ? at + 1 : at;
}

/* Bytes of `text` from `at` that are the name, whole words; 0 when they are not. */
static size_t match(ap_str text, size_t from, ap_str name) {
    size_t at = from;
    for (size_t in = 0; in < name.len;) {
        if (at < text.len && text.ptr[at] == '\\' && name.ptr[in] != '\\' && at + 1 < text.len &&
            is_mark(text.ptr[at + 1])) {
            at++;
        }
        if (at >= text.len) {
            return 0;
        }
        if (is_gap(name.ptr[in])) {
            if (!is_gap(text.ptr[at])) {
                return 0;
            }
            in = behind_gap(name, in);
            at = behind_gap(text, at);
        } else if (next_letter(name, &in) != next_letter(text, &at)) {
            return 0;
        }
    }
    at = is_word(text.ptr[at - 1]) ? behind_plural(text, at) : at;
    bool inside = at < text.len && is_word(text.ptr[at]) && is_word(text.ptr[at - 1]);
    return inside ? 0 : at - from;
}

static size_t longest_at(size_t *which, ap_str text, size_t at, const ap_str *names, size_t count) {
    size_t longest = 0;
    for (size_t i = 0; i < count; i++) {
        size_t len = names[i].len < 2 ? 0 : match(text, at, names[i]);
        if (len > longest) {
            longest = len;
            *which = i;
        }
    }
    return longest;
}

/* Bytes a name can begin with; where a byte is none of them, no name is tried. */
static void first_bytes(bool first[256], const ap_str *names, size_t count) {
    memset(first, 0, 256 * sizeof *first);
    for (size_t i = 0; i < count; i++) {
        unsigned char c = names[i].len ? (unsigned char)names[i].ptr[0] : 0;
        for (int b = 0; b < 256; b++) {
            bool same = c < 0x80 && b < 0x80 ? fold(c) == fold((uint32_t)b) : c >= 0x80 && b >= 0x80;
            first[b] = first[b] || same || (is_mark((char)c) && b == '\\');
        }
        first['_'] = first['_'] || is_gap((char)c);
    }
}

size_t ap_redact(ap_buf *out, ap_str text, const ap_str *names, const ap_str *instead, size_t count) {
    bool first[256];
    size_t taken = 0;
    first_bytes(first, names, count);
    for (size_t at = 0; at < text.len;) {
        size_t which = 0;
        bool start = at == 0 || !is_word(text.ptr[at - 1]) || !is_word(text.ptr[at]);
        size_t len = start && first[(unsigned char)text.ptr[at]] ? longest_at(&which, text, at, names, count) : 0;
        if (len) {
            ap_buf_append_str(out, instead ? instead[which] : AP_STR_LIT(LEFT_OUT));
            taken++;
        } else {
            ap_buf_append_char(out, text.ptr[at]);
        }
        at += len ? len : 1;
    }
    return taken;
}

static bool names_a_person(ap_str word) {
    static const char *const roles[] = {"climber", "operator", "estimator", "crane",  "crew",   "lead",    "ground",
                                        "foreman", "rigger",   "signal",    "person", "worker", "spotter", "chief"};
    bool small = word.len && word.ptr[0] >= 'a' && word.ptr[0] <= 'z';
    for (size_t i = 0; i < word.len; i++) {
        small = small || (word.ptr[i] >= '0' && word.ptr[i] <= '9');
    }
    for (size_t i = 0; i < sizeof roles / sizeof *roles; i++) {
        small = small || ap_str_equal_nocase(word, ap_str_from(roles[i]));
    }
    return word.len >= 3 && !small;
}

size_t ap_redact_words(ap_str *out, size_t max, ap_str name) {
    size_t count = 0;
    for (size_t at = 0; at < name.len && count < max;) {
        size_t from = at;
        while (at < name.len && is_word(name.ptr[at])) {
            at++;
        }
        ap_str word = {name.ptr + from, at - from};
        if (names_a_person(word)) {
            out[count++] = word;
        }
        at += at < name.len && at == from;
        while (at < name.len && !is_word(name.ptr[at])) {
            at++;
        }
    }
    return count;
}
