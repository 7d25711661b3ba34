#include "page/markup.h"

#include <cmark.h>

#include "page/glyph.h"
#include "page/html.h"

enum { CELLS_MAX = 32 };

typedef struct writer {
    ap_sink *sink;
    ap_str source;      /* what was parsed */
    size_t *line_start; /* of each line of it, one more behind the last */
    size_t line_count;
    const ap_markup_figure *figures;
    size_t count;
    ap_buf title;
    bool title_taken;
    bool section_open;
    size_t sections;
    size_t tables;
} writer;

static void put_cmark(writer *it, cmark_node *node) {
    char *html = cmark_render_html(node, CMARK_OPT_SAFE);
    if (html) {
        ap_sink_puts(it->sink, html);
    } else {
        it->sink->status = AP_E_MEMORY;
    }
    free(html);
}

static ap_status index_lines(writer *it, ap_error *err) {
    size_t count = 1;
    for (size_t i = 0; i < it->source.len; i++) {
        count += it->source.ptr[i] == '\n';
    }
    it->line_start = calloc(count + 1, sizeof *it->line_start);
    if (!it->line_start) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    for (size_t i = 0; i < it->source.len; i++) {
        if (it->source.ptr[i] == '\n') {
            it->line_start[++it->line_count] = i + 1;
        }
    }
    it->line_start[++it->line_count] = it->source.len;
    return AP_OK;
}

/* Line `number` (from 1) of the source without its ending. */
static ap_str source_line(const writer *it, int number) {
    size_t at = (size_t)number - 1;
    if (number < 1 || at >= it->line_count) {
        return AP_STR_LIT("");
    }
    return ap_str_trim((ap_str){it->source.ptr + it->line_start[at], it->line_start[at + 1] - it->line_start[at]});
}

/* Cells between unescaped bars; -1 when the line is none of a table. */
static int split_cells(ap_str cells[CELLS_MAX], ap_str line) {
    int count = 0;
    if (line.len < 2 || line.ptr[0] != '|' || line.ptr[line.len - 1] != '|') {
        return -1;
    }
    size_t from = 1;
    for (size_t i = 1; i < line.len; i++) {
        if (line.ptr[i] == '\\') {
            i++;
        } else if (line.ptr[i] == '|') {
            if (count == CELLS_MAX) {
                return -1;
            }
            cells[count++] = ap_str_trim((ap_str){line.ptr + from, i - from});
            from = i + 1;
        }
    }
    return from == line.len ? count : -1;
}

/* "---" left, "---:" right; anything else is not the line under a table's head. */
static bool read_dashes(bool right[CELLS_MAX], const ap_str cells[CELLS_MAX], int count) {
    for (int i = 0; i < count; i++) {
        ap_str cell = cells[i];
        right[i] = cell.len > 1 && cell.ptr[cell.len - 1] == ':';
        size_t dashes = cell.len - right[i];
        for (size_t at = cell.len && cell.ptr[0] == ':' ? 1 : 0; at < dashes; at++) {
            if (cell.ptr[at] != '-') {
                return false;
            }
        }
        if (dashes < 3) {
            return false;
        }
    }
    return count > 0;
}

static bool is_date(ap_str cell) {
    ap_date date;
    return ap_date_from_iso(&date, cell);
}

static void clean(const writer *it, cmark_node *root);

/* A drawing is no part of a cell: what is a picture there becomes its words (K2). */
static char *cell_html(const writer *it, ap_str cell) {
    writer without_figures = *it;
    without_figures.count = 0;
    cmark_node *root = cmark_parse_document(cell.ptr, cell.len, CMARK_OPT_DEFAULT);
    if (!root) {
        return NULL;
    }
    clean(&without_figures, root);
    char *html = cmark_render_html(root, CMARK_OPT_SAFE);
    cmark_node_free(root);
    return html;
}

