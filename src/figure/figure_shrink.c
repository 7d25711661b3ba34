/* A drawing that stands in a page twice, broad and narrow, with thousands of marks must be short.
 *
 * Requirements (the tests cite these numbers). What comes in is ap_svg_inline()'s: clean, and one tag or text a line.
 * K1  Marks of one kind that follow each other become one path whose vertices carry the mark; each keeps its place, the kinds
 *     their order. One alone stays as it is.
 * K2  Text, title and description pass byte for byte, whatever they look like.
 * K3  What says nothing goes: groups without content, attributes at their default, symbols and filters nobody refers to. */
#include "figure/figure_parts.h"

enum { KINDS_MAX = 8, SYMBOLS = 15, PLACES_MAX = 8 << 20 };

typedef struct kind {
    ap_str symbol; /* "#fig-gpPt6" */
    ap_str scale;  /* "2.19" */
    ap_str look;   /* colour and opacity, as attributes */
    ap_str line;   /* of the first mark */
    ap_buf places;
    size_t count;
} kind;

typedef struct shrinker {
    ap_buf *out;
    ap_str id;
    kind kinds[KINDS_MAX];
    size_t kind_count;
    size_t markers;
    ap_str group; /* an opening tag that is written once something follows */
    bool needed[SYMBOLS];
    bool boxed;
    bool greyed;
} shrinker;

/* The text between `before` and `after`, behind *rest, which moves on; false when it does not come next. */
static bool take(ap_str *part, ap_str *rest, const char *before, const char *after) {
    if (!ap_str_starts(*rest, ap_str_from(before))) {
        return false;
    }
    ap_str from = {rest->ptr + strlen(before), rest->len - strlen(before)};
    ap_str end = ap_figure_find(from, after);
    if (!end.ptr) {
        return false;
    }
    *part = (ap_str){from.ptr, (size_t)(end.ptr - from.ptr)};
    *rest = (ap_str){end.ptr + strlen(after), end.len - strlen(after)};
    return true;
}

/* "rgb( 26,  26,  26)" with its opening quotation mark: how many bytes it takes; 0 when it is none. */
static size_t read_colour(unsigned part[3], ap_str text) {
    const ap_str opens = AP_STR_LIT("\"rgb(");
    if (!ap_str_starts(text, opens)) {
        return 0;
    }
    size_t at = opens.len;
    for (int i = 0; i < 3; i++) {
        unsigned value = 0;
        while (at < text.len && text.ptr[at] == ' ') {
            at++;
        }
        for (; at < text.len && text.ptr[at] >= '0' && text.ptr[at] <= '9' && value <= 255; at++) {
            value = value * 10 + (unsigned)(text.ptr[at] - '0');
        }
        if (at >= text.len || text.ptr[at] != (i < 2 ? ',' : ')') || value > 255) {
            return 0;
        }
        at++;
        part[i] = value;
    }
    return at;
}

/* Colours as #1a1a1a, and without what is a default; only for lines that hold no text (K2). */
static void put_tags(ap_buf *out, ap_str line) {
    static const char *const defaults[] = {" stroke-linecap=\"butt\"", " stroke-linejoin=\"miter\"",
                                           " font-family=\"sans-serif\"", " class=\"gridline\""};
    while (line.len > 0) {
        unsigned part[3];
        size_t skipped = read_colour(part, line);
        if (skipped > 0) {
            ap_buf_appendf(out, "\"#%02x%02x%02x", part[0], part[1], part[2]);
        }
        for (size_t i = 0; i < sizeof defaults / sizeof *defaults && line.ptr[0] == ' '; i++) {
            skipped = ap_str_starts(line, ap_str_from(defaults[i])) ? strlen(defaults[i]) : skipped;
        }
        if (skipped == 0) {
            ap_buf_append_char(out, line.ptr[0]);
            skipped = 1;
        }
        line = (ap_str){line.ptr + skipped, line.len - skipped};
    }
}

static void put_line(shrinker *s, ap_str line) {
    static const char *const texts[] = {"<text", "<tspan", "<title", "<desc"};
    bool text = line.len == 0 || line.ptr[0] != '<';
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        text = text || ap_figure_find(line, texts[i]).ptr;
    }
    if (text) {
        ap_buf_append_str(s->out, line);
    } else {
        put_tags(s->out, line);
    }
    ap_buf_append_char(s->out, '\n');
}

static void put_group(shrinker *s) {
    if (s->group.ptr) {
        put_line(s, s->group);
        s->group = AP_STR_NONE;
    }
}

static void flush_marks(shrinker *s) {
    for (size_t i = 0; i < s->kind_count; i++) {
        kind *k = &s->kinds[i];
        ap_str places = ap_buf_str(&k->places);
        if (k->count == 1) {
            put_line(s, k->line);
        } else {
            ap_str id = s->id;
            ap_buf_appendf(s->out,
                           "<marker id=\"%.*s-m%zu\" markerUnits=\"userSpaceOnUse\" overflow=\"visible\">"
                           "<use xlink:href=\"%.*s\" transform=\"scale(%.*s)\"",
                           AP_STR_ARG(id), s->markers, AP_STR_ARG(k->symbol), AP_STR_ARG(k->scale));
            put_tags(s->out, k->look);
            ap_buf_append_cstr(s->out, "/></marker>\n<path fill=\"none\" stroke=\"none\"");
            static const char *const ends[] = {"start", "mid", "end"};
            for (int e = 0; e < 3; e++) {
                ap_buf_appendf(s->out, " marker-%s=\"url(#%.*s-m%zu)\"", ends[e], AP_STR_ARG(id), s->markers);
            }
            ap_buf_appendf(s->out, " d=\"M%.*s\"/>\n", AP_STR_ARG(places));
            s->markers++;
        }
        if (k->places.status != AP_OK && s->out->status == AP_OK) {
            s->out->status = k->places.status;
        }
        ap_buf_release(&k->places);
    }
    s->kind_count = 0;
}

