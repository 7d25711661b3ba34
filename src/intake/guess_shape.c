/* What the cells of a column look like: for a person who sees a column whose name nobody knows, and for a proposal. */
#include "book/species.h"
#include "intake/cells.h"
#include "intake/dates.h"
#include "intake/profile_guess_parts.h"
#include "intake/word_sense.h"

enum { CELL_MAX = 200, NEUTRAL_YEAR = 2000 };

typedef struct tally {
    size_t filled;
    size_t dates, undated, times, whole, numbers, weights, lengths, species, yesno, codes;
    size_t words[AP_VOC_COUNT];
    double low, high; /* of plain numbers */
    ap_unit unit;     /* of the first weight or length */
} tally;

static const int word_fields[] = {AP_F_cut,        AP_F_movement,  AP_F_piece,       AP_F_kerf,   AP_F_foliage,
                                  AP_F_weighed_by, AP_F_condition, AP_F_measured_as, AP_F_toward, AP_F_estimate_basis};
enum { WORD_FIELDS = sizeof word_fields / sizeof *word_fields };

static bool is_number(double *value, ap_str cell) {
    bool digit = false;
    ap_buf plain;
    ap_buf_init(&plain, 64);
    for (size_t i = 0; i < cell.len && i < 40; i++) {
        const char c = cell.ptr[i];
        digit = digit || (c >= '0' && c <= '9');
        if (!strchr("0123456789.,-", c)) {
            ap_buf_release(&plain);
            return false;
        }
        if (c != ',') {
            ap_buf_append_char(&plain, c);
        }
    }
    *value = digit && plain.ptr ? strtod(plain.ptr, NULL) : 0;
    ap_buf_release(&plain);
    return digit && cell.ptr[cell.len - 1] != '.'; /* "12.3." is a day */
}

static size_t count_digits(ap_str cell) {
    size_t count = 0;
    while (count < cell.len && cell.ptr[count] >= '0' && cell.ptr[count] <= '9') {
        count++;
    }
    return count;
}

/* Letters or letters and marks, then digits: J88, B-17, 2026-004 is none. */
static bool is_code(ap_str cell) {
    size_t letters = 0;
    size_t digits = 0;
    for (size_t i = 0; i < cell.len; i++) {
        const unsigned char c = (unsigned char)cell.ptr[i];
        if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z')) {
            letters++;
        } else if (c >= '0' && c <= '9') {
            digits++;
        } else if (c != '-' && c != '_' && c != '.') {
            return false;
        }
    }
    return letters > 0 && letters <= 4 && digits > 0;
}

static bool is_quantity(ap_unit *unit, ap_str cell, ap_dim dim) {
    ap_quantity quantity;
    ap_refusal why;
    ap_quantity_rules rules = {.dim = dim, .default_unit = AP_UNIT_NONE, .ton = AP_UNIT_TONNE, .decimal = '.'};
    bool read = ap_quantity_read(&quantity, cell, &rules, &why);
    if (!read) {
        rules.decimal = ',';
        read = ap_quantity_read(&quantity, cell, &rules, &why);
    }
    *unit = read ? (ap_unit)quantity.written.unit : AP_UNIT_NONE;
    return read;
}

static void count_words(tally *seen, ap_str cell) {
    for (size_t i = 0; i < WORD_FIELDS; i++) {
        const ap_field *desc = ap_field_get(word_fields[i]);
        ap_buf space;
        ap_buf_init(&space, 1024);
        if (ap_cell_word_find(desc, cell) != 0 || (!ap_word_is_loose(cell) && ap_word_sense(&space, desc, cell))) {
            seen->words[i]++;
        }
        ap_buf_release(&space);
    }
}

static void count_cell(tally *seen, ap_guess *g, ap_str cell) {
    char space[AP_DATE_YEAR_SIZE];
    double value = 0;
    ap_time time = AP_TIME_NONE;
    ap_unit unit = AP_UNIT_NONE;
    const bool number = is_number(&value, cell);
    seen->filled++;
    if (number) {
        seen->low = seen->numbers + seen->whole == 0 || value < seen->low ? value : seen->low;
        seen->high = value > seen->high ? value : seen->high;
        const bool whole = !memchr(cell.ptr, '.', cell.len) && !memchr(cell.ptr, ',', cell.len);
        seen->whole += whole;
        seen->numbers += !whole;
    }
    const bool digits_only = number && count_digits(cell) == cell.len;
    if (!digits_only && cell.len >= 6 && ap_date_orders(cell)) {
        seen->dates++;
    } else if (!number && ap_date_orders(cell) == 0 && ap_date_orders(ap_date_with_year(space, cell, NEUTRAL_YEAR))) {
        seen->undated++;
    } else if (!number && ap_when_read_time(&time, cell, NULL)) {
        seen->times++;
    } else if (!number && is_quantity(&unit, cell, AP_DIM_LOAD)) {
        seen->weights++;
        seen->unit = seen->unit == AP_UNIT_NONE ? unit : seen->unit;
    } else if (!number && is_quantity(&unit, cell, AP_DIM_LENGTH)) {
        seen->lengths++;
        seen->unit = seen->unit == AP_UNIT_NONE ? unit : seen->unit;
    } else if (!number) {
        seen->codes += is_code(cell);
        seen->species += cell.len > 2 && ap_book_species_is_name(g->book, cell);
        seen->yesno += ap_cell_word_find(ap_field_get(AP_F_near_miss), cell) != 0;
        count_words(seen, cell);
    }
}

