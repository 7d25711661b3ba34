/* gnuplot's SVG, made fit to stand in a page beside other drawings.
 *
 * Requirements (the tests cite these numbers):
 * S1  Only elements that draw pass; scripts, links, images, foreign objects, handlers and outside references refuse the
 *     whole drawing: gnuplot writes none of them, so one of them means that a text got where it must not.
 * S2  Every id and every reference to one gets the figure's id in front.
 * S3  The root says role="img" and names its title and description.
 * S4  Character data stands only inside text elements and holds only entities that every reader knows. */
#include "figure/figure_parts.h"

enum { DEPTH_MAX = 64 };

typedef struct cursor {
    ap_str svg;
    size_t at;
    ap_buf *out;
    ap_str id;
    int depth;
    int text_depth; /* depth at which the text element stands; 0 = outside of one */
    bool rooted;
    ap_error *err;
} cursor;

static ap_status refuse(cursor *c, const char *what) {
    return ap_error_set(c->err, AP_E_CHILD, "gnuplot's drawing holds %s near byte %zu and is not used", what, c->at);
}

static bool is_one_of(ap_str name, const char *const *list) {
    for (; *list; list++) {
        if (ap_str_equal_word(name, *list)) {
            return true;
        }
    }
    return false;
}

static bool is_drawing(ap_str name) {
    static const char *const names[] = {"g",        "defs",    "path",    "circle",   "ellipse",     "rect",
                                        "use",      "line",    "polygon", "polyline", "text",        "tspan",
                                        "clipPath", "pattern", "filter",  "feFlood",  "feComposite", NULL};
    return is_one_of(name, names);
}

static bool is_name_byte(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
           c == ':';
}

