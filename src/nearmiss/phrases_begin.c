/* R3: where PCRE2 need not be asked at all. A word of a note is followed byte by byte as long as some rule can still begin like
 * that; what a beginning leads to is asked of PCRE2 (a partial match of all rules) when a note first shows it, and remembered. */
#include "nearmiss/phrases_private.h"

enum {
    NODES_MAX = 8192, /* 2 MiB; more beginnings than that are let through where they leave the known ones */
    DEPTH_MAX = 40,   /* bytes followed */
    ASCII = 128       /* a byte beyond is let through: it may be a letter of either case */
};

/* What a further byte makes of a beginning. */
enum { NOT_ASKED, NEVER, MAY, FIRST_NODE };

struct ap_phrase_begin {
    uint16_t next[ASCII]; /* one of the above, or FIRST_NODE + the node's number */
};

static bool word_byte(char byte) {
    return ap_phrases_letter(byte) < AP_PHRASE_LETTERS || (byte >= '0' && byte <= '9') || byte == '_';
}

/* What stands in front of a hit is not followed: a rule that looks back could need it. */
static bool looks_back(ap_str pattern) {
    for (size_t at = 0; at + 3 < pattern.len; at++) {
        if (memcmp(pattern.ptr + at, "(?<", 3) == 0 && (pattern.ptr[at + 3] == '=' || pattern.ptr[at + 3] == '!')) {
            return true;
        }
    }
    return false;
}

ap_status ap_phrases_begin_new(ap_phrases *phrases, ap_error *err) {
    for (unsigned byte = 0; byte <= UINT8_MAX; byte++) {
        phrases->word[byte] = word_byte((char)byte);
    }
    if (looks_back(ap_buf_str(&phrases->text))) {
        return AP_OK;
    }
    phrases->begin = calloc(1, sizeof *phrases->begin);
    phrases->begin_count = phrases->begin_cap = 1;
    return phrases->begin ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the phrase rules");
}

void ap_phrases_begin_free(ap_phrases *phrases) {
    free(phrases->begin);
}

/* A new node; MAY where there is no room for one. */
static uint16_t add_node(ap_phrases *phrases) {
    if (phrases->begin_count == phrases->begin_cap) {
        size_t cap = phrases->begin_cap * 2;
        struct ap_phrase_begin *grown = cap <= NODES_MAX ? realloc(phrases->begin, cap * sizeof *grown) : NULL;
        if (!grown) {
            return MAY;
        }
        phrases->begin = grown;
        phrases->begin_cap = cap;
    }
    memset(&phrases->begin[phrases->begin_count], 0, sizeof *phrases->begin);
    return (uint16_t)(FIRST_NODE + phrases->begin_count++);
}

static bool may_begin(ap_phrases *phrases, ap_str note, size_t at) {
    size_t node = 0;
    size_t to = note.len - at > DEPTH_MAX ? at + DEPTH_MAX : note.len;
    for (size_t i = at; i < to; i++) {
        unsigned char byte = (unsigned char)note.ptr[i];
        if (byte >= ASCII) {
            return true;
        }
        uint16_t next = phrases->begin[node].next[byte];
        if (next == NOT_ASKED) {
            bool may = ap_pattern_may_begin(phrases->all, (ap_str){note.ptr + at, i + 1 - at});
            next = may ? add_node(phrases) : NEVER;
            phrases->begin[node].next[byte] = next;
        }
        if (next < FIRST_NODE) {
            return next == MAY;
        }
        node = next - FIRST_NODE;
    }
    return true;
}

size_t ap_phrases_next_start(ap_phrases *phrases, ap_str note, size_t at) {
    const bool *word = phrases->word;
    bool inside = at > 0 && at <= note.len && word[(unsigned char)note.ptr[at - 1]];
    for (; at < note.len; at++) {
        bool now = word[(unsigned char)note.ptr[at]];
        if (now && !inside && (!phrases->begin || may_begin(phrases, note, at))) {
            break;
        }
        inside = now;
    }
    return at;
}
