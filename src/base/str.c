#include "base/str.h"

#include "base/utf8.h"

static unsigned char byte_at(ap_str str, size_t at) {
    return (unsigned char)str.ptr[at];
}

static unsigned char fold(unsigned char byte) {
    return byte >= 'A' && byte <= 'Z' ? (unsigned char)(byte + ('a' - 'A')) : byte;
}

static bool is_digit(unsigned char byte) {
    return byte >= '0' && byte <= '9';
}

static bool is_space(unsigned char byte) {
    return byte == ' ' || (byte >= '\t' && byte <= '\r');
}

ap_str ap_str_from(const char *cstr) {
    return cstr ? (ap_str){cstr, strlen(cstr)} : AP_STR_NONE;
}

bool ap_str_is_blank(ap_str str) {
    return ap_str_trim(str).len == 0;
}

bool ap_str_equal(ap_str a, ap_str b) {
    return a.len == b.len && (a.len == 0 || memcmp(a.ptr, b.ptr, a.len) == 0);
}

bool ap_str_equal_nocase(ap_str a, ap_str b) {
    if (a.len != b.len) {
        return false;
    }
    for (size_t i = 0; i < a.len; i++) {
        if (fold(byte_at(a, i)) != fold(byte_at(b, i))) {
            return false;
        }
    }
    return true;
}

int ap_str_compare_nocase(ap_str a, ap_str b) {
    size_t both = a.len < b.len ? a.len : b.len;
    for (size_t i = 0; i < both; i++) {
        int differ = fold(byte_at(a, i)) - fold(byte_at(b, i));
        if (differ != 0) {
            return differ;
        }
    }
    return (a.len > b.len) - (a.len < b.len);
}

bool ap_str_equal_word(ap_str a, const char *cstr) {
    return ap_str_equal(a, ap_str_from(cstr));
}

int ap_str_compare(ap_str a, ap_str b) {
    size_t common = a.len < b.len ? a.len : b.len;
    int order = common == 0 ? 0 : memcmp(a.ptr, b.ptr, common);
    if (order != 0) {
        return order < 0 ? -1 : 1;
    }
    return (a.len > b.len) - (a.len < b.len);
}

/* The run of digits at *at without its leading zeros; *at moves behind it. */
static ap_str take_number(ap_str str, size_t *at) {
    size_t start = *at;
    while (*at < str.len && is_digit(byte_at(str, *at))) {
        (*at)++;
    }
    while (start + 1 < *at && str.ptr[start] == '0') {
        start++;
    }
    return (ap_str){str.ptr + start, *at - start};
}

int ap_str_compare_natural(ap_str a, ap_str b) {
    size_t i = 0;
    size_t j = 0;
    while (i < a.len && j < b.len) {
        if (is_digit(byte_at(a, i)) && is_digit(byte_at(b, j))) {
            ap_str x = take_number(a, &i);
            ap_str y = take_number(b, &j);
            int order = x.len != y.len ? (x.len < y.len ? -1 : 1) : ap_str_compare(x, y);
            if (order != 0) {
                return order;
            }
        } else {
            unsigned char x = fold(byte_at(a, i++));
            unsigned char y = fold(byte_at(b, j++));
            if (x != y) {
                return x < y ? -1 : 1;
            }
        }
    }
    if (i < a.len || j < b.len) {
        return i < a.len ? 1 : -1;
    }
    /* Equal but for case and leading zeros: still one fixed order. */
    return ap_str_compare(a, b);
}

bool ap_str_starts(ap_str str, ap_str prefix) {
    return str.len >= prefix.len && (prefix.len == 0 || memcmp(str.ptr, prefix.ptr, prefix.len) == 0);
}

static size_t space_at_start(ap_str str) {
    if (str.len >= 1 && is_space(byte_at(str, 0))) {
        return 1;
    }
    return str.len >= 2 && byte_at(str, 0) == 0xC2u && byte_at(str, 1) == 0xA0u ? 2 : 0;
}

