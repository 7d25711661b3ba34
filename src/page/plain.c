/* The terminal: lines no wider than asked for, every control byte of a text made visible, meaning never in colour alone.
 * Nothing is cut: long texts are wrapped. */
#include "page/plain.h"
#include "page/glyph.h"
#include "page/write.h"

void ap_plain_set(const ap_plain *page, ap_plain_look look) {
    static const char *const codes[] = {"\033[1m", "\033[2m", "\033[1;31m", "\033[1;33m", "\033[0m"};
    if (page->colour) {
        ap_sink_puts(page->sink, codes[look]);
    }
}

void ap_plain_spaces(const ap_plain *page, size_t count) {
    for (size_t i = 0; i < count; i++) {
        ap_sink_putc(page->sink, ' ');
    }
}

bool ap_plain_take_line(ap_str *line, ap_str *rest, size_t width) {
    while (rest->len > 0 && rest->ptr[0] == ' ') {
        rest->ptr++;
        rest->len--;
    }
    if (rest->len == 0) {
        return false;
    }
    size_t used = 0;
    size_t end = 0;       /* bytes that fit */
    size_t at_space = 0;  /* bytes up to the last space that fits */
    size_t at_hyphen = 0; /* for a word that is wider than all there is: behind its last hyphen that fits */
    bool whole = true;
    ap_glyph glyph;
    for (size_t at = 0; ap_glyph_next(&glyph, *rest, &at, AP_GLYPH_SHOW_LINES);) {
        bool space = glyph.len == 1 && glyph.bytes[0] == ' ';
        if (space && !(at < rest->len && rest->ptr[at] == '%')) {
            at_space = end;
        }
        if (used + glyph.width > width && end > 0) {
            whole = false;
            break;
        }
        used += glyph.width;
        end = at;
        if (glyph.len == 1 && glyph.bytes[0] == '-' && at > 1 && at < rest->len) {
            at_hyphen = end;
        }
        if (glyph.width == 2 && glyph.bytes[glyph.len - 1] == ' ') {
            at_space = end; /* behind a shown line end */
        }
    }
    size_t take = whole ? end : at_space > 0 ? at_space : at_hyphen > 0 ? at_hyphen : end;
    *line = (ap_str){rest->ptr, take};
    *rest = (ap_str){rest->ptr + take, rest->len - take};
    return true;
}

void ap_plain_wrap(const ap_plain *page, ap_str text, size_t first, size_t indent) {
    ap_str line;
    ap_str rest = text;
    size_t used = first;
    bool any = false;
    for (;;) {
        size_t room = page->width > used + 8 ? page->width - used : 8;
        if (!ap_plain_take_line(&line, &rest, room)) {
            break;
        }
        if (any) {
            ap_sink_putc(page->sink, '\n');
            ap_plain_spaces(page, indent);
        }
        ap_glyph_put(page->sink, line);
        any = true;
        used = indent;
    }
    ap_sink_putc(page->sink, '\n');
}

static void put_rule(const ap_plain *page, const char *mark, size_t count) {
    for (size_t i = 0; i < count && i < page->width; i++) {
        ap_sink_puts(page->sink, mark);
    }
    ap_sink_putc(page->sink, '\n');
}

static void put_heading(const ap_plain *page, ap_str text, const char *rule) {
    ap_plain_set(page, AP_LOOK_BOLD);
    ap_plain_wrap(page, text, 0, 0);
    ap_plain_set(page, AP_LOOK_END);
    if (rule) {
        put_rule(page, rule, ap_glyph_width(text));
    }
}

void ap_plain_led(const ap_plain *page, ap_plain_look look, ap_str lead, ap_str text, size_t column, size_t indent) {
    size_t width = column + ap_glyph_width(lead) + 1;
    ap_plain_set(page, look);
    if (ap_str_is_blank(text) || width > page->width / 2) {
        ap_plain_wrap(page, lead, column, indent);
        ap_plain_set(page, AP_LOOK_END);
        if (ap_str_is_blank(text)) {
            return;
        }
        ap_plain_spaces(page, indent);
        width = indent;
    } else {
        ap_glyph_put(page->sink, lead);
        ap_plain_set(page, AP_LOOK_END);
        ap_sink_putc(page->sink, ' ');
    }
    ap_plain_wrap(page, text, width, indent);
}

static void put_led(const ap_plain *page, ap_plain_look look, ap_str lead, ap_str text, size_t indent) {
    ap_plain_led(page, look, lead, text, 0, indent);
}

