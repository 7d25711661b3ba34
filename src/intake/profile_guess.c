#include "intake/profile_guess.h"

#include "base/sink.h"
#include "intake/profile_guess_parts.h"
#include "intake/profile_plan.h"
#include "text/when.h"

enum { HEADER_WITHIN = 50, KNOWN_AT_LEAST = 2, ARENA_MAX = 64 << 20, TABLE_CELLS = 3 };

static ap_status keep_rows(ap_guess *g, ap_rows *rows, ap_error *err) {
    while (g->row_count < AP_GUESS_ROWS) {
        ap_row *kept = &g->rows[g->row_count];
        bool more = false;
        const ap_status status = ap_rows_next(kept, &more, rows, err);
        if (status != AP_OK || !more) {
            return status;
        }
        ap_str *cells = ap_arena_alloc_array(&g->arena, kept->count + 1, sizeof *cells);
        for (size_t i = 0; i < kept->count && cells; i++) {
            cells[i] = ap_arena_str(&g->arena, ap_str_trim(kept->cells[i]));
        }
        kept->cells = cells;
        kept->raw = ap_arena_str(&g->arena, kept->raw);
        if (g->arena.failed) {
            return ap_error_set(err, AP_E_LIMIT, "its first rows are too long to guess from");
        }
        g->row_count++;
    }
    return AP_OK;
}

/* A cell that says something by itself: a date, a time, a figure, with or without its unit. */
static bool is_data(ap_str cell) {
    ap_time time = AP_TIME_NONE;
    const bool digit =
        cell.len && ((cell.ptr[0] >= '0' && cell.ptr[0] <= '9') || cell.ptr[0] == '-' || cell.ptr[0] == '~');
    return digit || ap_date_orders(cell) || ap_when_read_time(&time, cell, NULL);
}

static size_t count_filled(const ap_row *row, size_t *data) {
    size_t filled = 0;
    *data = 0;
    for (size_t i = 0; i < row->count; i++) {
        filled += row->cells[i].len > 0;
        *data += is_data(row->cells[i]);
    }
    return filled;
}

/* How many cells most rows have; *rows = how many rows that is, *all = how many hold anything. */
static size_t usual_width(const ap_guess *g, bool workbook, size_t *rows, size_t *all) {
    size_t best = 0;
    *rows = *all = 0;
    for (size_t i = 0; i < g->row_count; i++) {
        size_t same = 0;
        size_t data = 0;
        const size_t width = g->rows[i].count;
        const bool filled = count_filled(&g->rows[i], &data) > 0;
        *all += filled;
        for (size_t k = 0; k < g->row_count && filled; k++) {
            same += g->rows[k].count == width || (workbook && g->rows[k].count > 1 && g->rows[k].count < width);
        }
        if (width >= TABLE_CELLS && (same > *rows || (workbook && width > best))) {
            best = width;
            *rows = same;
        }
    }
    return best;
}

/* Columns that hold dates, figures or words of one kind: what free lines with commas do not have. */
static size_t clean_columns(ap_guess *g) {
    size_t clean = 0;
    for (size_t i = 0; i < g->columns; i++) {
        ap_column_shape shape;
        ap_guess_shape_column(&shape, g, i);
        clean += shape.shape != AP_SHAPE_TEXT && shape.shape != AP_SHAPE_BLANK;
    }
    return clean;
}

bool ap_guess_unknown_header(ap_guess *g, bool workbook) {
    size_t rows = 0;
    size_t all = 0;
    const size_t width = usual_width(g, workbook, &rows, &all);
    if (width < TABLE_CELLS || rows * 5 < all * 3) {
        return false;
    }
    g->no_header = true;
    g->columns = width < AP_GUESS_CELLS ? width : AP_GUESS_CELLS;
    for (size_t i = 0; i < g->row_count; i++) {
        size_t data = 0;
        const size_t filled = count_filled(&g->rows[i], &data);
        if (g->rows[i].count != width && !(workbook && filled * 2 > width)) {
            continue;
        }
        if (filled * 2 >= width) {
            g->no_header = data > 0;
            g->header = i;
            g->data = g->no_header ? 0 : i + 1;
            break;
        }
    }
    return clean_columns(g) >= 2;
}

/* The row with most headers that are known, among the first ones. */
static ap_status find_header(ap_guess *g, size_t *known, ap_error *err) {
    *known = 0;
    for (size_t i = 0; i < g->row_count && i < HEADER_WITHIN; i++) {
        size_t here = 0;
        for (size_t k = 0; k < g->rows[i].count && k < AP_GUESS_CELLS; k++) {
            int field = -1;
            ap_header_sense sense = AP_SENSE_NONE;
            const ap_status status = ap_header_sense_of(&field, &sense, &g->arena, g->book, g->rows[i].cells[k], err);
            if (status != AP_OK) {
                return status;
            }
            here += field >= 0;
        }
        if (here > *known) {
            *known = here;
            g->header = i;
        }
    }
    g->data = g->header + 1;
    g->columns = g->row_count ? g->rows[g->header].count : 0;
    g->columns = g->columns < AP_GUESS_CELLS ? g->columns : AP_GUESS_CELLS;
    return AP_OK;
}