/* A cell's Markdown without the paragraph around it. */
static void put_cell(writer *it, ap_str cell, const char *open, const char *close, bool right) {
    char *html = cell_html(it, cell);
    ap_sink_printf(it->sink, "<%s class=\"%s\">", open, right ? "number" : is_date(cell) ? "date" : "text");
    if (html) {
        char *end = strstr(html, "</p>");
        bool plain = strncmp(html, "<p>", 3) == 0 && end;
        if (plain) {
            *end = '\0';
        }
        if (plain) {
            ap_sink_puts(it->sink, html + 3);
        } else {
            ap_html_text(it->sink, cell);
        }
    } else {
        it->sink->status = AP_E_MEMORY;
    }
    free(html);
    ap_sink_printf(it->sink, "</%s>", close);
}

/* The words of a node and what is in it. */
static void words_of(ap_buf *out, cmark_node *root) {
    cmark_iter *iter = cmark_iter_new(root);
    for (cmark_event_type event = cmark_iter_next(iter); event != CMARK_EVENT_DONE; event = cmark_iter_next(iter)) {
        cmark_node *node = cmark_iter_get_node(iter);
        cmark_node_type type = cmark_node_get_type(node);
        if (type == CMARK_NODE_TEXT || type == CMARK_NODE_CODE) {
            ap_buf_append_cstr(out, cmark_node_get_literal(node));
        } else if (type == CMARK_NODE_SOFTBREAK || type == CMARK_NODE_LINEBREAK) {
            ap_buf_append_char(out, ' ');
        }
    }
    cmark_iter_free(iter);
}

/* A box that scrolls by itself must be reachable and named for people who use the keyboard: "Table 2, The legs". */
static void begin_table(writer *it, cmark_node *paragraph) {
    ap_buf heading;
    ap_buf_init(&heading, AP_MARKUP_MAX);
    cmark_node *above = cmark_node_previous(paragraph);
    while (above && cmark_node_get_type(above) != CMARK_NODE_HEADING) {
        above = cmark_node_previous(above);
    }
    if (above) {
        ap_buf_append_cstr(&heading, ", ");
        words_of(&heading, above);
    }
    size_t number = ++it->tables;
    ap_sink_printf(it->sink,
                   "<div class=\"wide\" role=\"group\" tabindex=\"0\" aria-labelledby=\"table-%zu\"><table>"
                   "<caption id=\"table-%zu\" class=\"unsaid\">Table %zu",
                   number, number, number);
    ap_html_text(it->sink, ap_buf_str(&heading));
    ap_sink_puts(it->sink, "</caption><thead><tr>");
    ap_buf_release(&heading);
}

static bool put_table(writer *it, cmark_node *paragraph) {
    int first = cmark_node_get_start_line(paragraph);
    int last = cmark_node_get_end_line(paragraph);
    ap_str cells[CELLS_MAX];
    ap_str line = source_line(it, first);
    int columns = last > first ? split_cells(cells, line) : -1;
    bool right[CELLS_MAX];
    ap_str dashes[CELLS_MAX];
    if (columns < 1 || split_cells(dashes, source_line(it, first + 1)) != columns ||
        !read_dashes(right, dashes, columns)) {
        return false;
    }
    for (int at = first + 2; at <= last; at++) {
        ap_str row[CELLS_MAX];
        if (split_cells(row, source_line(it, at)) != columns) {
            return false;
        }
    }
    begin_table(it, paragraph);
    for (int i = 0; i < columns; i++) {
        put_cell(it, cells[i], "th scope=\"col\"", "th", right[i]);
    }
    ap_sink_puts(it->sink, "</tr></thead>\n<tbody>");
    for (int at = first + 2; at <= last; at++) {
        ap_str row[CELLS_MAX];
        (void)split_cells(row, source_line(it, at));
        ap_sink_puts(it->sink, "<tr>");
        for (int i = 0; i < columns; i++) {
            put_cell(it, row[i], i ? "td" : "th scope=\"row\"", i ? "td" : "th", right[i]);
        }
        ap_sink_puts(it->sink, "</tr>\n");
    }
    ap_sink_puts(it->sink, "</tbody></table></div>\n");
    return true;
}

