/* CommonMark with pipe tables. Everything that a text could be read as (emphasis, links, raw HTML, a list, a heading, a
 * bare address) is escaped, so that the page shows what was written in the log and nothing else. */
#include "page/glyph.h"
#include "page/number.h"
#include "page/write.h"

static bool needs_backslash(char c) {
    return c != '\0' && strchr("\\`*_[]<>|~&$@", c) != NULL;
}

/* Start of a line: "- x", "+ x", "# x", "= x", "12. x", "12) x" would open a block. */
static size_t block_start(ap_str text) {
    size_t at = 0;
    while (at < text.len && at < 10 && text.ptr[at] >= '0' && text.ptr[at] <= '9') {
        at++;
    }
    if (at >= text.len) {
        return text.len;
    }
    if (at > 0) {
        return text.ptr[at] == '.' || text.ptr[at] == ')' ? at : text.len;
    }
    return strchr("-+#=:", text.ptr[0]) && text.ptr[0] != '\0' ? 0 : text.len;
}

static void put_text(ap_sink *sink, ap_str text) {
    text = ap_str_trim(text); /* four blanks in front would be a code block */
    size_t block = block_start(text);
    ap_glyph glyph;
    for (size_t at = 0, start = 0; ap_glyph_next(&glyph, text, &at, AP_GLYPH_SHOW_LINES); start = at) {
        char c = glyph.len == 1 ? glyph.bytes[0] : '\0';
        bool address = (c == ':' && start + 2 < text.len && text.ptr[start + 1] == '/' && text.ptr[start + 2] == '/') ||
                       (c == '.' && start >= 3 && strncasecmp(text.ptr + start - 3, "www", 3) == 0);
        if (needs_backslash(c) || address || (start == block && c != '\0')) {
            ap_sink_putc(sink, '\\');
        }
        ap_sink_put(sink, (ap_str){glyph.bytes, glyph.len});
    }
}

static void put_pick(ap_sink *sink, const ap_doc *doc, ap_str pick) {
    ap_str href = ap_doc_pick_href(doc, pick);
    if (href.ptr) {
        ap_sink_putc(sink, '[');
        put_text(sink, pick);
        ap_sink_printf(sink, "](%.*s)", AP_STR_ARG(href));
    } else {
        put_text(sink, pick);
    }
}

static void put_table_head(ap_sink *sink, const ap_doc *doc, const ap_table *table) {
    for (size_t i = 0; i < table->column_count; i++) {
        const char *unit = ap_column_unit(doc->head.units, &table->columns[i]);
        ap_sink_puts(sink, "| ");
        put_text(sink, table->columns[i].label);
        if (unit[0] != '\0') {
            ap_sink_printf(sink, " (%s)", unit);
        }
        ap_sink_putc(sink, ' ');
    }
    ap_sink_puts(sink, table->marked ? "| Mark |\n" : "|\n");
    for (size_t i = 0; i < table->column_count; i++) {
        ap_sink_puts(sink, ap_cell_is_number(&table->columns[i]) ? "| ---: " : "| --- ");
    }
    ap_sink_puts(sink, table->marked ? "| --- |\n" : "|\n");
}

static void put_cell(ap_sink *sink, const ap_doc *doc, const ap_column *column, const ap_cell *cell) {
    if (ap_cell_is_text(column)) {
        if (ap_str_is_blank(cell->text)) {
            ap_sink_puts(sink, "—");
        } else if (cell->href.ptr) {
            ap_sink_putc(sink, '[');
            put_text(sink, cell->text);
            ap_sink_printf(sink, "](%.*s)", AP_STR_ARG(cell->href));
        } else if (column->kind == AP_CELL_PICK) {
            put_pick(sink, doc, cell->text);
        } else {
            put_text(sink, cell->text);
        }
        return;
    }
    char text[AP_NUMBER_SIZE];
    ap_cell_text(text, doc->head.units, column, cell);
    ap_sink_puts(sink, text[0] ? text : "—");
}

static void put_table(ap_sink *sink, const ap_doc *doc, const ap_table *table) {
    if (!ap_str_is_blank(table->caption)) {
        ap_sink_puts(sink, "**");
        put_text(sink, table->caption);
        ap_sink_puts(sink, "**\n\n");
    }
    if (table->row_count == 0) {
        put_text(sink, table->empty.ptr ? table->empty : AP_STR_LIT("Nothing to list."));
        ap_sink_puts(sink, "\n\n");
        return;
    }
    put_table_head(sink, doc, table);
    for (const ap_row *row = table->first; row; row = row->next) {
        for (size_t i = 0; i < table->column_count; i++) {
            ap_sink_puts(sink, "| ");
            put_cell(sink, doc, &table->columns[i], &row->cells[i]);
            ap_sink_putc(sink, ' ');
        }
        if (table->marked) {
            ap_sink_puts(sink, row->mark.len ? "| ▲ " : "| ");
            put_text(sink, row->mark);
            ap_sink_putc(sink, ' ');
        }
        ap_sink_puts(sink, "|\n");
    }
    ap_sink_putc(sink, '\n');
}

