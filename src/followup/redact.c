#include "followup/redact.h"

#define LEFT_OUT "[left out]"

static bool is_word(char c) {
    unsigned char byte = (unsigned char)c;
    return (byte >= '0' && byte <= '9') || ((byte | 32) >= 'a' && (byte | 32) <= 'z') || byte >= 0x80;
}

/* Length of the longest name that begins at `at` and ends at the end of a word; 0 when none does. */
static size_t name_at(ap_str text, size_t at, const ap_str *names, size_t count) {
    size_t longest = 0;
    for (size_t i = 0; i < count; i++) {
        ap_str name = names[i];
        if (name.len < 2 || name.len <= longest || name.len > text.len - at) {
            continue;
        }
        size_t end = at + name.len;
        bool inside_word = end < text.len && is_word(text.ptr[end]) && is_word(text.ptr[end - 1]);
        if (!inside_word && ap_str_equal_nocase((ap_str){text.ptr + at, name.len}, name)) {
            longest = name.len;
        }
    }
    return longest;
}

size_t ap_redact(ap_buf *out, ap_str text, const ap_str *names, size_t count) {
    size_t taken = 0;
    for (size_t at = 0; at < text.len;) {
        bool start = at == 0 || !is_word(text.ptr[at - 1]) || !is_word(text.ptr[at]);
        size_t len = start ? name_at(text, at, names, count) : 0;
        if (len) {
            ap_buf_append_cstr(out, LEFT_OUT);
            taken++;
        } else {
            ap_buf_append_char(out, text.ptr[at]);
        }
        at += len ? len : 1;
    }
    return taken;
}
