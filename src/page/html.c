#include "page/html.h"

#include "page/glyph.h"
#include "page/html_script.h"
#include "page/html_style.h"
#include "page/write.h"

static const char *reference_of(char c) {
    switch (c) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    case '`':
        return "&#96;";
    default:
        return NULL;
    }
}

/* "(-6 % to -2 %)": the sign of a number, not a hyphen. */
static bool is_minus(const ap_glyph *glyph, ap_str text, size_t next) {
    return glyph->len == 1 && glyph->bytes[0] == '-' && next < text.len && text.ptr[next] >= '0' &&
           text.ptr[next] <= '9';
}

/* A blank that ends before `at`, between a number and its unit. */
static bool before_unit(ap_str text, size_t at) {
    static const char *const units[] = {"%", "lb", "kg", "ft", "in", "cm", "m", "t", "kN", NULL};
    if (at < 3 || at >= text.len) {
        return at < text.len && text.ptr[at] == '%';
    }
    bool digit = text.ptr[at] >= '0' && text.ptr[at] <= '9';
    if (digit && at >= 5 && memcmp(text.ptr + at - 4, " ft ", 4) == 0) {
        return text.ptr[at - 5] >= '0' && text.ptr[at - 5] <= '9'; /* 4 ft 7 in */
    }
    if (text.ptr[at - 2] < '0' || text.ptr[at - 2] > '9') {
        return text.ptr[at] == '%';
    }
    for (size_t i = 0; units[i]; i++) {
        size_t len = strlen(units[i]);
        if (at + len <= text.len && memcmp(text.ptr + at, units[i], len) == 0 &&
            (at + len == text.len || strchr(" ,;:.)/\n", text.ptr[at + len]))) {
            return true;
        }
    }
    return text.ptr[at] == '%';
}

/* `breaks`: a word longer than this many glyphs may be broken there; 0 for never. */
static void put_text(ap_sink *sink, ap_str text, size_t breaks) {
    ap_glyph glyph;
    size_t run = 0;
    bool opens = true; /* nothing, a blank or a bracket came before */
    for (size_t at = 0; ap_glyph_next(&glyph, text, &at, AP_GLYPH_SHOW_LINES);) {
        bool space = glyph.bytes[glyph.len - 1] == ' ';
        const char *reference = reference_of(glyph.len == 1 ? glyph.bytes[0] : '\0');
        if (opens && is_minus(&glyph, text, at)) {
            reference = "\xE2\x88\x92";
        }
        opens = space || (glyph.len == 1 && glyph.bytes[0] == '(');
        if (space && glyph.len == 1 && before_unit(text, at)) {
            reference = "&nbsp;"; /* "10 %" and "4 ft" stay on one line */
        }
        run = space ? 0 : run + (glyph.width > 0);
        if (breaks > 0 && run > breaks && glyph.width > 0) {
            ap_sink_puts(sink, "<wbr>");
            run = 1;
        }
        if (reference) {
            ap_sink_puts(sink, reference);
        } else {
            ap_sink_put(sink, (ap_str){glyph.bytes, glyph.len});
        }
    }
}

void ap_html_text(ap_sink *sink, ap_str text) {
    put_text(sink, text, 0);
}

/* A script that is written from the right starts at U+0590; below it there is nothing to isolate. */
static bool all_below_rtl(ap_str text) {
    for (size_t i = 0; i < text.len; i++) {
        if ((unsigned char)text.ptr[i] >= 0xD6) {
            return false;
        }
    }
    return true;
}

enum { WORD_MOST = 18 }; /* a longer word must not make a column of a table wide */

void ap_html_isolated(ap_sink *sink, ap_str text) {
    bool plain = all_below_rtl(text);
    ap_sink_puts(sink, plain ? "" : "<bdi>");
    put_text(sink, text, WORD_MOST);
    ap_sink_puts(sink, plain ? "" : "</bdi>");
}