/* Three of four cells, so that a smudged one or a total does not hide what the others are. */
static bool most(size_t count, const tally *seen) {
    return count > 0 && count * 4 >= seen->filled * 3;
}

static void conclude(ap_column_shape *out, ap_guess *g, const tally *seen) {
    *out = (ap_column_shape){.shape = AP_SHAPE_TEXT, .field = -1, .say = AP_STR_LIT("texts"), .filled = seen->filled};
    if (seen->filled == 0) {
        *out = (ap_column_shape){.shape = AP_SHAPE_BLANK, .field = -1, .say = AP_STR_LIT("blank")};
    } else if (most(seen->dates, seen)) {
        *out = (ap_column_shape){AP_SHAPE_DATE, AP_F_date, AP_STR_LIT("dates"), seen->filled, false};
    } else if (most(seen->undated, seen)) {
        *out = (ap_column_shape){AP_SHAPE_DATE_NO_YEAR, AP_F_date, AP_STR_LIT("dates without a year"), seen->filled,
                                 false};
    } else if (most(seen->times, seen)) {
        *out = (ap_column_shape){AP_SHAPE_TIME, AP_F_time, AP_STR_LIT("times"), seen->filled, false};
    } else if (most(seen->weights, seen)) {
        out->shape = AP_SHAPE_WEIGHT;
        out->say = ap_arena_printf(&g->told->arena, "weights in %s", ap_unit_symbol(seen->unit));
    } else if (most(seen->lengths, seen)) {
        out->shape = AP_SHAPE_LENGTH;
        out->say = ap_arena_printf(&g->told->arena, "lengths in %s", ap_unit_symbol(seen->unit));
    } else if (most(seen->whole, seen) || most(seen->numbers + seen->whole, seen)) {
        const bool whole = most(seen->whole, seen);
        out->shape = whole ? AP_SHAPE_WHOLE : AP_SHAPE_NUMBER;
        out->say = whole ? ap_arena_printf(&g->told->arena, "whole numbers %.10g to %.10g", seen->low, seen->high)
                         : AP_STR_LIT("numbers");
    } else if (most(seen->species, seen)) {
        *out = (ap_column_shape){AP_SHAPE_SPECIES, AP_F_species, AP_STR_LIT("species"), seen->filled, false};
    } else if (most(seen->yesno, seen)) {
        *out = (ap_column_shape){AP_SHAPE_YESNO, -1, AP_STR_LIT("yes or no"), seen->filled, false};
    } else if (most(seen->codes, seen)) {
        *out = (ap_column_shape){AP_SHAPE_CODES, -1, AP_STR_LIT("codes"), seen->filled, false};
    }
    for (size_t i = 0; out->shape == AP_SHAPE_TEXT && i < WORD_FIELDS; i++) {
        if (most(seen->words[i], seen)) {
            const ap_field *desc = ap_field_get(word_fields[i]);
            *out = (ap_column_shape){.shape = AP_SHAPE_WORDS, .field = word_fields[i], .filled = seen->filled};
            out->say = ap_arena_printf(&g->told->arena, "words for %s", desc->label);
        }
    }
}

void ap_guess_shape_column(ap_column_shape *out, ap_guess *g, size_t column) {
    tally seen = {0};
    bool repeats = false;
    for (size_t i = g->data; i < g->row_count; i++) {
        const ap_str cell = ap_guess_cell(g, i, column);
        if (cell.len == 0 || cell.len > CELL_MAX) {
            seen.filled += cell.len > 0;
            continue;
        }
        count_cell(&seen, g, cell);
        for (size_t k = g->data; k < i && !repeats; k++) {
            repeats = ap_str_equal(ap_guess_cell(g, k, column), cell);
        }
    }
    conclude(out, g, &seen);
    out->repeats = repeats;
    /* Codes that come again are jobs more often than anything else; whole numbers of few digits that do not, picks. */
    if (out->shape == AP_SHAPE_CODES && repeats) {
        out->field = AP_F_job;
    } else if (out->shape == AP_SHAPE_WHOLE && seen.low >= 1 && seen.high <= 999 &&
               seen.high - seen.low < 2.0 * (double)seen.filled + 2) {
        out->field = AP_F_pick;
    }
}