static bool is_space(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

static ap_str read_name(cursor *c) {
    size_t start = c->at;
    while (c->at < c->svg.len && is_name_byte(c->svg.ptr[c->at])) {
        c->at++;
    }
    return (ap_str){c->svg.ptr + start, c->at - start};
}

/* Moves behind `mark`; false when it does not come any more. */
static bool skip_past(cursor *c, ap_str mark) {
    for (; c->at + mark.len <= c->svg.len; c->at++) {
        if (memcmp(c->svg.ptr + c->at, mark.ptr, mark.len) == 0) {
            c->at += mark.len;
            return true;
        }
    }
    return false;
}

static bool is_entity(ap_str rest) {
    static const char *const known[] = {"&amp;", "&lt;", "&gt;", "&quot;", "&apos;", NULL};
    for (size_t i = 0; known[i]; i++) {
        if (ap_str_starts(rest, ap_str_from(known[i]))) {
            return true;
        }
    }
    size_t at = 2;
    while (at < rest.len && at < 10 && rest.ptr[at] >= '0' && rest.ptr[at] <= '9') {
        at++;
    }
    return rest.len > at && rest.ptr[1] == '#' && at > 2 && rest.ptr[at] == ';';
}

static ap_status copy_characters(cursor *c) {
    size_t start = c->at;
    bool blank = true;
    bool newline = false;
    for (; c->at < c->svg.len && c->svg.ptr[c->at] != '<'; c->at++) {
        char byte = c->svg.ptr[c->at];
        if (byte == '&' && !is_entity((ap_str){c->svg.ptr + c->at, c->svg.len - c->at})) {
            return refuse(c, "an unknown entity");
        }
        if ((unsigned char)byte < 0x20 && !is_space(byte)) {
            return refuse(c, "a control character");
        }
        newline = newline || byte == '\n';
        blank = blank && is_space(byte);
    }
    if (c->text_depth > 0) {
        /* "]]>" may not stand in character data, and gnuplot leaves '>' as it is. */
        for (size_t i = start; i < c->at; i++) {
            if (c->svg.ptr[i] == '>') {
                ap_buf_append_cstr(c->out, "&gt;");
            } else {
                ap_buf_append_char(c->out, c->svg.ptr[i]);
            }
        }
    } else if (!blank) {
        return refuse(c, "text outside of a text element");
    } else if (newline && c->rooted && c->out->len > 0 && c->out->ptr[c->out->len - 1] != '\n') {
        ap_buf_append_char(c->out, '\n');
    }
    return AP_OK;
}

/* url(#x) -> url(#ID-x); any other url() is refused. */
static ap_status put_value(cursor *c, ap_str value) {
    for (size_t i = 0; i < value.len; i++) {
        ap_str rest = {value.ptr + i, value.len - i};
        if (value.ptr[i] == '<' || (value.ptr[i] == '&' && !is_entity(rest))) {
            return refuse(c, "a broken attribute");
        }
        if (!ap_str_starts(rest, AP_STR_LIT("url("))) {
            ap_buf_append_char(c->out, value.ptr[i]);
            continue;
        }
        if (!ap_str_starts(rest, AP_STR_LIT("url(#"))) {
            return refuse(c, "a reference to something outside");
        }
        ap_buf_appendf(c->out, "url(#%.*s-", AP_STR_ARG(c->id));
        i += 4;
    }
    return AP_OK;
}

static ap_status put_attribute(cursor *c, ap_str name, ap_str value) {
    ap_buf_append_char(c->out, ' ');
    ap_buf_append_str(c->out, name);
    ap_buf_append_cstr(c->out, "=\"");
    ap_status status = AP_OK;
    if (ap_str_equal_word(name, "id")) {
        ap_buf_appendf(c->out, "%.*s-", AP_STR_ARG(c->id));
        status = put_value(c, value);
    } else if (ap_str_equal_word(name, "xlink:href") || ap_str_equal_word(name, "href")) {
        if (value.len < 2 || value.ptr[0] != '#') {
            return refuse(c, "a reference to something outside");
        }
        ap_buf_appendf(c->out, "#%.*s-", AP_STR_ARG(c->id));
        status = put_value(c, (ap_str){value.ptr + 1, value.len - 1});
    } else if (name.len >= 2 && (name.ptr[0] | 32) == 'o' && (name.ptr[1] | 32) == 'n') {
        return refuse(c, "an event handler");
    } else {
        status = put_value(c, value);
    }
    ap_buf_append_char(c->out, '"');
    return status;
}

static void skip_spaces(cursor *c) {
    while (c->at < c->svg.len && is_space(c->svg.ptr[c->at])) {
        c->at++;
    }
}

/* One name="value"; *more is false when the tag ends here. */
static ap_status read_attribute(cursor *c, ap_str *name, ap_str *value, bool *more) {
    skip_spaces(c);
    *more = c->at < c->svg.len && c->svg.ptr[c->at] != '>' && c->svg.ptr[c->at] != '/';
    if (!*more) {
        return AP_OK;
    }
    *name = read_name(c);
    skip_spaces(c);
    if (name->len == 0 || c->at >= c->svg.len || c->svg.ptr[c->at] != '=') {
        return refuse(c, "a broken tag");
    }
    c->at++;
    skip_spaces(c);
    char quote = c->at < c->svg.len ? c->svg.ptr[c->at] : '\0';
    if (quote != '"' && quote != '\'') {
        return refuse(c, "a broken tag");
    }
    c->at++;
    size_t start = c->at;
    if (!skip_past(c, (ap_str){&quote, 1})) {
        return refuse(c, "a broken tag");
    }
    *value = (ap_str){c->svg.ptr + start, c->at - 1 - start};
    if (memchr(value->ptr, quote == '"' ? '\'' : '"', value->len)) {
        return refuse(c, "a broken attribute");
    }
    return AP_OK;
}

static void put_root(cursor *c, ap_str view, ap_str title, ap_str description) {
    ap_buf_appendf(
        c->out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" viewBox=\"%.*s\" "
        "width=\"100%%\" role=\"img\" aria-labelledby=\"%.*s-title %.*s-desc\" font-family=\"sans-serif\">\n",
        AP_STR_ARG(view), AP_STR_ARG(c->id), AP_STR_ARG(c->id));
    ap_buf_appendf(c->out, "<title id=\"%.*s-title\">", AP_STR_ARG(c->id));
    ap_figure_clean(c->out, title, AP_FIGURE_XML, 1000);
    ap_buf_appendf(c->out, "</title>\n<desc id=\"%.*s-desc\">", AP_STR_ARG(c->id));
    ap_figure_clean(c->out, description, AP_FIGURE_XML, 4000);
    ap_buf_append_cstr(c->out, "</desc>\n");
}

static ap_status open_root(cursor *c, ap_str title, ap_str description) {
    ap_str view = AP_STR_NONE;
    for (bool more = true; more;) {
        ap_str name;
        ap_str value;
        ap_status status = read_attribute(c, &name, &value, &more);
        if (status != AP_OK) {
            return status;
        }
        if (more && ap_str_equal_word(name, "viewBox")) {
            view = value;
        }
    }
    for (size_t i = 0; i < view.len; i++) {
        if (!strchr("0123456789. -", view.ptr[i])) {
            return refuse(c, "a frame that is not numbers");
        }
    }
    if (view.len == 0 || c->rooted || c->at >= c->svg.len || c->svg.ptr[c->at] != '>') {
        return refuse(c, "no frame");
    }
    c->at++;
    c->rooted = true;
    c->depth = 1;
    put_root(c, view, title, description);
    return AP_OK;
}

static ap_status open_element(cursor *c, ap_str element) {
    ap_buf_append_char(c->out, '<');
    ap_buf_append_str(c->out, element);
    for (bool more = true; more;) {
        ap_str name;
        ap_str value;
        ap_status status = read_attribute(c, &name, &value, &more);
        if (status == AP_OK && more) {
            status = put_attribute(c, name, value);
        }
        if (status != AP_OK) {
            return status;
        }
    }
    bool closed = c->at < c->svg.len && c->svg.ptr[c->at] == '/';
    c->at += closed;
    if (c->at >= c->svg.len || c->svg.ptr[c->at] != '>') {
        return refuse(c, "a broken tag");
    }
    c->at++;
    ap_buf_append_cstr(c->out, closed ? "/>" : ">");
    if (!closed && ++c->depth >= DEPTH_MAX) {
        return refuse(c, "tags nested too deep");
    }
    if (!closed && c->text_depth == 0 && ap_str_equal_word(element, "text")) {
        c->text_depth = c->depth;
    }
    return AP_OK;
}

static ap_status close_element(cursor *c) {
    ap_str name = read_name(c);
    bool root = ap_str_equal_word(name, "svg");
    if (c->at >= c->svg.len || c->svg.ptr[c->at] != '>' || (!root && !is_drawing(name)) || c->depth < 1 ||
        root != (c->depth == 1)) {
        return refuse(c, "a broken tag");
    }
    c->at++;
    if (c->depth == c->text_depth) {
        c->text_depth = 0;
    }
    c->depth--;
    ap_buf_appendf(c->out, "</%.*s>", AP_STR_ARG(name));
    return AP_OK;
}

static ap_status read_tag(cursor *c, ap_str title, ap_str description) {
    ap_str rest = {c->svg.ptr + c->at, c->svg.len - c->at};
    if (ap_str_starts(rest, AP_STR_LIT("<?"))) {
        return skip_past(c, AP_STR_LIT("?>")) ? AP_OK : refuse(c, "a broken prolog");
    }
    if (ap_str_starts(rest, AP_STR_LIT("<!--"))) {
        return skip_past(c, AP_STR_LIT("-->")) ? AP_OK : refuse(c, "a broken comment");
    }
    if (ap_str_starts(rest, AP_STR_LIT("<!DOCTYPE ")) && !c->rooted) {
        return skip_past(c, AP_STR_LIT(">")) ? AP_OK : refuse(c, "a broken prolog");
    }
    if (ap_str_starts(rest, AP_STR_LIT("</"))) {
        c->at += 2;
        return close_element(c);
    }
    c->at++;
    ap_str name = read_name(c);
    if (ap_str_equal_word(name, "svg")) {
        return open_root(c, title, description);
    }
    if (!c->rooted || c->depth < 1) {
        return refuse(c, "something outside of its frame");
    }
    /* gnuplot's own titles repeat the plot command and would show as tooltips. */
    if (ap_str_equal_word(name, "title")) {
        return skip_past(c, AP_STR_LIT("</title>")) ? AP_OK : refuse(c, "a broken tag");
    }
    if (ap_str_equal_word(name, "desc")) {
        return skip_past(c, AP_STR_LIT("</desc>")) ? AP_OK : refuse(c, "a broken tag");
    }
    return is_drawing(name) ? open_element(c, name) : refuse(c, "an element that does not draw");
}

ap_status ap_svg_inline(ap_buf *out, ap_str svg, ap_str id, ap_str title, ap_str description, ap_error *err) {
    cursor c = {.svg = svg, .out = out, .id = id, .err = err};
    while (c.at < svg.len) {
        ap_status status = svg.ptr[c.at] == '<' ? read_tag(&c, title, description) : copy_characters(&c);
        if (status != AP_OK) {
            return status;
        }
    }
    if (!c.rooted || c.depth != 0) {
        return refuse(&c, "no end");
    }
    return ap_buf_check(out, "a figure's drawing", err);
}
