#include "intake/cells.h"

enum { COUNT_MOST = 9999 };

static uint32_t slot_of(ap_str text, uint32_t slots) {
    uint32_t hash = 2166136261u; /* FNV-1a, 32 bit */
    for (size_t i = 0; i < text.len; i++) {
        hash = (hash ^ (unsigned char)text.ptr[i]) * 16777619u;
    }
    return (hash ^ hash >> 15) % slots;
}

static int32_t find_yes_or_no(ap_str cell) {
    static const struct {
        const char *word;
        int32_t value;
    } words[] = {{"yes", AP_YESNO_YES}, {"y", AP_YESNO_YES}, {"true", AP_YESNO_YES}, {"1", AP_YESNO_YES},
                 {"no", AP_YESNO_NO},   {"n", AP_YESNO_NO},  {"false", AP_YESNO_NO}, {"0", AP_YESNO_NO}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (ap_str_equal_nocase(cell, ap_str_from(words[i].word))) {
            return words[i].value;
        }
    }
    return 0;
}

static int32_t find_moves(ap_str cell) {
    int32_t moves = 0;
    for (ap_str rest = cell; rest.ptr;) {
        const ap_str word = ap_str_trim(ap_str_split(rest, '+', &rest));
        const int value = ap_word_find(AP_VOC_MOVEMENT, word);
        if (value == 0) {
            return 0;
        }
        moves |= AP_MOVE_BIT(value);
    }
    return moves;
}

int32_t ap_word_recall(const ap_word_memory *memory, ap_str cell) {
    if (cell.len > AP_WORD_KEPT) {
        return 0;
    }
    const uint32_t slot = slot_of(cell, AP_WORD_SLOTS);
    const bool there = memory->slots[slot].len == cell.len && memcmp(memory->slots[slot].text, cell.ptr, cell.len) == 0;
    return there ? memory->slots[slot].value : 0;
}

void ap_word_keep(ap_word_memory *memory, ap_str cell, int32_t value) {
    if (cell.len <= AP_WORD_KEPT && value != 0) {
        const uint32_t slot = slot_of(cell, AP_WORD_SLOTS);
        memory->slots[slot].len = (uint8_t)cell.len;
        memcpy(memory->slots[slot].text, cell.ptr, cell.len);
        memory->slots[slot].value = value;
    }
}

int32_t ap_cell_word_find(const ap_field *field, ap_str cell) {
    return field->kind == AP_KIND_WORD    ? ap_word_find(field->vocabulary, cell)
           : field->kind == AP_KIND_YESNO ? find_yes_or_no(cell)
                                          : find_moves(cell);
}

int32_t ap_cell_word(ap_word_memory *memory, const ap_field *field, ap_str cell) {
    int32_t value = ap_word_recall(memory, cell);
    if (value == 0) {
        value = ap_cell_word_find(field, cell);
        ap_word_keep(memory, cell, value);
    }
    return value;
}

bool ap_cell_number(ap_quantity *out, ap_str cell, const ap_quantity_rules *rules) {
    /* Ten digits and a power of ten are exact doubles: one division, rounded once. */
    static const double powers[] = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10};
    if (rules->decimal != '.' || cell.len == 0 || cell.len > 10 || rules->default_unit == AP_UNIT_NONE ||
        rules->default_unit == AP_UNIT_TON || rules->dim == AP_DIM_FORCE) {
        return false;
    }
    int64_t digits = 0;
    size_t decimals = 0;
    bool point = false;
    for (size_t i = 0; i < cell.len; i++) {
        const char c = cell.ptr[i];
        if (c >= '0' && c <= '9') {
            digits = digits * 10 + (c - '0');
            decimals += point;
        } else if (c == '.' && !point && i > 0 && i + 1 < cell.len) {
            point = true;
        } else {
            return false;
        }
    }
    out->value = ap_unit_to_si(rules->default_unit, (double)digits / powers[decimals]);
    out->written = (ap_written){(uint8_t)rules->default_unit, (uint8_t)decimals};
    return true;
}

bool ap_cell_count(int32_t *out, ap_str cell) {
    int64_t value = 0;
    if (!ap_str_to_int64(&value, cell) || value < 0 || value > COUNT_MOST) {
        return false;
    }
    *out = (int32_t)value;
    return true;
}

ap_status ap_cell_species(const ap_species **out, ap_species_memory *memory, ap_book *book, ap_str cell,
                          ap_error *err) {
    const bool keeps = cell.len <= AP_SPECIES_KEPT;
    const uint32_t slot = keeps ? slot_of(cell, AP_SPECIES_SLOTS) : 0;
    if (keeps && memory->slots[slot].species && memory->slots[slot].len == cell.len &&
        memcmp(memory->slots[slot].text, cell.ptr, cell.len) == 0) {
        *out = memory->slots[slot].species;
        return AP_OK;
    }
    const ap_status status = ap_book_species_find(out, book, cell, err);
    if (status == AP_OK && keeps) {
        memory->slots[slot].len = (uint8_t)cell.len;
        memcpy(memory->slots[slot].text, cell.ptr, cell.len);
        memory->slots[slot].species = *out;
    }
    return status;
}

void ap_cell_word_remedy(char *out, size_t size, const ap_field *field, ap_str cell) {
    if (field->kind == AP_KIND_YESNO) {
        snprintf(out, size, "write yes or no");
        return;
    }
    ap_buf words;
    ap_buf_init(&words, size);
    unsigned best = 3;
    const char *near = NULL;
    for (int i = 1; i <= ap_word_count(field->vocabulary); i++) {
        const char *word = ap_word_get(field->vocabulary, i);
        const unsigned distance = ap_str_distance(cell, ap_str_from(word), best);
        if (distance < best && distance < cell.len) {
            best = distance;
            near = word;
        }
        ap_buf_appendf(&words, "%s%s", i > 1 ? ", " : "", word);
    }
    const char *several = field->kind == AP_KIND_MOVES ? ", several joined by +" : "";
    const ap_str list = ap_buf_str(&words);
    if (near) {
        snprintf(out, size, "%s if that is meant; the words are %.*s%s", near, AP_STR_ARG(list), several);
    } else {
        snprintf(out, size, "write one of %.*s%s", AP_STR_ARG(list), several);
    }
    ap_buf_release(&words);
}
