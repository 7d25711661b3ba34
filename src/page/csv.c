/* CSV as RFC 4180 has it: CR LF, a header, quotes where a cell holds a comma, a quote or a line end.
 *
 * A cell that a spreadsheet would run as a formula (it starts, after blanks, with = + - @ or their full-width forms, or
 * with a tab or carriage return) gets an apostrophe in front. Source of the list: OWASP, "CSV Injection". A cell that is a
 * plain number through and through ("-33.7") runs nothing and stays bare, so that other programs read it as one. */
#include "page/glyph.h"
#include "page/number.h"
#include "page/write.h"

static bool is_plain_number(ap_str text) {
    size_t digits = 0;
    size_t points = 0;
    for (size_t i = 0; i < text.len; i++) {
        bool digit = text.ptr[i] >= '0' && text.ptr[i] <= '9';
        bool point = text.ptr[i] == '.' && digits > 0;
        if (!digit && !point && !(i == 0 && text.ptr[i] == '-')) {
            return false;
        }
        digits += digit;
        points += point;
    }
    return digits > 0 && points <= 1;
}

static bool starts_formula(ap_str text) {
    size_t at = 0;
    while (at < text.len && text.ptr[at] == ' ') {
        at++;
    }
    if (at >= text.len) {
        return false;
    }
    switch (ap_utf8_next(text, &at)) {
    case '=':
    case '+':
    case '-':
    case '@':
    case '\t':
    case '\r':
    case '\n':
    case 0xFF1D: /* full-width = + - @ */
    case 0xFF0B:
    case 0xFF0D:
    case 0xFF20:
        return true;
    default:
        return false;
    }
}

static void put_text(ap_sink *sink, ap_str text) {
    bool guard = starts_formula(text) && !is_plain_number(text);
    bool quote = guard;
    for (size_t i = 0; i < text.len; i++) {
        char c = text.ptr[i];
        quote = quote || c == ',' || c == '"' || c == '\n' || c == '\r' || c == ';' || c == '\t';
    }
    quote = quote || (text.len > 0 && (text.ptr[0] == ' ' || text.ptr[text.len - 1] == ' '));
    if (quote) {
        ap_sink_putc(sink, '"');
    }
    if (guard) {
        ap_sink_putc(sink, '\'');
    }
    ap_glyph glyph;
    for (size_t at = 0; ap_glyph_next(&glyph, text, &at, AP_GLYPH_KEEP_LINES);) {
        if (glyph.len == 1 && glyph.bytes[0] == '"') {
            ap_sink_putc(sink, '"');
        }
        ap_sink_put(sink, (ap_str){glyph.bytes, glyph.len});
    }
    if (quote) {
        ap_sink_putc(sink, '"');
    }
}

static void put_header(ap_sink *sink, const ap_doc *doc, const ap_table *table) {
    for (size_t i = 0; i < table->column_count; i++) {
        const ap_column *column = &table->columns[i];
        const char *unit = ap_column_plain_unit(doc->head.units, column);
        if (i > 0) {
            ap_sink_putc(sink, ',');
        }
        put_text(sink, column->key.len > 0 ? column->key : column->label);
        if (unit[0] != '\0') {
            ap_sink_putc(sink, '_');
            ap_sink_puts(sink, unit);
        }
    }
    ap_sink_puts(sink, table->has_marks ? ",mark\r\n" : "\r\n");
}

static void put_row(ap_sink *sink, const ap_doc *doc, const ap_table *table, const ap_row *row) {
    for (size_t i = 0; i < table->column_count; i++) {
        const ap_column *column = &table->columns[i];
        if (i > 0) {
            ap_sink_putc(sink, ',');
        }
        if (ap_cell_is_text(column)) {
            put_text(sink, row->cells[i].text);
            continue;
        }
        char text[AP_NUMBER_SIZE];
        ap_cell_plain(text, doc->head.units, column, &row->cells[i]);
        ap_sink_puts(sink, text);
    }
    if (table->has_marks) {
        ap_sink_putc(sink, ',');
        put_text(sink, row->mark);
    }
    ap_sink_puts(sink, "\r\n");
}

ap_status ap_page_write_csv(ap_sink *sink, const ap_doc *doc, ap_str id, ap_error *err) {
    ap_status status = ap_doc_check(doc, err);
    if (status != AP_OK) {
        return status;
    }
    const ap_table *table = NULL;
    for (const ap_node *node = doc->first; node && !table; node = node->next) {
        if (node->kind == AP_NODE_TABLE && (!id.ptr || ap_str_equal(node->id, id))) {
            table = node->table;
        }
    }
    if (!table) {
        return id.ptr ? ap_error_set(err, AP_E_NOT_FOUND, "no table '%.*s' on this page", AP_STR_ARG(id))
                      : ap_error_set(err, AP_E_NOT_FOUND, "no table on this page to write as CSV");
    }
    put_header(sink, doc, table);
    for (const ap_row *row = table->first; row; row = row->next) {
        put_row(sink, doc, table, row);
    }
    return ap_sink_check(sink, "the table", err);
}
