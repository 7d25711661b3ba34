#include "figure/figure_parts.h"

enum { PIECE_MIN = 4096, PIECE_MAX = 1 << 20 };

void ap_rope_append(ap_arena *arena, ap_rope *rope, const char *bytes, size_t len) {
    ap_rope_piece *piece = rope->last;
    if (!piece || piece->cap - piece->len < len) {
        size_t cap = piece ? piece->cap * 2 : PIECE_MIN;
        cap = cap > PIECE_MAX ? PIECE_MAX : cap;
        cap = cap < len ? len : cap;
        ap_rope_piece *fresh = ap_arena_alloc(arena, sizeof *fresh);
        char *room = fresh ? ap_arena_alloc(arena, cap) : NULL;
        if (!room) {
            return;
        }
        fresh->bytes = room;
        fresh->cap = cap;
        if (piece) {
            piece->next = fresh;
        } else {
            rope->first = fresh;
        }
        rope->last = fresh;
        piece = fresh;
    }
    if (len > 0) {
        memcpy(piece->bytes + piece->len, bytes, len);
        piece->len += len;
    }
}

ap_figure_set *ap_figure_set_new(ap_arena *arena, ap_figure_format format) {
    ap_figure_set *set = ap_arena_alloc(arena, sizeof *set);
    if (!set) {
        return NULL;
    }
    set->arena = arena;
    set->format = format;
    set->text_width = 80;
    return set;
}

void ap_figure_set_text_width(ap_figure_set *set, int columns) {
    if (set) {
        set->text_width = columns < 40 ? 40 : columns > 400 ? 400 : columns;
    }
}

void ap_figure_set_narrow(ap_figure_set *set) {
    if (set) {
        set->narrow = set->format == AP_FIGURE_SVG;
    }
}

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static bool id_is_taken(const ap_figure_set *set, ap_str id) {
    for (const ap_figure *figure = set->first; figure; figure = figure->next) {
        if (ap_str_equal(figure->id, id)) {
            return true;
        }
    }
    return false;
}

static ap_str make_id(const ap_figure_set *set, const char *id) {
    char text[64];
    size_t len = 0;
    for (const char *at = id ? id : ""; *at && len + 1 < sizeof text; at++) {
        if (len == 0 && !is_letter(*at)) {
            text[len++] = 'f';
        }
        text[len++] = is_letter(*at) || is_digit(*at) ? *at : '-';
    }
    if (len == 0) {
        text[len++] = 'f';
    }
    ap_str made = ap_arena_str(set->arena, (ap_str){text, len});
    for (size_t copy = 2; made.ptr && id_is_taken(set, made); copy++) {
        made = ap_arena_printf(set->arena, "%.*s-%zu", (int)len, text, copy);
    }
    return made;
}

static bool is_name(const char *name) {
    if (!name || !(name[0] >= 'a' && name[0] <= 'z')) {
        return false;
    }
    for (const char *at = name; *at; at++) {
        if (!((*at >= 'a' && *at <= 'z') || is_digit(*at) || *at == '_')) {
            return false;
        }
    }
    return strlen(name) <= 48;
}

ap_figure *ap_figure_add(ap_figure_set *set, const char *plot, const char *id, ap_str title, ap_str description) {
    ap_figure *figure = set ? ap_arena_alloc(set->arena, sizeof *figure) : NULL;
    if (!figure) {
        return NULL;
    }
    figure->set = set;
    figure->number = ++set->count;
    figure->broken = !is_name(plot);
    figure->plot = ap_arena_str(set->arena, ap_str_from(figure->broken ? "none" : plot));
    figure->id = make_id(set, id);
    figure->title = ap_arena_str(set->arena, title);
    figure->description = ap_arena_str(set->arena, description);
    if (set->last) {
        set->last->next = figure;
    } else {
        set->first = figure;
    }
    set->last = figure;
    return figure;
}

static void put(ap_figure *figure, ap_str text) {
    ap_rope_append(figure->set->arena, &figure->script, text.ptr, text.len);
}

static bool takes_name(ap_figure *figure, const char *name) {
    if (!figure) {
        return false;
    }
    if (!is_name(name)) {
        figure->broken = true;
    }
    return !figure->broken;
}

/* A whole number gets a decimal point: gnuplot divides whole numbers without a rest. */
static void put_number(ap_figure *figure, const char *name, double value) {
    char text[96];
    int len = isfinite(value) ? snprintf(text, sizeof text, "%s = %.17g", name, value)
                              : snprintf(text, sizeof text, "%s = NaN", name);
    put(figure, (ap_str){text, (size_t)len});
    const char *written = strchr(text, '=');
    put(figure, isfinite(value) && !strpbrk(written, ".e") ? AP_STR_LIT(".0\n") : AP_STR_LIT("\n"));
}

void ap_figure_number(ap_figure *figure, const char *name, double value) {
    if (takes_name(figure, name)) {
        ap_figure_close_block(figure);
        put_number(figure, name, value);
    }
}

void ap_figure_string(ap_figure *figure, const char *name, ap_str value) {
    if (!takes_name(figure, name)) {
        return;
    }
    ap_figure_close_block(figure);
    ap_buf line;
    ap_buf_init(&line, 64u << 10);
    ap_buf_appendf(&line, "%s = '", name);
    ap_figure_clean(&line, value, AP_FIGURE_QUOTED, AP_FIGURE_LABEL_MAX);
    ap_buf_append_cstr(&line, "'\n");
    if (line.status == AP_OK) {
        put(figure, ap_buf_str(&line));
    } else {
        figure->set->arena->failed = true;
    }
    ap_buf_release(&line);
}

