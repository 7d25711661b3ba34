#include "analysis/fact_columns.h"

enum { SAME, ADD_BYTE, ADD_TWO, AS_THEY_ARE, NEXT, ONE_OF_FEW, ONE_OF_MANY };
enum { SLOTS = 2 * AP_COLUMN_MOST, FEW = 256, MANY = AP_COLUMN_MOST / 2, PATIENCE = 256 };

typedef struct different {
    uint64_t values[MANY];
    uint64_t at[AP_COLUMN_MOST]; /* of each number in values */
    uint16_t slots[SLOTS];       /* + 1; 0 = free */
    size_t count;
} different;

static void put_all(ap_buf *out, const uint64_t *numbers, size_t count, size_t width, uint64_t less) {
    unsigned char bytes[8 * AP_COLUMN_MOST];
    unsigned char *to = bytes;
    for (size_t i = 0; i < count; i++) {
        uint64_t number = numbers[i] - less;
        for (size_t at = 0; at < width; at++) {
            *to++ = (unsigned char)(number >> (8 * at) & 0xff);
        }
    }
    ap_buf_append(out, bytes, (size_t)(to - bytes));
}

static void put_head(ap_buf *out, int form, uint64_t first, size_t width) {
    ap_buf_append_char(out, (char)form);
    put_all(out, &first, 1, width, 0);
}

/* The different numbers, as many as there may be; false with more. A column in which nearly all differ is given up early. */
static bool find_words(different *found, const uint64_t *numbers, size_t count) {
    memset(found->slots, 0, sizeof found->slots);
    found->count = 0;
    for (size_t i = 0; i < count; i++) {
        size_t slot = (size_t)(numbers[i] * UINT64_C(0x9e3779b97f4a7c15) >> 52) % SLOTS;
        while (found->slots[slot] && found->values[found->slots[slot] - 1] != numbers[i]) {
            slot = (slot + 1) % SLOTS;
        }
        if (!found->slots[slot]) {
            if (found->count == MANY || (i >= PATIENCE && found->count > i - i / 8)) {
                return false;
            }
            found->values[found->count++] = numbers[i];
            found->slots[slot] = (uint16_t)found->count;
        }
        found->at[i] = found->slots[slot] - 1u;
    }
    return true;
}

static void put_words(ap_buf *out, const different *found, size_t count, size_t width) {
    bool few = found->count <= FEW;
    put_head(out, few ? ONE_OF_FEW : ONE_OF_MANY, found->count, 2);
    put_all(out, found->values, found->count, width, 0);
    put_all(out, found->at, count, few ? 1 : 2, 0);
}

static size_t width_of_range(uint64_t range) {
    return range <= UINT8_MAX ? 1 : range <= UINT16_MAX ? 2 : 8;
}

void ap_column_put(ap_buf *out, const uint64_t *numbers, size_t count, size_t width) {
    uint64_t low = count ? numbers[0] : 0;
    uint64_t high = low;
    bool next = count > 0;
    for (size_t i = 1; i < count; i++) {
        low = numbers[i] < low ? numbers[i] : low;
        high = numbers[i] > high ? numbers[i] : high;
        next = next && numbers[i] > numbers[i - 1] && numbers[i] - numbers[i - 1] == 1;
    }
    if (low == high) {
        put_head(out, SAME, low, width);
        return;
    }
    if (next) {
        put_head(out, NEXT, low, width);
        return;
    }
    size_t step = width_of_range(high - low);
    different found;
    bool worded = step > 1 && find_words(&found, numbers, count);
    size_t wordy = worded ? (found.count <= FEW ? 1u : 2u) * count + width * found.count : SIZE_MAX;
    size_t stepped = step < width ? step * count : SIZE_MAX;
    if (wordy < stepped && wordy < width * count) {
        put_words(out, &found, count, width);
        return;
    }
    if (step < width) {
        put_head(out, step == 1 ? ADD_BYTE : ADD_TWO, low, width);
        put_all(out, numbers, count, step, low);
    } else {
        ap_buf_append_char(out, AS_THEY_ARE);
        put_all(out, numbers, count, width, 0);
    }
}

static uint64_t number_at(const unsigned char *at, size_t width) {
    uint64_t number = 0;
    for (size_t i = 0; i < width; i++) {
        number |= (uint64_t)at[i] << (8 * i);
    }
    return number;
}

static uint64_t two_at(const unsigned char *at) {
    return (uint64_t)at[0] | (uint64_t)at[1] << 8;
}

