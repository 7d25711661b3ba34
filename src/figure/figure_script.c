/* The script that goes down gnuplot's standard input.
 *
 * Requirements (the tests cite these numbers):
 * G1  A user's text is only ever inside '...' or inside "..." of a data row, on one line, with nothing in it that either
 *     kind of quoting reads as an end, an escape, or a command.
 * G2  A data row never equals the word that ends the block: it starts with a number or a quotation mark.
 * G3  Figures do not see each other: `reset session` between them.
 * G4  Each drawing stands between two lines of ours that no label can contain. */
#include "base/asset.h"
#include "figure/figure_parts.h"

static void put_utf8(ap_buf *out, uint32_t code) {
    char bytes[4];
    size_t len = 0;
    if (code < 0x80) {
        bytes[len++] = (char)code;
    } else if (code < 0x800) {
        bytes[len++] = (char)(0xC0 | (code >> 6));
        bytes[len++] = (char)(0x80 | (code & 0x3F));
    } else if (code < 0x10000) {
        bytes[len++] = (char)(0xE0 | (code >> 12));
        bytes[len++] = (char)(0x80 | ((code >> 6) & 0x3F));
        bytes[len++] = (char)(0x80 | (code & 0x3F));
    } else {
        bytes[len++] = (char)(0xF0 | (code >> 18));
        bytes[len++] = (char)(0x80 | ((code >> 12) & 0x3F));
        bytes[len++] = (char)(0x80 | ((code >> 6) & 0x3F));
        bytes[len++] = (char)(0x80 | (code & 0x3F));
    }
    ap_buf_append(out, bytes, len);
}

/* One character; U+FFFD and one byte on for what is not UTF-8 (overlong forms and surrogates included). */
static uint32_t next_code(ap_str text, size_t *at) {
    unsigned char lead = (unsigned char)text.ptr[*at];
    size_t more = lead < 0x80                   ? 0
                  : lead >= 0xC2 && lead < 0xE0 ? 1
                  : lead >= 0xE0 && lead < 0xF0 ? 2
                  : lead >= 0xF0 && lead < 0xF5 ? 3
                                                : 9;
    if (more == 9 || *at + more >= text.len) {
        (*at)++;
        return 0xFFFD;
    }
    uint32_t code = more == 0 ? lead : more == 1 ? lead & 0x1Fu : more == 2 ? lead & 0x0Fu : lead & 0x07u;
    for (size_t i = 1; i <= more; i++) {
        unsigned char byte = (unsigned char)text.ptr[*at + i];
        if ((byte & 0xC0) != 0x80) {
            (*at)++;
            return 0xFFFD;
        }
        code = (code << 6) | (byte & 0x3Fu);
    }
    static const uint32_t least[] = {0, 0x80, 0x800, 0x10000};
    if (code < least[more] || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF)) {
        (*at)++;
        return 0xFFFD;
    }
    *at += more + 1;
    return code;
}

static bool is_unprintable(uint32_t code) {
    return code < 0x20 || (code >= 0x7F && code < 0xA0) || (code >= 0x200B && code <= 0x200F) ||
           (code >= 0x2028 && code <= 0x202E) || (code >= 0x2060 && code <= 0x206F) || code == 0xFEFF ||
           (code & 0xFFFE) == 0xFFFE;
}

/* No quoting of gnuplot's can be trusted with everything: a doubled quote at the start of '...' ends the text (gnuplot 5.4
 * reads '''a' as an empty text and a second one), backslashes count in some label places and not in others, and a quotation
 * mark ends a data cell. All three are written as look-alikes that no parser knows. */
static void put_quoted(ap_buf *out, uint32_t code, ap_figure_quoting quoting) {
    enum { SET_MINUS = 0x2216, APOSTROPHE = 0x2019, RIGHT_QUOTE = 0x201D };
    if (quoting == AP_FIGURE_XML) {
        const char *entity = code == '&'   ? "&amp;"
                             : code == '<' ? "&lt;"
                             : code == '>' ? "&gt;"
                             : code == '"' ? "&quot;"
                                           : NULL;
        if (entity) {
            ap_buf_append_cstr(out, entity);
            return;
        }
    } else {
        code = code == '\\' ? SET_MINUS : code == '"' ? RIGHT_QUOTE : code == '\'' ? APOSTROPHE : code;
    }
    put_utf8(out, code);
}

void ap_figure_clean(ap_buf *out, ap_str text, ap_figure_quoting quoting, size_t most) {
    size_t at = 0;
    for (size_t done = 0; at < text.len; done++) {
        if (done == most) {
            put_utf8(out, 0x2026);
            return;
        }
        uint32_t code = next_code(text, &at);
        put_quoted(out, is_unprintable(code) ? ' ' : code, quoting);
    }
}