void ap_html_pick(ap_sink *sink, const ap_doc *doc, ap_str pick) {
    ap_str href = ap_doc_pick_href(doc, pick);
    if (href.ptr) {
        ap_sink_printf(sink, "<a class=\"pick\" href=\"%.*s\">", AP_STR_ARG(href));
    } else {
        ap_sink_puts(sink, "<span class=\"pick\">");
    }
    ap_html_isolated(sink, pick);
    ap_sink_puts(sink, href.ptr ? "</a>" : "</span>");
}

static void put_around(ap_sink *sink, const char *before, ap_str text, const char *after) {
    ap_sink_puts(sink, before);
    ap_html_text(sink, text);
    ap_sink_puts(sink, after);
}

static void put_alert(ap_sink *sink, const ap_doc *doc, const ap_node *node) {
    put_around(sink, "<li><span class=\"tag\"><span aria-hidden=\"true\">▲</span> ", node->tag, "</span> ");
    if (!ap_str_is_blank(node->note)) {
        ap_html_pick(sink, doc, node->note);
    }
    put_around(sink, " <span class=\"says\">", node->text, "</span></li>\n");
}

static void put_tile(ap_sink *sink, const ap_node *node) {
    put_around(sink, "<div><dt>", node->tag, "</dt>");
    put_around(sink, "<dd class=\"value\">", node->text, "</dd>");
    if (!ap_str_is_blank(node->note)) {
        put_around(sink, "<dd class=\"note\">", node->note, "</dd>");
    }
    ap_sink_puts(sink, "</div>\n");
}

static void put_figure(ap_sink *sink, const ap_node *node) {
    ap_sink_printf(sink, "<figure id=\"%.*s\">\n", AP_STR_ARG(node->id));
    if (node->svg.ptr) {
        ap_sink_printf(sink, "<div class=\"plate\" role=\"group\" tabindex=\"0\" aria-labelledby=\"%.*s-caption\">",
                       AP_STR_ARG(node->id));
        ap_sink_put(sink, node->svg);
        ap_sink_puts(sink, "</div>\n");
    } else {
        put_around(sink,
                   "<p class=\"missing\">Figure not drawn: ", node->missing.ptr ? node->missing : AP_STR_LIT("no data"),
                   "</p>\n");
    }
    ap_sink_printf(sink, "<figcaption><strong id=\"%.*s-caption\">", AP_STR_ARG(node->id));
    ap_html_text(sink, node->text);
    put_around(sink, "</strong> <span>", node->note, "</span></figcaption></figure>\n");
}

static bool is_listed(const ap_node *node) {
    return node && (node->kind == AP_NODE_ITEM || node->kind == AP_NODE_ALERT || node->kind == AP_NODE_TILE);
}

/* Items, alerts and tiles in a row share one list element. */
static void put_listed(ap_sink *sink, const ap_doc *doc, const ap_node *node, bool opens) {
    bool closes = !node->next || node->next->kind != node->kind;
    switch (node->kind) {
    case AP_NODE_ALERT:
        ap_sink_puts(sink, opens ? "<ul class=\"alerts\">\n" : "");
        put_alert(sink, doc, node);
        ap_sink_puts(sink, closes ? "</ul>\n" : "");
        break;
    case AP_NODE_TILE:
        ap_sink_puts(sink, opens ? "<dl class=\"tiles\">\n" : "");
        put_tile(sink, node);
        ap_sink_puts(sink, closes ? "</dl>\n" : "");
        break;
    default:
        ap_sink_puts(sink, opens ? "<ul>\n" : "");
        put_around(sink, "<li>", node->text, "</li>\n");
        ap_sink_puts(sink, closes ? "</ul>\n" : "");
        break;
    }
}

enum { CONTENTS_LEAST = 4 }; /* sections; fewer are seen without a list of them */

static void put_contents(ap_sink *sink, const ap_doc *doc) {
    ap_sink_puts(sink, "<nav class=\"contents\" aria-labelledby=\"contents\"><h2 id=\"contents\">Contents</h2><ol>\n");
    for (const ap_node *node = doc->first; node; node = node->next) {
        if (node->kind == AP_NODE_SECTION && node->level == 2) {
            ap_sink_printf(sink, "<li><a href=\"#%.*s\">", AP_STR_ARG(node->id));
            put_around(sink, "", node->text, "</a></li>\n");
        }
    }
    ap_sink_puts(sink, "</ol></nav>\n");
}