static uint64_t eight_at(const unsigned char *at) {
    return (uint64_t)at[0] | (uint64_t)at[1] << 8 | (uint64_t)at[2] << 16 | (uint64_t)at[3] << 24 |
           (uint64_t)at[4] << 32 | (uint64_t)at[5] << 40 | (uint64_t)at[6] << 48 | (uint64_t)at[7] << 56;
}

static uint64_t four_at(const unsigned char *at) {
    return (uint64_t)at[0] | (uint64_t)at[1] << 8 | (uint64_t)at[2] << 16 | (uint64_t)at[3] << 24;
}

/* The bytes of the next part of the column; NULL, and bad, when there are not so many. */
static const unsigned char *take(ap_column_reader *reader, size_t bytes) {
    const unsigned char *at = reader->at;
    if (reader->bad || (size_t)(reader->end - at) < bytes) {
        reader->bad = true;
        return NULL;
    }
    reader->at += bytes;
    return at;
}

static bool get_words(uint64_t *numbers, ap_column_reader *reader, size_t count, size_t width, size_t step) {
    uint64_t values[MANY];
    const unsigned char *head = take(reader, 2);
    size_t words = head ? (size_t)two_at(head) : 0;
    if (words == 0 || words > MANY) {
        reader->bad = true;
        return false;
    }
    const unsigned char *at = take(reader, words * width);
    for (size_t i = 0; at && i < words; i++) {
        values[i] = number_at(at + i * width, width);
    }
    at = take(reader, count * step);
    uint64_t highest = 0;
    for (size_t i = 0; at && i < count; i++) {
        uint64_t word = step == 1 ? at[i] : two_at(at + 2 * i);
        highest = word > highest ? word : highest;
        numbers[i] = values[word < words ? word : 0];
    }
    reader->bad = reader->bad || highest >= words;
    return !reader->bad;
}

static void get_as_they_are(uint64_t *numbers, const unsigned char *at, size_t count, size_t width) {
    if (width == 8) {
        for (size_t i = 0; i < count; i++) {
            numbers[i] = eight_at(at + 8 * i);
        }
    } else {
        for (size_t i = 0; i < count; i++) {
            numbers[i] = four_at(at + 4 * i);
        }
    }
}

/* A base and what is to be added to it. */
static bool get_steps(uint64_t *numbers, ap_column_reader *reader, size_t count, size_t width, int form) {
    const unsigned char *first = take(reader, width);
    uint64_t base = first ? number_at(first, width) : 0;
    const unsigned char *at = take(reader, form == ADD_BYTE ? count : form == ADD_TWO ? 2 * count : 0);
    uint64_t most = form == NEXT ? count : form == ADD_BYTE ? UINT8_MAX : form == ADD_TWO ? UINT16_MAX : 0;
    uint64_t largest = width == 8 ? UINT64_MAX : UINT32_MAX;
    if (!at) {
        return false;
    }
    if (form == SAME) {
        for (size_t i = 0; i < count; i++) {
            numbers[i] = base;
        }
    } else if (form == NEXT) {
        for (size_t i = 0; i < count; i++) {
            numbers[i] = base + i;
        }
    } else if (form == ADD_BYTE) {
        for (size_t i = 0; i < count; i++) {
            numbers[i] = base + at[i];
        }
    } else {
        for (size_t i = 0; i < count; i++) {
            numbers[i] = base + two_at(at + 2 * i);
        }
    }
    for (size_t i = 0; most > largest - base && i < count; i++) {
        reader->bad = reader->bad || numbers[i] > largest || numbers[i] < base;
    }
    return !reader->bad;
}

bool ap_column_get(uint64_t *numbers, ap_column_reader *reader, size_t count, size_t width) {
    const unsigned char *form = take(reader, 1);
    if (!form || count > AP_COLUMN_MOST) {
        reader->bad = true;
        return false;
    }
    switch (*form) {
    case SAME:
    case NEXT:
    case ADD_BYTE:
    case ADD_TWO:
        return get_steps(numbers, reader, count, width, *form);
    case ONE_OF_FEW:
    case ONE_OF_MANY:
        return get_words(numbers, reader, count, width, *form == ONE_OF_FEW ? 1 : 2);
    case AS_THEY_ARE: {
        const unsigned char *at = take(reader, count * width);
        if (at) {
            get_as_they_are(numbers, at, count, width);
        }
        return at != NULL;
    }
    default:
        reader->bad = true;
        return false;
    }
}