void ap_figure_close_block(ap_figure *figure) {
    if (!figure || !figure->block) {
        return;
    }
    const char *name = figure->block;
    figure->block = NULL;
    char text[128];
    int len = snprintf(text, sizeof text, "AP_END_OF_ROWS\n%s_rows = %zu\n", name, figure->rows);
    put(figure, (ap_str){text, (size_t)len});
    size_t finite = 0;
    for (size_t i = 0; i < AP_FIGURE_COLUMNS_MAX; i++) {
        const ap_figure_column *column = &figure->columns[i];
        len = snprintf(text, sizeof text, "%s_n%zu = %zu\n", name, i + 1, column->finite);
        put(figure, (ap_str){text, (size_t)len});
        snprintf(text, sizeof text, "%s_lo%zu", name, i + 1);
        put_number(figure, text, column->low);
        snprintf(text, sizeof text, "%s_hi%zu", name, i + 1);
        put_number(figure, text, column->high);
        finite += column->finite;
    }
    if (figure->block_count == 1) {
        figure->main_rows = figure->rows;
        figure->main_finite = finite;
    }
}

void ap_figure_block(ap_figure *figure, const char *name) {
    if (!takes_name(figure, name)) {
        return;
    }
    ap_figure_close_block(figure);
    const char *kept = ap_arena_cstr(figure->set->arena, ap_str_from(name));
    if (!kept) {
        return;
    }
    char text[96];
    int len = snprintf(text, sizeof text, "$%s << AP_END_OF_ROWS\n", kept);
    put(figure, (ap_str){text, (size_t)len});
    figure->block = kept;
    figure->block_count++;
    figure->rows = 0;
    memset(figure->columns, 0, sizeof figure->columns);
}

static void put_numbers(ap_figure *figure, const double *values, size_t count) {
    for (size_t i = 0; i < count; i++) {
        char text[40] = "NaN";
        if (isfinite(values[i])) {
            ap_figure_column *column = &figure->columns[i];
            column->low = column->finite == 0 || values[i] < column->low ? values[i] : column->low;
            column->high = column->finite == 0 || values[i] > column->high ? values[i] : column->high;
            column->finite++;
            snprintf(text, sizeof text, "%.10g", values[i]);
        }
        if (i > 0) {
            put(figure, AP_STR_LIT("\t"));
        }
        put(figure, ap_str_from(text));
    }
}

static bool takes_row(ap_figure *figure, size_t count) {
    if (figure && (!figure->block || count > AP_FIGURE_COLUMNS_MAX)) {
        figure->broken = true;
    }
    return figure && !figure->broken;
}

void ap_figure_row(ap_figure *figure, const double *values, size_t count) {
    if (!takes_row(figure, count) || count == 0) {
        return;
    }
    put_numbers(figure, values, count);
    put(figure, AP_STR_LIT("\n"));
    figure->rows++;
}

void ap_figure_row_label(ap_figure *figure, const double *values, size_t count, ap_str label) {
    if (!takes_row(figure, count)) {
        return;
    }
    put_numbers(figure, values, count);
    ap_buf cell;
    ap_buf_init(&cell, 64u << 10);
    ap_buf_append_cstr(&cell, count > 0 ? "\t\"" : "\"");
    ap_figure_clean(&cell, label, AP_FIGURE_QUOTED, AP_FIGURE_CELL_MAX);
    ap_buf_append_cstr(&cell, "\"\n");
    if (cell.status == AP_OK) {
        put(figure, ap_buf_str(&cell));
    } else {
        figure->set->arena->failed = true;
    }
    ap_buf_release(&cell);
    figure->rows++;
}

void ap_figure_empty(ap_figure *figure, ap_str why) {
    if (figure) {
        figure->missing = ap_arena_str(figure->set->arena, ap_str_is_blank(why) ? AP_STR_LIT("nothing to draw") : why);
    }
}

ap_str ap_figure_output(const ap_figure *figure) {
    return figure ? figure->output : AP_STR_NONE;
}

ap_str ap_figure_page(const ap_figure *figure) {
    const ap_str root = AP_STR_LIT("<svg ");
    if (!figure || !ap_str_starts(figure->output, root) || !ap_str_starts(figure->narrow, root)) {
        return ap_figure_output(figure);
    }
    return ap_arena_printf(figure->set->arena, "<svg class=\"broad\" %.*s<svg class=\"narrow\" %.*s",
                           (int)(figure->output.len - root.len), figure->output.ptr + root.len,
                           (int)(figure->narrow.len - root.len), figure->narrow.ptr + root.len);
}

ap_str ap_figure_missing(const ap_figure *figure) {
    return figure ? figure->missing : AP_STR_NONE;
}

ap_str ap_figure_id(const ap_figure *figure) {
    return figure ? figure->id : AP_STR_NONE;
}

ap_str ap_figure_title(const ap_figure *figure) {
    return figure ? figure->title : AP_STR_NONE;
}

ap_str ap_figure_description(const ap_figure *figure) {
    return figure ? figure->description : AP_STR_NONE;
}

size_t ap_figure_set_count(const ap_figure_set *set) {
    return set ? set->count : 0;
}

const ap_figure *ap_figure_set_get(const ap_figure_set *set, size_t index) {
    const ap_figure *figure = set ? set->first : NULL;
    for (size_t i = 0; figure && i < index; i++) {
        figure = figure->next;
    }
    return figure;
}