/* "header=4", "header=none". */
static ap_status answer_header(bool *said, ap_guess *g, ap_error *err) {
    ap_str value = AP_STR_NONE;
    int64_t line = 0;
    *said = ap_guess_answered(&value, g, "header");
    if (!*said) {
        return AP_OK;
    }
    g->no_header = ap_str_equal_nocase(value, AP_STR_LIT("none"));
    if (g->no_header) {
        g->header = g->data = g->columns = 0;
        for (size_t i = 0; i < g->row_count; i++) {
            g->columns = g->rows[i].count > g->columns ? g->rows[i].count : g->columns;
        }
        g->columns = g->columns < AP_GUESS_CELLS ? g->columns : AP_GUESS_CELLS;
        return AP_OK;
    }
    for (size_t i = 0; ap_str_to_int64(&line, value) && i < g->row_count; i++) {
        if (g->rows[i].line == line) {
            g->header = i;
            g->data = i + 1;
            g->columns = g->rows[i].count < AP_GUESS_CELLS ? g->rows[i].count : AP_GUESS_CELLS;
            return AP_OK;
        }
    }
    return ap_error_set(err, AP_E_USAGE, "--with header=%.*s: write the line of the header, header=4, or header=none",
                        AP_STR_ARG(value));
}

static void put_head(ap_guess *g, const char *path) {
    const char *file = ap_file_name(path);
    ap_str name = g->options->name;
    if (name.len == 0) {
        name = ap_str_split(ap_str_from(file), '.', &(ap_str){0});
    }
    const size_t begin = g->out->len + strlen("name ");
    ap_buf_append_cstr(g->out, "name ");
    for (size_t i = 0; i < name.len && i < AP_PROFILE_NAME_MAX; i++) {
        const char c = name.ptr[i];
        ap_buf_append_char(g->out, (unsigned char)c < 0x20 || c == '/' || c == '\\' || c == '#' ? '-' : c);
    }
    ap_buf_append_cstr(g->out, name.len ? "" : "log");
    g->told->name = ap_arena_str(&g->told->arena, (ap_str){g->out->ptr + begin, g->out->len - begin});
    ap_buf_append_char(g->out, '\n');
    ap_buf_append_cstr(g->out, "about Guessed from '");
    for (const char *c = file; *c; c++) {
        ap_buf_append_char(g->out, (unsigned char)*c < 0x20 ? '-' : *c);
    }
    ap_buf_append_cstr(g->out,
                       "'. Answer every line that begins with '?', then: afterpick profile keep THIS --why TEXT\n");
}

static ap_status guess_rows(ap_guess *g, const char *path, ap_error *err) {
    ap_rows *rows = NULL;
    size_t known = 0;
    bool said = false;
    const ap_rows_options form = {.sheet = g->options->sheet, .book = g->book};
    ap_status status = ap_rows_new(&rows, g->source, &form, err);
    if (status == AP_OK) {
        status = keep_rows(g, rows, err);
    }
    g->workbook = rows && ap_rows_kind_of(rows) == AP_ROWS_WORKBOOK;
    g->delimiter = rows ? ap_rows_delimiter(rows) : 0;
    ap_rows_free(rows);
    if (status == AP_OK) {
        status = find_header(g, &known, err);
    }
    if (status == AP_OK) {
        status = answer_header(&said, g, err);
    }
    if (status != AP_OK) {
        return status;
    }
    put_head(g, path);
    if (g->workbook && g->options->sheet.len) {
        ap_buf_append_cstr(g->out, "sheet ");
        ap_guess_quote(g->out, g->options->sheet);
        ap_buf_append_char(g->out, '\n');
    }
    if (said || (known >= KNOWN_AT_LEAST && g->rows[g->header].count > 1) || ap_guess_unknown_header(g, g->workbook)) {
        return ap_guess_table(g, err);
    }
    if (g->workbook) {
        return ap_error_set(err, AP_E_INPUT,
                            "no row of this sheet looks like the header of a table of picks: say which it is, --with "
                            "header=LINE, or name another sheet with --sheet");
    }
    return ap_guess_text(g, err);
}

/* Nothing is left to ask: then it is a profile, and an answer that can not stand in one is told now. */
static ap_status check_whole(const ap_guess *g, ap_error *err) {
    ap_profile *profile = NULL;
    if (g->told->question_count > 0) {
        return AP_OK;
    }
    const ap_plan_rules rules = ap_intake_rules(g->options->settings, AP_INTAKE_UNITS_NONE);
    ap_status status = ap_profile_read(&profile, ap_buf_str(g->out), "as answered", err);
    if (status == AP_OK && profile) {
        status = ap_profile_try(profile, g->book, &rules, err);
    }
    ap_profile_free(profile);
    return status;
}

ap_status ap_profile_guess(ap_buf *out, ap_guess_told *told, ap_book *book, const char *path,
                           const ap_guess_options *options, ap_error *err) {
    ap_guess *g = calloc(1, sizeof *g);
    if (!g) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a guess");
    }
    *g = (ap_guess){.out = out, .told = told, .book = book, .options = options};
    ap_arena_init(&g->arena, ARENA_MAX);
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        g->column_of[i] = -1;
    }
    ap_status status = ap_header_check_examples(book, err);
    if (status == AP_OK) {
        status = ap_guess_read_answers(g, err);
    }
    if (status == AP_OK) {
        status = ap_source_open(&g->source, path, NULL, err);
    }
    if (status == AP_OK) {
        status = guess_rows(g, path, err);
    }
    if (status == AP_OK) {
        status = ap_guess_all_used(g, err);
    }
    if (status == AP_OK) {
        status = ap_buf_check(out, "the guessed profile", err);
    }
    if (status == AP_OK) {
        status = check_whole(g, err);
    }
    if (status == AP_OK) {
        status = ap_arena_check(&told->arena, "a guess", err);
    }
    ap_source_close(g->source);
    ap_arena_release(&g->arena);
    free(g);
    return status;
}