static void put_around(ap_sink *sink, const char *before, ap_str text, const char *after) {
    ap_sink_puts(sink, before);
    put_text(sink, text);
    ap_sink_puts(sink, after);
}

static void put_figure(ap_sink *sink, const ap_node *node) {
    if (!node->svg.ptr) {
        put_around(sink, "**", node->text, ".** ");
        put_around(sink, "Figure not drawn: ", node->missing.ptr ? node->missing : AP_STR_LIT("no data"), "\n\n");
        return;
    }
    put_around(sink, "![", node->text, "]");
    ap_sink_printf(sink, "(figures/%.*s.svg)\n\n", AP_STR_ARG(node->id));
    put_around(sink, "", node->note, "\n\n");
}

static void put_listed(ap_sink *sink, const ap_doc *doc, const ap_node *node) {
    switch (node->kind) {
    case AP_NODE_ALERT:
        put_around(sink, "- ▲ **", node->tag, "** ");
        if (!ap_str_is_blank(node->note)) {
            put_pick(sink, doc, node->note);
            ap_sink_puts(sink, ": ");
        }
        put_around(sink, "", node->text, "\n");
        break;
    case AP_NODE_TILE:
        put_around(sink, "- ", node->tag, ": ");
        put_around(sink, "**", node->text, "**");
        put_around(sink, ap_str_is_blank(node->note) ? "" : " — ", node->note, "\n");
        break;
    default:
        put_around(sink, "- ", node->text, "\n");
        break;
    }
    if (!node->next || node->next->kind != node->kind) {
        ap_sink_putc(sink, '\n');
    }
}

static void put_node(ap_sink *sink, const ap_doc *doc, const ap_node *node) {
    switch (node->kind) {
    case AP_NODE_SECTION:
        put_around(sink, node->level == 2 ? "## " : "### ", node->text, "\n\n");
        break;
    case AP_NODE_BREAK:
        ap_sink_puts(sink, "---\n\n");
        break;
    case AP_NODE_ANSWER:
        put_around(sink, "**", node->text, "**\n\n");
        break;
    case AP_NODE_PARAGRAPH:
        put_around(sink, "", node->text, "\n\n");
        break;
    case AP_NODE_CAUTION:
        put_around(sink, "> **Caution.** ", node->text, "\n\n");
        break;
    case AP_NODE_ITEM:
    case AP_NODE_ALERT:
    case AP_NODE_TILE:
        put_listed(sink, doc, node);
        break;
    case AP_NODE_MESSAGE:
        put_around(sink, "**", node->text, "**\n\n");
        if (!ap_str_is_blank(node->note)) {
            put_pick(sink, doc, node->note);
            ap_sink_puts(sink, ": ");
        }
        put_around(sink, "", node->tag, "\n\n");
        break;
    case AP_NODE_LINK:
        if (node->tag.ptr) {
            put_around(sink, "[", node->text, "]");
            ap_sink_printf(sink, "(%.*s)\n\n", AP_STR_ARG(node->tag));
        } else {
            put_around(sink, "", node->text, "\n\n");
        }
        break;
    case AP_NODE_FIGURE:
        put_figure(sink, node);
        break;
    case AP_NODE_TABLE:
        if (node->table) {
            put_table(sink, doc, node->table);
        }
        break;
    case AP_NODE_WORKING_BEGIN:
        put_around(sink, "*", ap_doc_working_title(node), "*\n\n");
        break;
    case AP_NODE_WORKING_END:
        break;
    }
}

static void put_fact(ap_sink *sink, const char *label, ap_str value) {
    if (!ap_str_is_blank(value)) {
        ap_sink_printf(sink, "- %s: ", label);
        put_around(sink, "", value, "\n");
    }
}

ap_status ap_page_write_markdown_part(ap_sink *sink, const ap_doc *doc, ap_error *err) {
    ap_status status = ap_doc_check(doc, err);
    for (const ap_node *node = doc->first; status == AP_OK && node; node = node->next) {
        put_node(sink, doc, node);
    }
    return status == AP_OK ? ap_sink_check(sink, "the page", err) : status;
}

ap_status ap_page_write_markdown(ap_sink *sink, const ap_doc *doc, ap_error *err) {
    ap_status status = ap_doc_check(doc, err);
    if (status != AP_OK) {
        return status;
    }
    put_around(sink, "# ", doc->head.title, "\n\n");
    if (!ap_str_is_blank(doc->head.subtitle)) {
        put_around(sink, "", doc->head.subtitle, "\n\n");
    }
    for (const ap_node *node = doc->first; node; node = node->next) {
        put_node(sink, doc, node);
    }
    ap_sink_puts(sink, "---\n\n");
    put_fact(sink, "Book", doc->head.book);
    put_fact(sink, "Period", doc->head.period);
    put_fact(sink, "Units", ap_str_from(ap_doc_units_text(doc->head.units)));
    put_fact(sink, "Dates read as", doc->head.date_order);
    put_fact(sink, "Made on", doc->head.made_on);
    put_fact(sink, "afterpick", doc->head.version);
    return ap_sink_check(sink, "the page", err);
}
