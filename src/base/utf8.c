#include "base/utf8.h"

enum { REPLACEMENT = 0xFFFD };

size_t ap_utf8_put(char out[4], uint32_t code) {
    if (code < 0x80) {
        out[0] = (char)code;
        return 1;
    }
    if (code < 0x800) {
        out[0] = (char)(0xC0 | (code >> 6));
        out[1] = (char)(0x80 | (code & 0x3F));
        return 2;
    }
    if (code < 0x10000) {
        out[0] = (char)(0xE0 | (code >> 12));
        out[1] = (char)(0x80 | ((code >> 6) & 0x3F));
        out[2] = (char)(0x80 | (code & 0x3F));
        return 3;
    }
    out[0] = (char)(0xF0 | (code >> 18));
    out[1] = (char)(0x80 | ((code >> 12) & 0x3F));
    out[2] = (char)(0x80 | ((code >> 6) & 0x3F));
    out[3] = (char)(0x80 | (code & 0x3F));
    return 4;
}

uint32_t ap_utf8_get(ap_str str, size_t at, size_t *len) {
    const unsigned char *byte = (const unsigned char *)str.ptr + at;
    size_t left = str.len - at;
    *len = 1;
    if (byte[0] < 0x80) {
        return byte[0];
    }
    size_t need = byte[0] >= 0xF0 ? 4 : byte[0] >= 0xE0 ? 3 : 2;
    if (byte[0] < 0xC2 || byte[0] > 0xF4 || left < need) {
        return REPLACEMENT;
    }
    uint32_t code = byte[0] & (0x7Fu >> need);
    for (size_t i = 1; i < need; i++) {
        if ((byte[i] & 0xC0) != 0x80) {
            return REPLACEMENT;
        }
        code = code << 6 | (byte[i] & 0x3F);
    }
    static const uint32_t lowest[5] = {0, 0, 0x80, 0x800, 0x10000};
    if (code < lowest[need] || code > 0x10FFFF || (code >= 0xD800 && code < 0xE000)) {
        return REPLACEMENT;
    }
    *len = need;
    return code;
}