/* What is open while the nodes are walked. The contents stand behind the first page: on a phone the answer comes first. */
typedef struct walk {
    bool section_open;
    bool contents_due;
} walk;

static void close_section(ap_sink *sink, walk *state) {
    ap_sink_puts(sink, state->section_open ? "</section>\n" : "");
    state->section_open = false;
}

static void open_section(ap_sink *sink, const ap_doc *doc, const ap_node *node, walk *state, bool first) {
    if (node->level == 3) {
        ap_sink_printf(sink, "<h3 id=\"%.*s\">", AP_STR_ARG(node->id));
        put_around(sink, "", node->text, "</h3>\n");
        return;
    }
    close_section(sink, state);
    if (state->contents_due && !first) {
        put_contents(sink, doc);
        state->contents_due = false;
    }
    ap_sink_printf(sink, "<section id=\"%.*s\" aria-labelledby=\"%.*s-heading\"><h2 id=\"%.*s-heading\">",
                   AP_STR_ARG(node->id), AP_STR_ARG(node->id), AP_STR_ARG(node->id));
    put_around(sink, "", node->text, "</h2>\n");
    state->section_open = true;
}

static void put_link(ap_sink *sink, const ap_node *node) {
    if (node->tag.ptr) {
        ap_sink_printf(sink, "<p><a class=\"more\" href=\"%.*s\">", AP_STR_ARG(node->tag));
        put_around(sink, "", node->text, "</a></p>\n");
    } else {
        put_around(sink, "<p>", node->text, "</p>\n");
    }
}

static void put_node(ap_sink *sink, const ap_doc *doc, const ap_node *node, ap_str heading) {
    switch (node->kind) {
    case AP_NODE_ANSWER:
        put_around(sink, "<p class=\"answer\">", node->text, "</p>\n");
        break;
    case AP_NODE_PARAGRAPH:
        put_around(sink, "<p>", node->text, "</p>\n");
        break;
    case AP_NODE_CAUTION:
        put_around(sink, "<p class=\"caution\" role=\"note\"><strong>Caution.</strong> ", node->text, "</p>\n");
        break;
    case AP_NODE_MESSAGE:
        put_around(sink, "<div class=\"message\"><p>", node->text, "</p>\n<p class=\"evidence\">");
        if (!ap_str_is_blank(node->note)) {
            ap_html_pick(sink, doc, node->note);
            ap_sink_puts(sink, ": ");
        }
        put_around(sink, "", node->tag, "</p></div>\n");
        break;
    case AP_NODE_LINK:
        put_link(sink, node);
        break;
    case AP_NODE_FIGURE:
        put_figure(sink, node);
        break;
    case AP_NODE_TABLE:
        if (node->table) {
            ap_html_table(sink, doc, node->table, heading);
        }
        break;
    case AP_NODE_WORKING_BEGIN:
        put_around(sink, "<details><summary>", ap_doc_working_title(node), "</summary>\n");
        break;
    case AP_NODE_WORKING_END:
        ap_sink_puts(sink, "</details>\n");
        break;
    default:
        break;
    }
}

static void put_body(ap_sink *sink, const ap_doc *doc, size_t sections) {
    walk state = {.section_open = false, .contents_due = sections >= CONTENTS_LEAST};
    const ap_node *before = NULL;
    bool any_section = false;
    ap_str heading = AP_STR_NONE;
    for (const ap_node *node = doc->first; node; before = node, node = node->next) {
        if (node->kind == AP_NODE_SECTION) {
            open_section(sink, doc, node, &state, !any_section);
            any_section = true;
            heading = node->text;
        } else if (node->kind == AP_NODE_BREAK) {
            close_section(sink, &state);
            ap_sink_puts(sink, "<div class=\"page-break\"></div>\n");
            if (state.contents_due) {
                put_contents(sink, doc);
                state.contents_due = false;
            }
        } else if (is_listed(node)) {
            put_listed(sink, doc, node, !before || before->kind != node->kind);
        } else {
            put_node(sink, doc, node, heading);
        }
    }
    close_section(sink, &state);
}