/* <use xlink:href="#fig-gpPt6" transform="translate(12.00,34.00) scale(2.19)" color="rgb(  0, 114, 178)"/> */
static bool take_mark(shrinker *s, ap_str line) {
    kind seen = {.line = line};
    ap_str place;
    ap_str rest = line;
    if (!take(&seen.symbol, &rest, "<use xlink:href=\"", "\"") ||
        !take(&place, &rest, " transform=\"translate(", ")") || !take(&seen.scale, &rest, " scale(", ")\"") ||
        rest.len < 2 || memcmp(rest.ptr + rest.len - 2, "/>", 2) != 0) {
        return false;
    }
    seen.look = (ap_str){rest.ptr, rest.len - 2};
    size_t at = 0;
    while (at < s->kind_count &&
           !(ap_str_equal(s->kinds[at].symbol, seen.symbol) && ap_str_equal(s->kinds[at].scale, seen.scale) &&
             ap_str_equal(s->kinds[at].look, seen.look))) {
        at++;
    }
    if (at == s->kind_count) {
        if (s->kind_count == KINDS_MAX) {
            flush_marks(s);
            at = 0;
        }
        ap_buf_init(&seen.places, PLACES_MAX);
        s->kinds[at] = seen;
        s->kind_count = at + 1;
    }
    kind *k = &s->kinds[at];
    if (k->count++ > 0) {
        ap_buf_append_char(&k->places, ' ');
    }
    ap_buf_append_str(&k->places, place);
    return true;
}

static bool refers(const shrinker *s, ap_str text, const char *name, const char *end) {
    char what[120];
    snprintf(what, sizeof what, "#%.*s-%s%s", (int)(s->id.len < 80 ? s->id.len : 80), s->id.ptr, name, end);
    return ap_figure_find(text, what).ptr != NULL;
}

static ap_str definition(const shrinker *s, ap_str defs, const char *name) {
    char what[120];
    snprintf(what, sizeof what, "id=\"%.*s-%s\"", (int)(s->id.len < 80 ? s->id.len : 80), s->id.ptr, name);
    for (ap_str rest = defs; rest.len > 0;) {
        ap_str line = ap_str_split(rest, '\n', &rest);
        if (ap_figure_find(line, what).ptr) {
            return line;
        }
    }
    return AP_STR_NONE;
}

/* A symbol may be another one turned or filled: references point from higher numbers to lower ones. */
static void find_needed(shrinker *s, ap_str svg) {
    ap_str drawn = ap_figure_find(svg, "</defs>");
    ap_str defs = {svg.ptr, svg.len - drawn.len};
    s->boxed = refers(s, drawn, "textbox", ")");
    s->greyed = refers(s, drawn, "greybox", ")");
    for (int n = SYMBOLS - 1; n >= 0; n--) {
        char name[16];
        snprintf(name, sizeof name, "gpPt%d", n);
        s->needed[n] = s->needed[n] || refers(s, drawn, name, "\"");
        ap_str line = s->needed[n] ? definition(s, defs, name) : AP_STR_NONE;
        for (int m = 0; m < n && line.ptr; m++) {
            snprintf(name, sizeof name, "gpPt%d", m);
            s->needed[m] = s->needed[m] || refers(s, line, name, "\"");
        }
    }
}

/* Symbols take a line each, filters four. */
static bool is_unneeded(const shrinker *s, ap_str line, bool *in_filter) {
    char what[120];
    if (*in_filter) {
        *in_filter = !ap_str_starts(line, AP_STR_LIT("</filter>"));
        return true;
    }
    const char *const filters[] = {s->boxed ? NULL : "textbox", s->greyed ? NULL : "greybox"};
    for (int i = 0; i < 2; i++) {
        snprintf(what, sizeof what, "<filter id=\"%.*s-%s\"", (int)(s->id.len < 80 ? s->id.len : 80), s->id.ptr,
                 filters[i] ? filters[i] : "?");
        if (ap_str_starts(line, ap_str_from(what))) {
            *in_filter = true;
            return true;
        }
    }
    for (int n = 0; n < SYMBOLS; n++) {
        snprintf(what, sizeof what, " id=\"%.*s-gpPt%d\"", (int)(s->id.len < 80 ? s->id.len : 80), s->id.ptr, n);
        if (!s->needed[n] && ap_figure_find(line, what).ptr) {
            return true;
        }
    }
    return false;
}

void ap_svg_shrink(ap_buf *out, ap_str svg, ap_str id) {
    shrinker s = {.out = out, .id = id};
    bool in_filter = false;
    bool in_defs = true;
    find_needed(&s, svg);
    for (ap_str rest = svg; rest.len > 0;) {
        ap_str line = ap_str_split(rest, '\n', &rest);
        in_defs = in_defs && !ap_str_starts(line, AP_STR_LIT("</defs>"));
        if ((in_defs && is_unneeded(&s, line, &in_filter)) || line.len == 0) {
            continue;
        }
        if (!in_defs && take_mark(&s, line)) {
            put_group(&s);
            continue;
        }
        flush_marks(&s);
        if (s.group.ptr && ap_str_equal_word(line, "</g>")) {
            s.group = AP_STR_NONE;
            continue;
        }
        put_group(&s);
        bool opens = ap_str_starts(line, AP_STR_LIT("<g ")) && line.ptr[line.len - 1] == '>' &&
                     memchr(line.ptr, '>', line.len) == line.ptr + line.len - 1;
        if (opens) {
            s.group = line;
        } else {
            put_line(&s, line);
        }
    }
    flush_marks(&s);
    put_group(&s);
}