/* ap_canvas(w, h) gives the statement that opens the terminal: only numbers of a plot file go through it. */
static const char *const CANVAS[] = {
    [AP_FIGURE_SVG] =
        "ap_canvas(w, h) = sprintf('set terminal svg size %d,%d dynamic noenhanced font \"sans-serif,13\" "
        "background \"#fdfcf8\"', w, h)\n",
    [AP_FIGURE_PNG] = "ap_png = strstrt(GPVAL_TERMINALS, 'pngcairo') ? 'pngcairo fontscale 2 linewidth 2 pointscale 2' "
                      ": 'png truecolor'\n"
                      "ap_by = strstrt(GPVAL_TERMINALS, 'pngcairo') ? 2 : 1\n"
                      "ap_canvas(w, h) = sprintf('set terminal %s size %d,%d noenhanced font \"sans-serif,10\" "
                      "background \"#fdfcf8\"', ap_png, ap_by * w, ap_by * h)\n",
    [AP_FIGURE_PDF] =
        "ap_canvas(w, h) = sprintf('set terminal pdfcairo size %.3fin,%.3fin noenhanced font \"sans-serif,10\" "
        "background \"#ffffff\"', w / 96.0, h / 96.0)\n",
    [AP_FIGURE_TEXT] =
        "ap_canvas(w, h) = sprintf('set terminal dumb mono size %d,%d noenhanced', ap_columns, h / 17)\n",
};

static const char *const NEEDS[] = {
    [AP_FIGURE_SVG] = "strstrt(GPVAL_TERMINALS, 'svg')",
    [AP_FIGURE_PNG] = "strstrt(GPVAL_TERMINALS, 'png')",
    [AP_FIGURE_PDF] = "strstrt(GPVAL_TERMINALS, 'pdfcairo')",
    [AP_FIGURE_TEXT] = "strstrt(GPVAL_TERMINALS, 'dumb')",
};

static void put_rope(ap_buf *out, const ap_rope *rope) {
    for (const ap_rope_piece *piece = rope->first; piece; piece = piece->next) {
        ap_buf_append(out, piece->bytes, piece->len);
    }
}

static ap_status put_figure(ap_buf *out, ap_figure *figure, ap_str family, ap_error *err) {
    ap_figure_set *set = figure->set;
    char name[80];
    snprintf(name, sizeof name, "plots/%.*s.gp", AP_STR_ARG(figure->plot));
    ap_str plot;
    ap_status status = ap_asset_get(&plot, set->arena, name, err);
    if (status != AP_OK) {
        return status;
    }
    ap_buf_append_cstr(out, "reset session\nset print '-'\nset encoding utf8\nset datafile separator \"\\t\"\n");
    ap_buf_appendf(out, "ap_text = %d\nap_svg = %d\nap_columns = %d\nap_narrow = 0\n", set->format == AP_FIGURE_TEXT,
                   set->format == AP_FIGURE_SVG, set->text_width);
    ap_buf_append_cstr(out, "ap_title = '");
    ap_figure_clean(out, figure->title, AP_FIGURE_QUOTED, 100);
    ap_buf_append_cstr(out, "'\n");
    ap_buf_append_cstr(out, CANVAS[set->format]);
    ap_buf_appendf(out, "print \"\\001afterpick begin %zu\\001\"\n", figure->number);
    put_rope(out, &figure->script);
    ap_buf_append_str(out, family);
    ap_buf_append_char(out, '\n');
    ap_buf_append_str(out, plot);
    ap_buf_appendf(out, "\nset terminal unknown\nprint \"\\001afterpick end %zu\\001\"\n", figure->number);
    if (set->narrow) {
        /* The blocks and variables stay: `reset` takes back what the first drawing set, and the separator with it. */
        ap_buf_appendf(out,
                       "reset\nset print '-'\nset datafile separator \"\\t\"\nap_narrow = 1\n"
                       "print \"\\001afterpick begin narrow %zu\\001\"\n",
                       figure->number);
        ap_buf_append_str(out, family);
        ap_buf_append_char(out, '\n');
        ap_buf_append_str(out, plot);
        ap_buf_appendf(out, "\nset terminal unknown\nprint \"\\001afterpick end narrow %zu\\001\"\n", figure->number);
    }
    return AP_OK;
}

ap_status ap_figure_script(ap_buf *out, ap_figure_set *set, const ap_figure *only, ap_error *err) {
    ap_str family;
    ap_status status = ap_asset_get(&family, set->arena, "plots/family.gp", err);
    if (status != AP_OK) {
        return status;
    }
    ap_buf_append_cstr(
        out, "set print '-'\nif (GPVAL_VERSION < 5.2) { print \"\\001afterpick old\\001\", GPVAL_VERSION; exit }\n");
    ap_buf_appendf(out, "if (!%s) { print \"\\001afterpick without\\001\"; exit }\n", NEEDS[set->format]);
    for (ap_figure *figure = set->first; figure; figure = figure->next) {
        if ((only && figure != only) || (!only && (figure->missing.ptr || figure->output.ptr))) {
            continue;
        }
        status = put_figure(out, figure, family, err);
        if (status != AP_OK) {
            return status;
        }
    }
    ap_buf_append_cstr(out, "print \"\\001afterpick done\\001\"\n");
    return ap_buf_check(out, "the figures' script", err);
}