static size_t space_at_end(ap_str str) {
    if (str.len >= 1 && is_space(byte_at(str, str.len - 1))) {
        return 1;
    }
    return str.len >= 2 && byte_at(str, str.len - 2) == 0xC2u && byte_at(str, str.len - 1) == 0xA0u ? 2 : 0;
}

ap_str ap_str_trim(ap_str str) {
    for (size_t n = space_at_start(str); n > 0; n = space_at_start(str)) {
        str.ptr += n;
        str.len -= n;
    }
    for (size_t n = space_at_end(str); n > 0; n = space_at_end(str)) {
        str.len -= n;
    }
    return str;
}

ap_str ap_str_split(ap_str str, char sep, ap_str *rest) {
    const char *at = str.len > 0 ? memchr(str.ptr, sep, str.len) : NULL;
    if (!at) {
        *rest = AP_STR_NONE;
        return str;
    }
    size_t len = (size_t)(at - str.ptr);
    *rest = (ap_str){at + 1, str.len - len - 1};
    return (ap_str){str.ptr, len};
}

/* FNV-1a, 64 bits (offset basis and prime: RFC 9923), then a mix so that the low bits serve as a table index. */
uint64_t ap_str_hash(ap_str str) {
    uint64_t hash = 0xcbf29ce484222325u;
    for (size_t i = 0; i < str.len; i++) {
        hash = (hash ^ byte_at(str, i)) * 0x00000100000001b3u;
    }
    hash ^= hash >> 33;
    hash *= 0xff51afd7ed558ccdu;
    return hash ^ (hash >> 33);
}

bool ap_utf8_is_valid(ap_str str) {
    for (size_t at = 0; at < str.len;) {
        size_t len = 1;
        if (ap_utf8_get(str, at, &len) == 0xFFFD && len == 1) {
            return false;
        }
        at += len;
    }
    return true;
}

static unsigned least(unsigned a, unsigned b) {
    return a < b ? a : b;
}

/* Optimal string alignment: insert, delete, replace, swap of neighbours. Names here are short; a longer text is "far". */
unsigned ap_str_distance(ap_str a, ap_str b, unsigned most) {
    enum { LONGEST = 64 };
    if (ap_str_equal(a, b)) {
        return 0;
    }
    if (a.len > LONGEST || b.len > LONGEST) {
        return most + 1;
    }
    unsigned rows[3][LONGEST + 1];
    unsigned *before = rows[0];
    unsigned *last = rows[1];
    unsigned *now = rows[2];
    for (size_t j = 0; j <= b.len; j++) {
        before[j] = 0;
        last[j] = (unsigned)j;
    }
    for (size_t i = 1; i <= a.len; i++) {
        now[0] = (unsigned)i;
        for (size_t j = 1; j <= b.len; j++) {
            unsigned cost = a.ptr[i - 1] == b.ptr[j - 1] ? 0 : 1;
            now[j] = least(least(last[j] + 1, now[j - 1] + 1), last[j - 1] + cost);
            if (i > 1 && j > 1 && a.ptr[i - 1] == b.ptr[j - 2] && a.ptr[i - 2] == b.ptr[j - 1]) {
                now[j] = least(now[j], before[j - 2] + 1);
            }
        }
        unsigned *spare = before;
        before = last;
        last = now;
        now = spare;
    }
    return least(last[b.len], most + 1);
}

bool ap_str_to_int64(int64_t *out, ap_str str) {
    bool negative = str.len > 0 && str.ptr[0] == '-';
    size_t at = negative ? 1 : 0;
    if (at >= str.len) {
        return false;
    }
    /* Counted downwards: INT64_MIN has no positive twin. */
    int64_t value = 0;
    for (; at < str.len; at++) {
        if (!is_digit(byte_at(str, at))) {
            return false;
        }
        int digit = byte_at(str, at) - '0';
        if (value < (INT64_MIN + digit) / 10) {
            return false;
        }
        value = value * 10 - digit;
    }
    if (!negative && value == INT64_MIN) {
        return false;
    }
    *out = negative ? value : -value;
    return true;
}