static void put_fact(ap_sink *sink, const char *label, ap_str value) {
    if (!ap_str_is_blank(value)) {
        ap_sink_printf(sink, "<div><dt>%s</dt><dd>", label);
        ap_html_isolated(sink, value);
        ap_sink_puts(sink, "</dd></div>\n");
    }
}

static void put_policy(ap_sink *sink, bool script) {
    char hash[AP_HTML_HASH_SIZE];
    ap_html_hash(hash, ap_html_style);
    /* Attributes of the figures may carry a style of their own; elements and other scripts may not. */
    ap_sink_printf(sink,
                   "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src '%s'; "
                   "style-src-attr 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'",
                   hash);
    if (script) {
        ap_html_hash(hash, ap_html_script);
        ap_sink_printf(sink, "; script-src '%s'", hash);
    }
    ap_sink_puts(sink, "\">\n");
}

static void put_parts(ap_sink *sink, const char *const *part) {
    for (; *part; part++) {
        ap_sink_puts(sink, *part);
    }
}

void ap_html_begin(ap_sink *sink, const ap_doc_head *head, bool contents, bool script) {
    ap_sink_puts(sink, "<!doctype html>\n<html lang=\"en\" dir=\"ltr\">\n<head>\n<meta charset=\"utf-8\">\n");
    put_policy(sink, script);
    ap_sink_puts(sink, "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                       "<meta name=\"referrer\" content=\"no-referrer\">\n");
    put_around(sink, "<title>", head->title, "</title>\n<style>");
    put_parts(sink, ap_html_style);
    ap_sink_printf(sink, "</style>\n</head>\n<body%s>\n<a class=\"skip\" href=\"#main\">Skip to the text</a>\n",
                   head->carried ? " class=\"carried\"" : "");
    if (contents) {
        ap_sink_puts(sink, "<a class=\"skip\" href=\"#contents\">Skip to the contents</a>\n");
    }
    put_around(sink, "<header><h1>", head->title, "</h1>\n");
    if (!ap_str_is_blank(head->subtitle)) {
        put_around(sink, "<p class=\"subtitle\">", head->subtitle, "</p>\n");
    }
    ap_sink_puts(sink, "</header>\n<main id=\"main\">\n");
}

void ap_html_end(ap_sink *sink, const ap_doc_head *head, bool script) {
    ap_sink_puts(sink, "</main>\n<footer><dl>\n");
    put_fact(sink, "Book", head->book);
    put_fact(sink, "Period", head->period);
    put_fact(sink, "Units", ap_str_from(ap_doc_units_text(head->units)));
    put_fact(sink, "Dates read as", head->date_order);
    put_fact(sink, "Made on", head->made_on);
    put_fact(sink, "afterpick", head->version);
    ap_sink_puts(sink, "</dl></footer>\n");
    if (script) {
        ap_sink_puts(sink, "<script>");
        put_parts(sink, ap_html_script);
        ap_sink_puts(sink, "</script>\n");
    }
    ap_sink_puts(sink, "</body>\n</html>\n");
}

ap_status ap_page_write_html(ap_sink *sink, const ap_doc *doc, ap_error *err) {
    ap_status status = ap_doc_check(doc, err);
    if (status != AP_OK) {
        return status;
    }
    size_t sections = 0;
    bool script = false;
    for (const ap_node *node = doc->first; node; node = node->next) {
        sections += node->kind == AP_NODE_SECTION && node->level == 2;
        script = script || (node->kind == AP_NODE_TABLE && ap_html_sorts(node->table));
    }
    ap_html_begin(sink, &doc->head, sections >= CONTENTS_LEAST, script);
    put_body(sink, doc, sections);
    ap_html_end(sink, &doc->head, script);
    return ap_sink_check(sink, "the page", err);
}
