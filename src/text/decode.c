#include "text/decode.h"

enum { REPLACEMENT = 0xFFFD };

/* 0x80..0x9F of Windows-1252, from the mapping table published by the Unicode Consortium (CP1252.TXT). */
static const uint16_t cp1252_high[32] = {
    0x20AC, 0x0081, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0x008D, 0x017D, 0x008F, 0x0090, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0x009D, 0x017E, 0x0178,
};

size_t ap_utf8_valid_prefix(ap_str str) {
    size_t at = 0;
    while (at < str.len) {
        uint64_t word = 0x80;
        while (str.len - at >= sizeof word) {
            memcpy(&word, str.ptr + at, sizeof word);
            if (word & 0x8080808080808080u) {
                break;
            }
            at += sizeof word;
        }
        /* One word's worth byte by byte, then back to words. */
        for (size_t stop = at + 8; at < stop && at < str.len;) {
            size_t len = 0;
            if (ap_utf8_get(str, at, &len) == REPLACEMENT && len == 1) {
                return at;
            }
            at += len;
        }
    }
    return at;
}

/* Whether what follows `at` could be a character cut off by the end of the head. */
static bool is_cut_off(ap_str head, size_t at) {
    size_t left = head.len - at;
    unsigned char first = (unsigned char)head.ptr[at];
    size_t need = first >= 0xF0 && first <= 0xF4 ? 4 : first >= 0xE0 ? 3 : 2;
    if (first < 0xC2 || first > 0xF4 || left >= need) {
        return false;
    }
    for (size_t i = 1; i < left; i++) {
        if (((unsigned char)head.ptr[at + i] & 0xC0) != 0x80) {
            return false;
        }
    }
    return true;
}

static bool starts_with(ap_str head, const char *bytes, size_t len) {
    return head.len >= len && memcmp(head.ptr, bytes, len) == 0;
}

ap_encoding ap_encoding_sniff(ap_str head, size_t *mark) {
    *mark = 0;
    if (starts_with(head, "\xEF\xBB\xBF", 3)) {
        *mark = 3;
        return AP_ENCODING_UTF8_BOM;
    }
    if (starts_with(head, "\xFF\xFE", 2) || starts_with(head, "\xFE\xFF", 2)) {
        *mark = 2;
        return head.ptr[0] == '\xFF' ? AP_ENCODING_UTF16LE : AP_ENCODING_UTF16BE;
    }
    size_t nul[2] = {0, 0};
    for (size_t i = 0; i < head.len; i++) {
        nul[i & 1] += head.ptr[i] == '\0';
    }
    size_t pairs = head.len / 2;
    if (pairs >= 2 && nul[0] + nul[1] >= pairs - pairs / 4 && (nul[0] == 0 || nul[1] == 0)) {
        return nul[1] > 0 ? AP_ENCODING_UTF16LE : AP_ENCODING_UTF16BE;
    }
    size_t valid = ap_utf8_valid_prefix(head);
    bool whole = valid == head.len || (head.len == AP_SNIFF_BYTES && is_cut_off(head, valid));
    return whole ? AP_ENCODING_UTF8 : AP_ENCODING_CP1252;
}

static uint32_t unit16(const char *at, bool big) {
    const unsigned char *byte = (const unsigned char *)at;
    return big ? (uint32_t)(byte[0] << 8 | byte[1]) : (uint32_t)(byte[1] << 8 | byte[0]);
}

/* One UTF-16 character; 0 bytes used when it is cut off and more may come. */
static size_t read_utf16(ap_str in, size_t at, bool big, bool last, uint32_t *code) {
    size_t left = in.len - at;
    *code = REPLACEMENT;
    if (left < 2) {
        return last ? left : 0;
    }
    uint32_t unit = unit16(in.ptr + at, big);
    if (unit < 0xD800 || unit > 0xDFFF) {
        *code = unit;
        return 2;
    }
    if (unit > 0xDBFF) {
        return 2;
    }
    if (left < 4) {
        return last ? 2 : 0;
    }
    uint32_t low = unit16(in.ptr + at + 2, big);
    if (low < 0xDC00 || low > 0xDFFF) {
        return 2;
    }
    *code = 0x10000 + ((unit - 0xD800) << 10) + (low - 0xDC00);
    return 4;
}

void ap_decode(ap_encoding encoding, ap_str in, bool last, char *out, size_t cap, size_t *used, size_t *made) {
    size_t at = 0;
    size_t to = 0;
    while (at < in.len && cap - to >= 4) {
        uint32_t code = (unsigned char)in.ptr[at];
        size_t step = 1;
        if (encoding == AP_ENCODING_CP1252) {
            code = code >= 0x80 && code < 0xA0 ? cp1252_high[code - 0x80] : code;
        } else {
            step = read_utf16(in, at, encoding == AP_ENCODING_UTF16BE, last, &code);
            if (step == 0) {
                break;
            }
        }
        to += ap_utf8_put(out + to, code);
        at += step;
    }
    *used = at;
    *made = to;
}

const char *ap_encoding_name(ap_encoding encoding) {
    switch (encoding) {
    case AP_ENCODING_UTF8:
        return "UTF-8";
    case AP_ENCODING_UTF8_BOM:
        return "UTF-8 with a byte order mark";
    case AP_ENCODING_UTF16LE:
        return "UTF-16, little endian";
    case AP_ENCODING_UTF16BE:
        return "UTF-16, big endian";
    case AP_ENCODING_CP1252:
        return "Windows-1252";
    }
    return "unknown";
}