static const ap_markup_figure *find_figure(const writer *it, const char *href) {
    for (size_t i = 0; href && i < it->count; i++) {
        if (ap_str_equal_word(it->figures[i].href, href)) {
            return &it->figures[i];
        }
    }
    return NULL;
}

/* A paragraph that holds one picture and nothing else. */
static const ap_markup_figure *figure_of(const writer *it, cmark_node *paragraph) {
    cmark_node *child = cmark_node_first_child(paragraph);
    bool alone = child && !cmark_node_next(child) && cmark_node_get_type(child) == CMARK_NODE_IMAGE;
    return alone ? find_figure(it, cmark_node_get_url(child)) : NULL;
}

static void put_figure(writer *it, const ap_markup_figure *figure) {
    size_t number = (size_t)(figure - it->figures) + 1;
    ap_sink_puts(it->sink, "<figure>\n");
    if (figure->svg.ptr) {
        ap_sink_printf(it->sink, "<div class=\"plate\" role=\"group\" tabindex=\"0\" aria-labelledby=\"figure-%zu\">",
                       number);
        ap_sink_put(it->sink, figure->svg);
        ap_sink_puts(it->sink, "</div>\n");
    } else {
        ap_sink_puts(it->sink, "<p class=\"missing\">Figure not drawn: ");
        ap_html_text(it->sink, figure->missing.ptr ? figure->missing : AP_STR_LIT("no data"));
        ap_sink_puts(it->sink, "</p>\n");
    }
    ap_sink_printf(it->sink, "<figcaption><strong id=\"figure-%zu\">", number);
    ap_html_text(it->sink, figure->title);
    ap_sink_puts(it->sink, "</strong> <span>");
    ap_html_text(it->sink, figure->description);
    ap_sink_puts(it->sink, "</span></figcaption></figure>\n");
}

static void close_section(writer *it) {
    ap_sink_puts(it->sink, it->section_open ? "</section>\n" : "");
    it->section_open = false;
}

static void put_block(writer *it, cmark_node *node) {
    cmark_node_type type = cmark_node_get_type(node);
    int level = type == CMARK_NODE_HEADING ? cmark_node_get_heading_level(node) : 0;
    if (level == 1 && !it->title_taken) {
        it->title_taken = true; /* it is in the page's head */
        return;
    }
    if (level == 1 || level == 2) {
        close_section(it);
        (void)cmark_node_set_heading_level(node, 2);
        ap_sink_puts(it->sink, "<section>");
        it->section_open = true;
        it->sections++;
    }
    const ap_markup_figure *figure = type == CMARK_NODE_PARAGRAPH ? figure_of(it, node) : NULL;
    if (figure) {
        put_figure(it, figure);
    } else if (type != CMARK_NODE_PARAGRAPH || !put_table(it, node)) {
        put_cmark(it, node);
    }
}

static void take_title(writer *it, cmark_node *root) {
    for (cmark_node *node = cmark_node_first_child(root); node; node = cmark_node_next(node)) {
        if (cmark_node_get_type(node) == CMARK_NODE_HEADING && cmark_node_get_heading_level(node) == 1) {
            words_of(&it->title, node);
            return;
        }
    }
}

static cmark_node *text_node(const char *text) {
    cmark_node *node = cmark_node_new(CMARK_NODE_TEXT);
    (void)cmark_node_set_literal(node, text);
    return node;
}

