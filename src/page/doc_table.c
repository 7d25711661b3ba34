#include <assert.h>

#include "page/doc_node.h"

ap_table *ap_doc_table(ap_doc *doc, ap_str id, ap_str caption, const ap_column *columns, size_t count) {
    assert(count > 0);
    ap_node *node = ap_doc_add(doc, AP_NODE_TABLE, AP_STR_NONE);
    ap_table *table = node ? ap_arena_alloc(doc->arena, sizeof *table) : NULL;
    ap_column *copy = table ? ap_arena_alloc_array(doc->arena, count, sizeof *copy) : NULL;
    if (!copy) {
        return NULL;
    }
    for (size_t i = 0; i < count; i++) {
        copy[i] = columns[i];
        copy[i].key = ap_arena_str(doc->arena, columns[i].key);
        copy[i].label = ap_arena_str(doc->arena, columns[i].label);
    }
    table->doc = doc;
    table->id = ap_doc_make_id(doc, id);
    table->caption = ap_arena_str(doc->arena, caption);
    table->columns = copy;
    table->column_count = count;
    node->table = table;
    node->id = table->id;
    return table;
}

void ap_table_row(ap_table *table) {
    if (!table) {
        return;
    }
    ap_row *row = ap_arena_alloc(table->doc->arena, sizeof *row);
    ap_cell *cells = row ? ap_arena_alloc_array(table->doc->arena, table->column_count, sizeof *cells) : NULL;
    if (!cells) {
        return;
    }
    for (size_t i = 0; i < table->column_count; i++) {
        cells[i] = (ap_cell){.value = (double)NAN, .date = AP_DATE_NONE, .text = AP_STR_NONE, .href = AP_STR_NONE};
    }
    row->cells = cells;
    if (table->last) {
        table->last->next = row;
    } else {
        table->first = row;
    }
    table->last = row;
    table->row_count++;
}

/* The next free cell of the row, which must be one of a kind the caller fills. */
static ap_cell *next_cell(ap_table *table, unsigned kinds) {
    if (!table || table->doc->arena->failed) {
        return NULL;
    }
    assert(table->last && table->last->filled < table->column_count);
    size_t at = table->last->filled++;
    assert(kinds & (1u << table->columns[at].kind));
    (void)kinds;
    return &table->last->cells[at];
}

enum {
    TEXT_KINDS = 1 << AP_CELL_TEXT | 1 << AP_CELL_PICK,
    VALUE_KINDS =
        1 << AP_CELL_COUNT | 1 << AP_CELL_NUMBER | 1 << AP_CELL_RATIO | 1 << AP_CELL_PERCENT | 1 << AP_CELL_QUANTITY,
    DATE_KINDS = 1 << AP_CELL_DATE
};

void ap_table_text(ap_table *table, ap_str text) {
    ap_cell *cell = next_cell(table, TEXT_KINDS);
    if (cell) {
        cell->text = ap_arena_str(table->doc->arena, text);
    }
}

void ap_table_link(ap_table *table, ap_str text, ap_str href) {
    ap_cell *cell = next_cell(table, TEXT_KINDS);
    if (cell) {
        cell->text = ap_arena_str(table->doc->arena, text);
        cell->href = ap_doc_href_allowed(href) ? ap_arena_str(table->doc->arena, href) : AP_STR_NONE;
    }
}

void ap_table_value(ap_table *table, double value) {
    ap_cell *cell = next_cell(table, VALUE_KINDS);
    if (cell) {
        cell->value = value;
    }
}

void ap_table_value_as(ap_table *table, double value, ap_str words) {
    ap_cell *cell = next_cell(table, VALUE_KINDS);
    if (cell) {
        cell->value = value;
        cell->text = ap_arena_str(table->doc->arena, words);
    }
}

void ap_table_date(ap_table *table, ap_date date) {
    ap_cell *cell = next_cell(table, DATE_KINDS);
    if (cell) {
        cell->date = date;
    }
}

void ap_table_has_marks(ap_table *table) {
    if (table) {
        table->has_marks = true;
    }
}

void ap_table_row_mark(ap_table *table, ap_str mark) {
    assert(!table || table->has_marks);
    if (!table || !table->last || ap_str_is_blank(mark)) {
        return;
    }
    table->last->mark = ap_arena_str(table->doc->arena, mark);
    table->marked = true;
}

void ap_table_row_id(ap_table *table, ap_str id) {
    if (table && table->last) {
        table->last->id = ap_doc_make_id(table->doc, id);
    }
}

void ap_table_empty(ap_table *table, ap_str sentence) {
    if (table) {
        table->empty = ap_arena_str(table->doc->arena, sentence);
    }
}
