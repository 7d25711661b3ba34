#include "base/pick.h"

typedef struct word_row {
    ap_vocabulary vocabulary;
    int value;
    const char *word;
} word_row;

static const word_row words[] = {
#define AP_WORD(vocabulary, value, word) {AP_VOC_##vocabulary, AP_##vocabulary##_##value, word},
#include "base/fields.def"
#undef AP_WORD
};
enum { WORD_COUNT = sizeof words / sizeof words[0] };

const char *ap_word_get(ap_vocabulary vocabulary, int value) {
    for (size_t i = 0; i < WORD_COUNT; i++) {
        if (words[i].vocabulary == vocabulary && words[i].value == value) {
            return words[i].word;
        }
    }
    return NULL;
}

static char plain(char byte) {
    if (byte == '-' || byte == ' ') {
        return '_';
    }
    return byte >= 'A' && byte <= 'Z' ? (char)(byte + ('a' - 'A')) : byte;
}

static bool reads_as(ap_str text, const char *word) {
    if (text.len != strlen(word)) {
        return false;
    }
    for (size_t i = 0; i < text.len; i++) {
        if (plain(text.ptr[i]) != word[i]) {
            return false;
        }
    }
    return true;
}

int ap_word_find(ap_vocabulary vocabulary, ap_str word) {
    ap_str text = ap_str_trim(word);
    for (size_t i = 0; i < WORD_COUNT; i++) {
        if (words[i].vocabulary == vocabulary && reads_as(text, words[i].word)) {
            return words[i].value;
        }
    }
    return 0;
}

int ap_word_count(ap_vocabulary vocabulary) {
    int count = 0;
    for (size_t i = 0; i < WORD_COUNT; i++) {
        count += words[i].vocabulary == vocabulary ? 1 : 0;
    }
    return count;
}

void ap_moves_to_text(ap_buf *out, int32_t moves) {
    bool first = true;
    for (int value = 1; value <= ap_word_count(AP_VOC_MOVEMENT); value++) {
        if ((moves & AP_MOVE_BIT(value)) == 0) {
            continue;
        }
        if (!first) {
            ap_buf_append_char(out, '+');
        }
        ap_buf_append_cstr(out, ap_word_get(AP_VOC_MOVEMENT, value));
        first = false;
    }
}

ap_str ap_word_plain(ap_arena *arena, ap_str word) {
    char *text = word.ptr ? ap_arena_cstr(arena, word) : NULL;
    for (size_t i = 0; text && i < word.len; i++) {
        text[i] = text[i] == '_' ? ' ' : text[i];
    }
    return (ap_str){text, text ? word.len : 0};
}
