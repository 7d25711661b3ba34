#include "page/html.h"

enum { SORTED_LEAST = 3 }; /* rows; fewer are seen at a glance */

static const char *cell_class(const ap_column *column) {
    return ap_cell_is_number(column) ? "number" : column->kind == AP_CELL_DATE ? "date" : "text";
}

/* Columns whose few words people want to see one of. */
static bool is_filtered(const ap_column *column) {
    static const char *const keys[] = {"species", "crew",  "class",     "crane", "cut",
                                       "state",   "basis", "estimator", "kind",  "detector"};
    for (size_t i = 0; column->kind == AP_CELL_TEXT && i < sizeof keys / sizeof keys[0]; i++) {
        if (ap_str_equal(column->key, ap_str_from(keys[i]))) {
            return true;
        }
    }
    return false;
}

bool ap_html_sorts(const ap_table *table) {
    if (!table || table->row_count < SORTED_LEAST) {
        return false;
    }
    /* Two columns of words are a list of fields: their order is meant. */
    bool words = table->column_count <= 2;
    for (size_t i = 0; words && i < table->column_count; i++) {
        words = table->columns[i].kind == AP_CELL_TEXT && !is_filtered(&table->columns[i]);
    }
    return !words;
}

static void put_head(ap_sink *sink, const ap_doc *doc, const ap_table *table) {
    ap_sink_puts(sink, "<thead><tr>");
    for (size_t i = 0; i < table->column_count; i++) {
        const ap_column *column = &table->columns[i];
        const char *unit = ap_column_unit(doc->head.units, column);
        ap_sink_printf(sink, "<th scope=\"col\" class=\"%s\"%s>", cell_class(column),
                       ap_html_sorts(table) && is_filtered(column) ? " data-filter=\"\"" : "");
        ap_html_text(sink, column->label);
        if (unit[0] != '\0') {
            ap_sink_printf(sink, " <span class=\"unit\">(%s)</span>", unit);
        }
        ap_sink_puts(sink, "</th>");
    }
    ap_sink_puts(sink, "</tr></thead>\n");
}

static void put_value(ap_sink *sink, const ap_doc *doc, const ap_column *column, const ap_cell *cell) {
    char text[AP_NUMBER_SIZE];
    if (!ap_cell_is_text(column)) {
        ap_cell_text(text, doc->head.units, column, cell);
        if (text[0] != '\0') {
            ap_sink_puts(sink, text);
            return;
        }
    } else if (!ap_str_is_blank(cell->text)) {
        if (cell->href.ptr) {
            ap_sink_printf(sink, "<a href=\"%.*s\">", AP_STR_ARG(cell->href));
            ap_html_isolated(sink, cell->text);
            ap_sink_puts(sink, "</a>");
        } else if (column->kind == AP_CELL_PICK) {
            ap_html_pick(sink, doc, cell->text);
        } else {
            ap_html_isolated(sink, cell->text);
        }
        return;
    }
    ap_sink_puts(sink, "<span class=\"none\">—</span>");
}

static void put_row(ap_sink *sink, const ap_doc *doc, const ap_table *table, const ap_row *row) {
    bool marked = !ap_str_is_blank(row->mark);
    ap_sink_puts(sink, "<tr");
    if (row->id.ptr) {
        ap_sink_printf(sink, " id=\"%.*s\"", AP_STR_ARG(row->id));
    }
    ap_sink_puts(sink, marked ? " class=\"marked\">" : ">");
    for (size_t i = 0; i < table->column_count; i++) {
        const ap_column *column = &table->columns[i];
        bool names_row = i == 0 && ap_cell_is_text(column);
        ap_sink_printf(sink, names_row ? "<th scope=\"row\" class=\"%s\"" : "<td class=\"%s\"", cell_class(column));
        if (ap_html_sorts(table) && ap_cell_is_number(column) && isfinite(row->cells[i].value)) {
            ap_sink_printf(sink, " data-value=\"%.10g\"", row->cells[i].value);
        }
        ap_sink_putc(sink, '>');
        put_value(sink, doc, column, &row->cells[i]);
        if (marked && i == 0) {
            ap_sink_puts(sink, " <span class=\"mark\"><span aria-hidden=\"true\">▲</span> ");
            ap_html_isolated(sink, row->mark);
            ap_sink_puts(sink, "</span>");
        }
        ap_sink_puts(sink, names_row ? "</th>" : "</td>");
    }
    ap_sink_puts(sink, "</tr>\n");
}

void ap_html_table(ap_sink *sink, const ap_doc *doc, const ap_table *table, ap_str heading) {
    static const char *const classes[2][2] = {{"", " class=\"sorts\""}, {" class=\"many\"", " class=\"many sorts\""}};
    if (table->row_count == 0) {
        ap_sink_printf(sink, "<p id=\"%.*s\">", AP_STR_ARG(table->id));
        if (!ap_str_is_blank(table->caption)) {
            ap_sink_puts(sink, "<strong>");
            ap_html_text(sink, table->caption);
            ap_sink_puts(sink, "</strong>: ");
        }
        ap_html_text(sink, table->empty.ptr ? table->empty : AP_STR_LIT("nothing to list."));
        ap_sink_puts(sink, "</p>\n");
        return;
    }
    const bool unsaid = ap_str_is_blank(table->caption); /* the heading above says it; a screen reader hears it again */
    /* A box that scrolls by itself must be reachable and named for people who use the keyboard. */
    ap_sink_printf(sink,
                   "<div class=\"wide\" role=\"group\" tabindex=\"0\" aria-labelledby=\"%.*s-caption\">"
                   "<table id=\"%.*s\"%s>\n<caption id=\"%.*s-caption\"%s>",
                   AP_STR_ARG(table->id), AP_STR_ARG(table->id), classes[table->column_count > 8][ap_html_sorts(table)],
                   AP_STR_ARG(table->id), unsaid ? " class=\"unsaid\"" : "");
    ap_html_text(sink, !unsaid ? table->caption : ap_str_is_blank(heading) ? AP_STR_LIT("Table") : heading);
    ap_sink_puts(sink, "</caption>\n");
    put_head(sink, doc, table);
    ap_sink_puts(sink, "<tbody>\n");
    for (const ap_row *row = table->first; row; row = row->next) {
        put_row(sink, doc, table, row);
    }
    ap_sink_puts(sink, "</tbody></table></div>\n");
}