/* K1, K2: what is not text becomes text. Returns what stands in the node's place. */
static void make_plain(const writer *it, cmark_node *node) {
    cmark_node_type type = cmark_node_get_type(node);
    if (type == CMARK_NODE_HTML_BLOCK) {
        const char *html = cmark_node_get_literal(node);
        if (strncmp(html, "<!--", 4) != 0) {
            cmark_node *paragraph = cmark_node_new(CMARK_NODE_PARAGRAPH);
            (void)cmark_node_append_child(paragraph, text_node(html));
            (void)cmark_node_insert_before(node, paragraph);
        }
    } else if (type == CMARK_NODE_HTML_INLINE) {
        const char *html = cmark_node_get_literal(node);
        if (strncmp(html, "<!--", 4) != 0) {
            (void)cmark_node_insert_before(node, text_node(html));
        }
    } else if (type == CMARK_NODE_IMAGE && !(cmark_node_parent(node) && figure_of(it, cmark_node_parent(node)))) {
        ap_buf words;
        ap_buf_init(&words, AP_MARKUP_MAX);
        words_of(&words, node);
        ap_buf_appendf(&words, " (picture not shown: %s)", cmark_node_get_url(node));
        (void)cmark_node_insert_before(node, text_node(words.ptr ? words.ptr : ""));
        ap_buf_release(&words);
    } else {
        return;
    }
    cmark_node_unlink(node);
    cmark_node_free(node);
}

static void clean(const writer *it, cmark_node *root) {
    cmark_iter *iter = cmark_iter_new(root);
    for (cmark_event_type event = cmark_iter_next(iter); event != CMARK_EVENT_DONE; event = cmark_iter_next(iter)) {
        cmark_node *node = cmark_iter_get_node(iter);
        if (event == CMARK_EVENT_EXIT && cmark_node_get_type(node) == CMARK_NODE_IMAGE) {
            make_plain(it, node);
        } else if (event == CMARK_EVENT_ENTER && (cmark_node_get_type(node) == CMARK_NODE_HTML_BLOCK ||
                                                  cmark_node_get_type(node) == CMARK_NODE_HTML_INLINE)) {
            make_plain(it, node);
        }
    }
    cmark_iter_free(iter);
}

static void put_visible(ap_buf *out, ap_str text) {
    ap_glyph glyph;
    for (size_t at = 0; ap_glyph_next(&glyph, text, &at, AP_GLYPH_KEEP_LINES);) {
        ap_buf_append(out, glyph.bytes, glyph.len);
    }
}

ap_status ap_page_write_markup(ap_sink *sink, const ap_doc_head *head, ap_str markdown, const ap_markup_figure *figures,
                               size_t count, ap_error *err) {
    ap_buf visible;
    ap_buf_init(&visible, 8u * AP_MARKUP_MAX);
    put_visible(&visible, markdown);
    ap_status status = ap_buf_check(&visible, "the page", err);
    writer it = {.sink = sink, .source = ap_buf_str(&visible), .figures = figures, .count = count};
    ap_buf_init(&it.title, AP_MARKUP_MAX);
    if (status == AP_OK) {
        status = index_lines(&it, err);
    }
    cmark_node *root =
        status == AP_OK ? cmark_parse_document(visible.ptr ? visible.ptr : "", visible.len, CMARK_OPT_DEFAULT) : NULL;
    if (root) {
        take_title(&it, root);
        clean(&it, root);
        ap_doc_head ours = *head;
        ours.title = it.title.len ? ap_buf_str(&it.title) : head->title;
        ap_html_begin(sink, &ours, false, false);
        ap_sink_puts(sink, "<div class=\"sheet\">\n");
        for (cmark_node *node = cmark_node_first_child(root); node; node = cmark_node_next(node)) {
            put_block(&it, node);
        }
        close_section(&it);
        ap_sink_puts(sink, "</div>\n");
        ap_html_end(sink, head, false);
        cmark_node_free(root);
        status = ap_sink_check(sink, "the page", err);
    }
    free(it.line_start);
    ap_buf_release(&it.title);
    ap_buf_release(&visible);
    return status;
}
