#include "text/spelling.h"

#include "text/decode.h"

typedef struct plain_row {
    uint32_t first, last;
    const char *as;
} plain_row;

/* Ordered by code. Names: Unicode code charts. */
static const plain_row rows[] = {
    {0x0009, 0x000D, " "},    {0x0060, 0x0060, "'"},    {0x00A0, 0x00A0, " "},    {0x00AD, 0x00AD, ""},
    {0x00B4, 0x00B4, "'"},    {0x00BC, 0x00BC, " 1/4"}, {0x00BD, 0x00BD, " 1/2"}, {0x00BE, 0x00BE, " 3/4"},
    {0x02B9, 0x02B9, "'"},    {0x02BA, 0x02BA, "\""},   {0x02BC, 0x02BC, "'"},    {0x2000, 0x200A, " "},
    {0x200B, 0x200F, ""},     {0x2010, 0x2015, "-"},    {0x2018, 0x2019, "'"},    {0x201B, 0x201B, "'"},
    {0x201C, 0x201D, "\""},   {0x201F, 0x201F, "\""},   {0x2028, 0x2029, " "},    {0x202A, 0x202E, ""},
    {0x202F, 0x202F, " "},    {0x2032, 0x2032, "'"},    {0x2033, 0x2033, "\""},   {0x2044, 0x2044, "/"},
    {0x205F, 0x205F, " "},    {0x2060, 0x2060, ""},     {0x2153, 0x2153, " 1/3"}, {0x2154, 0x2154, " 2/3"},
    {0x215B, 0x215B, " 1/8"}, {0x215C, 0x215C, " 3/8"}, {0x215D, 0x215D, " 5/8"}, {0x215E, 0x215E, " 7/8"},
    {0x2212, 0x2212, "-"},    {0x2215, 0x2215, "/"},    {0x223C, 0x223C, "~"},    {0x2248, 0x2248, "~"},
    {0x3000, 0x3000, " "},    {0xFEFF, 0xFEFF, ""},
};

static const char *plain_of(uint32_t code) {
    for (size_t i = 0; i < sizeof rows / sizeof rows[0] && rows[i].first <= code; i++) {
        if (code <= rows[i].last) {
            return rows[i].as;
        }
    }
    return NULL;
}

static bool put(ap_spelling *out, char c) {
    bool after_blank = out->len == 0 || out->text[out->len - 1] == ' ';
    if (c == ' ' && after_blank) {
        return true;
    }
    if (c == '\'' && out->len > 0 && out->text[out->len - 1] == '\'') {
        out->text[out->len - 1] = '"';
        return true;
    }
    if (out->len == AP_SPELLING_MAX) {
        return false;
    }
    out->text[out->len++] = c;
    return true;
}

static bool put_bytes(ap_spelling *out, const char *bytes, size_t len) {
    bool fits = true;
    for (size_t i = 0; i < len && fits; i++) {
        fits = put(out, bytes[i]);
    }
    return fits;
}

bool ap_spelling_from(ap_spelling *out, ap_str text) {
    bool fits = true;
    memset(out, 0, sizeof *out); /* pattern matchers look at whole vectors, past the end */
    for (size_t at = 0; at < text.len && fits;) {
        size_t len = 1;
        unsigned char byte = (unsigned char)text.ptr[at];
        if (byte > ' ' && byte < 0x7F && byte != '`') {
            fits = put(out, (char)byte);
        } else {
            uint32_t code = ap_utf8_get(text, at, &len);
            const char *as = plain_of(code);
            /* A NUL would end the text early for whoever reads it as a C string. */
            as = code == 0 ? "\x7F" : as;
            fits = as ? put_bytes(out, as, strlen(as)) : put_bytes(out, text.ptr + at, len);
        }
        at += len;
    }
    while (out->len > 0 && out->text[out->len - 1] == ' ') {
        out->len--;
    }
    out->text[out->len] = '\0';
    return fits;
}

void ap_spelling_show(char out[AP_SHOWN_SIZE], ap_str text) {
    enum { MOST = 60 };
    size_t to = 0;
    text = ap_str_trim(text);
    out[to++] = '\'';
    size_t at = 0;
    while (at < text.len) {
        size_t len = 1;
        uint32_t code = ap_utf8_get(text, at, &len);
        if (to + len > MOST) {
            break;
        }
        if (code < 0x20 || (code >= 0x7F && code < 0xA0) || (code >= 0x202A && code <= 0x202E)) {
            out[to++] = ' ';
        } else if (code == 0xFFFD && len == 1) {
            out[to++] = '?';
        } else {
            memcpy(out + to, text.ptr + at, len);
            to += len;
        }
        at += len;
    }
    snprintf(out + to, AP_SHOWN_SIZE - to, "%s'", at < text.len ? "..." : "");
}

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

bool ap_spelling_has_word(const ap_spelling *plain, const char *word) {
    size_t len = strlen(word);
    for (size_t i = 0; i + len <= plain->len; i++) {
        bool bounded = (i == 0 || !is_letter(plain->text[i - 1])) && !is_letter(plain->text[i + len]);
        if (bounded && strncasecmp(plain->text + i, word, len) == 0) {
            return true;
        }
    }
    return false;
}