static void put_alert(const ap_plain *page, const ap_node *node) {
    ap_sink_puts(page->sink, "! ");
    ap_plain_led(page, AP_LOOK_ALERT, node->tag, node->note, 2, 4);
    ap_plain_spaces(page, 2);
    ap_plain_wrap(page, node->text, 2, 2);
}

static void put_tile(const ap_plain *page, const ap_node *node) {
    ap_plain_wrap(page, node->tag, 0, 0);
    ap_plain_spaces(page, 2);
    ap_plain_led(page, AP_LOOK_BOLD, node->text, AP_STR_NONE, 2, 4);
    if (!ap_str_is_blank(node->note)) {
        ap_plain_spaces(page, 4);
        ap_plain_wrap(page, node->note, 4, 4);
    }
}

static void put_figure(const ap_plain *page, const ap_node *node) {
    put_led(page, AP_LOOK_BOLD, AP_STR_LIT("Figure:"), node->text, 2);
    ap_plain_spaces(page, 2);
    if (node->svg.ptr) {
        ap_plain_wrap(page, node->note, 2, 2);
    } else {
        ap_str why = node->missing.ptr ? node->missing : AP_STR_LIT("no data");
        ap_plain_led(page, AP_LOOK_DIM, AP_STR_LIT("not drawn:"), why, 2, 2);
    }
}

static bool same_group(const ap_node *node) {
    bool grouped = node->kind == AP_NODE_ITEM || node->kind == AP_NODE_ALERT || node->kind == AP_NODE_TILE;
    return grouped && node->next && node->next->kind == node->kind;
}

static void put_node(const ap_plain *page, const ap_node *node) {
    switch (node->kind) {
    case AP_NODE_SECTION:
        put_heading(page, node->text, node->level == 2 ? "-" : NULL);
        break;
    case AP_NODE_BREAK:
        put_rule(page, "=", page->width);
        break;
    case AP_NODE_ANSWER:
        put_heading(page, node->text, NULL);
        break;
    case AP_NODE_PARAGRAPH:
        ap_plain_wrap(page, node->text, 0, 0);
        break;
    case AP_NODE_CAUTION:
        put_led(page, AP_LOOK_CAUTION, AP_STR_LIT("Caution:"), node->text, 9);
        break;
    case AP_NODE_ITEM:
        put_led(page, AP_LOOK_END, AP_STR_LIT("-"), node->text, 2);
        break;
    case AP_NODE_ALERT:
        put_alert(page, node);
        break;
    case AP_NODE_TILE:
        put_tile(page, node);
        break;
    case AP_NODE_MESSAGE:
        ap_plain_led(page, AP_LOOK_BOLD, node->text, AP_STR_NONE, 0, 0);
        ap_plain_spaces(page, 2);
        ap_plain_led(page, AP_LOOK_BOLD, node->note, node->tag, 2, 2);
        break;
    case AP_NODE_LINK:
        ap_plain_wrap(page, node->text, 0, 0);
        if (node->tag.ptr) {
            ap_plain_spaces(page, 2);
            ap_plain_wrap(page, node->tag, 2, 2);
        }
        break;
    case AP_NODE_FIGURE:
        put_figure(page, node);
        break;
    case AP_NODE_TABLE:
        if (node->table) {
            ap_plain_table(page, node->table);
        }
        break;
    case AP_NODE_WORKING_BEGIN:
        put_led(page, AP_LOOK_DIM, AP_STR_LIT("--"), ap_doc_working_title(node), 3);
        break;
    case AP_NODE_WORKING_END:
        return;
    }
    if (!same_group(node) && node->next) {
        ap_sink_putc(page->sink, '\n');
    }
}

ap_status ap_page_write_text(ap_sink *sink, const ap_doc *doc, int width, bool colour, ap_error *err) {
    ap_status status = ap_doc_check(doc, err);
    if (status != AP_OK) {
        return status;
    }
    ap_plain page = {.sink = sink, .doc = doc, .width = width < 80 ? 80 : (size_t)width, .colour = colour};
    if (!ap_str_is_blank(doc->head.title)) {
        put_heading(&page, doc->head.title, "=");
    }
    if (!ap_str_is_blank(doc->head.subtitle)) {
        ap_plain_wrap(&page, doc->head.subtitle, 0, 0);
    }
    if (!ap_str_is_blank(doc->head.title) && doc->first) {
        ap_sink_putc(sink, '\n');
    }
    for (const ap_node *node = doc->first; node; node = node->next) {
        put_node(&page, node);
    }
    return ap_sink_check(sink, "the page", err);
}
