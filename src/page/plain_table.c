/* A table for a terminal. Numbers are never broken; heads and texts are wrapped until the table fits. When even that is
 * too wide, each row becomes a small block of "label: value" lines, so that nothing is lost. */
#include "page/glyph.h"
#include "page/plain.h"

enum { COLUMNS_MAX = 64, HEAD_SIZE = 256 };

/* How tight a table may be set: blanks between columns, columns left to a wrapped text. */
typedef struct tightness {
    size_t gap, text_least;
} tightness;
static const tightness tightnesses[] = {{2, 14}, {2, 10}, {1, 12}, {1, 8}, {1, 6}};

/* What stands in one cell or head: a view, or the formatted number in `own`. */
typedef struct cell_text {
    ap_str text;
    char own[AP_NUMBER_SIZE];
} cell_text;

static size_t column_total(const ap_table *table) {
    return table->column_count + (table->marked ? 1 : 0);
}

static bool is_number(const ap_table *table, size_t column) {
    return column < table->column_count && ap_cell_is_number(&table->columns[column]);
}

static bool may_wrap(const ap_table *table, size_t column) {
    return column >= table->column_count || ap_cell_is_text(&table->columns[column]);
}

static void get_cell(cell_text *out, const ap_plain *page, const ap_table *table, const ap_row *row, size_t column) {
    if (column >= table->column_count) {
        out->text = row->mark.ptr ? row->mark : AP_STR_LIT("");
        return;
    }
    const ap_cell *cell = &row->cells[column];
    if (ap_cell_is_text(&table->columns[column])) {
        out->text = cell->text;
    } else {
        ap_cell_text(out->own, page->doc->head.units, &table->columns[column], cell);
        out->text = ap_str_from(out->own);
    }
    if (ap_str_is_blank(out->text)) {
        out->text = AP_STR_LIT("—");
    }
}

static ap_str get_head(char out[HEAD_SIZE], const ap_plain *page, const ap_table *table, size_t column) {
    if (column >= table->column_count) {
        return AP_STR_LIT("mark");
    }
    const char *unit = ap_column_unit(page->doc->head.units, &table->columns[column]);
    ap_str label = table->columns[column].label;
    if (unit[0] == '\0' || label.len > HEAD_SIZE - 32) {
        return label;
    }
    int len = snprintf(out, HEAD_SIZE, "%.*s (%s)", AP_STR_ARG(label), unit);
    return (ap_str){out, (size_t)len};
}

static size_t longest_word(ap_str text) {
    size_t most = 0;
    ap_str rest = text;
    while (rest.ptr) {
        size_t width = ap_glyph_width(ap_str_split(rest, ' ', &rest));
        most = width > most ? width : most;
    }
    return most;
}

/* Widths that fit the page; false when even the least ones do not. */
static bool fit(size_t width[COLUMNS_MAX], const ap_plain *page, const ap_table *table, tightness set) {
    size_t least[COLUMNS_MAX];
    size_t total = column_total(table);
    size_t sum = (total - 1) * set.gap;
    for (size_t i = 0; i < total; i++) {
        char own[HEAD_SIZE];
        ap_str head = get_head(own, page, table, i);
        size_t cells = 0;
        for (const ap_row *row = table->first; row; row = row->next) {
            cell_text cell;
            get_cell(&cell, page, table, row, i);
            size_t one = ap_glyph_width(cell.text);
            cells = one > cells ? one : cells;
        }
        size_t word = longest_word(head);
        width[i] = ap_glyph_width(head) > cells ? ap_glyph_width(head) : cells;
        size_t need = may_wrap(table, i) && cells > set.text_least ? set.text_least : cells;
        least[i] = word > need ? word : need;
        least[i] = least[i] > 0 ? least[i] : 1;
        width[i] = width[i] > least[i] ? width[i] : least[i];
        sum += width[i];
    }
    while (sum > page->width) {
        size_t widest = total;
        for (size_t i = 0; i < total; i++) {
            if (width[i] > least[i] && (widest == total || width[i] > width[widest])) {
                widest = i;
            }
        }
        if (widest == total) {
            return false;
        }
        width[widest]--;
        sum--;
    }
    return true;
}

