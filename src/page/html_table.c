#include "page/html.h"

/* Rows: with fewer the whole is seen at a glance; with at most so many it stays on one sheet of paper. */
enum { SORTED_LEAST = 3, FEW_MOST = 12 };

/* How much a column of words holds decides how it may break. */
typedef enum holds { WORD, SHORT, TEXT, LONG } holds;

typedef struct look {
    holds *columns; /* NULL when memory is out: the arena says so at the end */
    bool cards;     /* columns of sentences and some more: no phone and no sheet of paper is wide enough for that */
} look;

static look look_at(const ap_doc *doc, const ap_table *table) {
    enum { WORD_MOST = 9, SHORT_LETTERS = 20, TEXT_MOST = 44, SENTENCES_LEAST = 2, CARDS_LEAST = 6 };
    look seen = {ap_arena_alloc(doc->arena, table->column_count * sizeof *seen.columns), false};
    size_t sentences = 0;
    for (size_t i = 0; seen.columns && i < table->column_count; i++) {
        size_t most = 0;
        for (const ap_row *row = table->first; row; row = row->next) {
            most = row->cells[i].text.len > most ? row->cells[i].text.len : most;
        }
        seen.columns[i] = most <= WORD_MOST ? WORD : most <= SHORT_LETTERS ? SHORT : most <= TEXT_MOST ? TEXT : LONG;
        sentences += seen.columns[i] == LONG;
    }
    seen.cards = sentences >= SENTENCES_LEAST && table->column_count >= CARDS_LEAST;
    return seen;
}

static const char *cell_class(const look *seen, const ap_table *table, size_t at) {
    static const char *const words[] = {
        [WORD] = "text word", [SHORT] = "text short", [TEXT] = "text", [LONG] = "text long"};
    const ap_column *column = &table->columns[at];
    return ap_cell_is_number(column)      ? "number"
           : column->kind == AP_CELL_DATE ? "date"
                                          : words[seen->columns ? seen->columns[at] : TEXT];
}

/* On a card some cells speak for themselves. */
static bool is_labelled(const ap_column *column) {
    static const char *const keys[] = {"class", "detector", "says", "state", "what"};
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        if (ap_str_equal(column->key, ap_str_from(keys[i]))) {
            return false;
        }
    }
    return true;
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

static void put_head(ap_sink *sink, const ap_doc *doc, const ap_table *table, const look *seen) {
    ap_sink_puts(sink, "<thead><tr>");
    for (size_t i = 0; i < table->column_count; i++) {
        const ap_column *column = &table->columns[i];
        const char *unit = ap_column_unit(doc->head.units, column);
        ap_sink_printf(sink, "<th scope=\"col\" class=\"%s\"%s>", cell_class(seen, table, i),
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
            ap_sink_puts(sink, text[0] == '-' ? "\xE2\x88\x92" : "");
            ap_sink_puts(sink, text + (text[0] == '-'));
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

/* The cell a card is named by. */
static bool is_title(const ap_column *column) {
    return ap_str_equal(column->key, AP_STR_LIT("detector")) || ap_str_equal(column->key, AP_STR_LIT("what"));
}

static bool is_blank(const ap_column *column, const ap_cell *cell) {
    return ap_cell_is_text(column)     ? ap_str_is_blank(cell->text)
           : ap_cell_is_number(column) ? !isfinite(cell->value)
                                       : cell->date == AP_DATE_NONE;
}

static void put_row(ap_sink *sink, const ap_doc *doc, const ap_table *table, const look *seen, const ap_row *row) {
    bool marked = !ap_str_is_blank(row->mark);
    ap_sink_puts(sink, "<tr");
    if (row->id.ptr) {
        ap_sink_printf(sink, " id=\"%.*s\"", AP_STR_ARG(row->id));
    }
    ap_sink_puts(sink, marked ? " class=\"marked\">" : ">");
    for (size_t i = 0; i < table->column_count; i++) {
        const ap_column *column = &table->columns[i];
        bool names_row = i == 0 && ap_cell_is_text(column);
        const char *on_card = !seen->cards                       ? ""
                              : is_blank(column, &row->cells[i]) ? " blank"
                              : is_title(column)                 ? " title"
                                                                 : "";
        ap_sink_printf(sink, names_row ? "<th scope=\"row\" class=\"%s%s\"" : "<td class=\"%s%s\"",
                       cell_class(seen, table, i), on_card);
        if (seen->cards && is_labelled(column)) {
            ap_sink_puts(sink, " data-label=\"");
            ap_html_text(sink, column->label);
            ap_sink_putc(sink, '"');
        }
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

/* What was recorded, a field a row: its two heads say nothing. */
static bool is_fields(const ap_table *table) {
    return table->column_count == 2 && ap_str_equal(table->columns[0].key, AP_STR_LIT("field")) &&
           ap_str_equal(table->columns[1].key, AP_STR_LIT("value"));
}

void ap_html_table(ap_sink *sink, const ap_doc *doc, const ap_table *table, ap_str heading) {
    enum { PLAIN = 0, MANY = 2, CARDS = 4, FIELDS = 6 }; /* each but the last followed by the same one that sorts */
    static const char *const classes[] = {"",
                                          " class=\"sorts\"",
                                          " class=\"many\"",
                                          " class=\"many sorts\"",
                                          " class=\"cards\"",
                                          " class=\"cards sorts\"",
                                          " class=\"fields\""};
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
    const look seen = look_at(doc, table);
    const int look_of = is_fields(table) ? FIELDS
                        : seen.cards     ? CARDS + ap_html_sorts(table)
                                         : (table->column_count > 8 ? MANY : PLAIN) + ap_html_sorts(table);
    const bool unsaid = ap_str_is_blank(table->caption); /* the heading above says it; a screen reader hears it again */
    /* A box that scrolls by itself must be reachable and named for people who use the keyboard. */
    ap_sink_printf(sink,
                   "<div class=\"wide%s\" role=\"group\" tabindex=\"0\" aria-labelledby=\"%.*s-caption\">"
                   "<table id=\"%.*s\"%s>\n<caption id=\"%.*s-caption\"%s>",
                   table->row_count <= FEW_MOST ? " few" : "", AP_STR_ARG(table->id), AP_STR_ARG(table->id),
                   classes[look_of], AP_STR_ARG(table->id), unsaid ? " class=\"unsaid\"" : "");
    ap_html_text(sink, !unsaid ? table->caption : ap_str_is_blank(heading) ? AP_STR_LIT("Table") : heading);
    ap_sink_puts(sink, "</caption>\n");
    put_head(sink, doc, table, &seen);
    ap_sink_puts(sink, "<tbody>\n");
    for (const ap_row *row = table->first; row; row = row->next) {
        put_row(sink, doc, table, &seen, row);
    }
    ap_sink_puts(sink, "</tbody></table></div>\n");
}