/* One line of each column until all are used up. */
static void put_lines(const ap_plain *page, const ap_table *table, ap_str *rest, const size_t *width, size_t gap) {
    size_t total = column_total(table);
    for (bool more = true; more;) {
        more = false;
        size_t owed = 0; /* blanks not yet written, so that no line ends in blanks */
        for (size_t i = 0; i < total; i++) {
            ap_str line = AP_STR_NONE;
            bool some = ap_plain_take_line(&line, &rest[i], width[i]);
            size_t used = some ? ap_glyph_width(line) : 0;
            size_t pad = width[i] > used ? width[i] - used : 0;
            if (some) {
                ap_plain_spaces(page, owed + (is_number(table, i) ? pad : 0));
                ap_glyph_put(page->sink, line);
                owed = is_number(table, i) ? 0 : pad;
            } else {
                owed += width[i];
            }
            owed += gap;
            more = more || !ap_str_is_blank(rest[i]);
        }
        ap_sink_putc(page->sink, '\n');
    }
}

static void put_grid(const ap_plain *page, const ap_table *table, const size_t *width, size_t gap) {
    size_t total = column_total(table);
    char heads[COLUMNS_MAX][HEAD_SIZE];
    ap_str rest[COLUMNS_MAX];
    for (size_t i = 0; i < total; i++) {
        rest[i] = get_head(heads[i], page, table, i);
    }
    ap_plain_set(page, AP_LOOK_BOLD);
    put_lines(page, table, rest, width, gap);
    ap_plain_set(page, AP_LOOK_END);
    for (size_t i = 0; i < total; i++) {
        ap_plain_spaces(page, i > 0 ? gap : 0);
        for (size_t k = 0; k < width[i]; k++) {
            ap_sink_putc(page->sink, '-');
        }
    }
    ap_sink_putc(page->sink, '\n');
    cell_text cells[COLUMNS_MAX];
    for (const ap_row *row = table->first; row; row = row->next) {
        for (size_t i = 0; i < total; i++) {
            get_cell(&cells[i], page, table, row, i);
            rest[i] = cells[i].text;
        }
        put_lines(page, table, rest, width, gap);
    }
}

static void put_blocks(const ap_plain *page, const ap_table *table) {
    for (const ap_row *row = table->first; row; row = row->next) {
        for (size_t i = 0; i < column_total(table); i++) {
            char own[HEAD_SIZE];
            cell_text cell;
            get_cell(&cell, page, table, row, i);
            if (i >= table->column_count && ap_str_is_blank(cell.text)) {
                continue;
            }
            ap_str head = get_head(own, page, table, i);
            ap_plain_spaces(page, i > 0 ? 2 : 0);
            char lead[HEAD_SIZE + 32];
            int len = head.len < HEAD_SIZE ? snprintf(lead, sizeof lead, "%.*s:", AP_STR_ARG(head)) : 0;
            ap_plain_led(page, AP_LOOK_END, len > 0 ? ap_str_from(lead) : head, cell.text, i > 0 ? 2 : 0, 4);
        }
    }
}

void ap_plain_table(const ap_plain *page, const ap_table *table) {
    if (!ap_str_is_blank(table->caption)) {
        ap_plain_set(page, AP_LOOK_DIM);
        ap_plain_wrap(page, table->caption, 0, 0);
        ap_plain_set(page, AP_LOOK_END);
    }
    if (table->row_count == 0) {
        ap_plain_wrap(page, table->empty.ptr ? table->empty : AP_STR_LIT("Nothing to list."), 0, 0);
        return;
    }
    size_t width[COLUMNS_MAX];
    if (column_total(table) <= COLUMNS_MAX) {
        for (size_t i = 0; i < sizeof tightnesses / sizeof tightnesses[0]; i++) {
            if (fit(width, page, table, tightnesses[i])) {
                put_grid(page, table, width, tightnesses[i].gap);
                return;
            }
        }
    }
    put_blocks(page, table);
}
