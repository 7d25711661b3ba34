/* A workbook with several sheets: those with the header that was found are looked at too. */
#include "intake/profile_guess_parts.h"

enum { HEADER_WITHIN = 50 };

static bool is_same_row(const ap_row *a, const ap_row *b) {
    for (size_t i = 0; i < a->count || i < b->count; i++) {
        const ap_str x = i < a->count ? a->cells[i] : AP_STR_NONE;
        const ap_str y = i < b->count ? b->cells[i] : AP_STR_NONE;
        if (!ap_profile_header_is(x, y)) {
            return false;
        }
    }
    return true;
}

static ap_status keep_row(ap_guess *g, const ap_row *row, ap_error *err) {
    ap_row *kept = &g->rows[g->row_count];
    ap_str *cells = ap_arena_alloc_array(&g->arena, row->count + 1, sizeof *cells);
    for (size_t i = 0; i < row->count && cells; i++) {
        cells[i] = ap_arena_str(&g->arena, ap_str_trim(row->cells[i]));
    }
    *kept = *row;
    kept->cells = cells;
    kept->numbers = NULL;
    kept->raw = ap_arena_str(&g->arena, row->raw);
    g->row_count += cells != NULL;
    return ap_arena_check(&g->arena, "the rows of a workbook", err);
}

/* The rows behind the same header on another sheet. */
static ap_status look_at_sheet(bool *same, ap_guess *g, ap_str name, ap_error *err) {
    ap_rows *rows = NULL;
    const ap_rows_options form = {.sheet = name, .book = g->book};
    *same = false;
    ap_status status = ap_rows_new(&rows, g->source, &form, err);
    bool more = true;
    for (int i = 0; status == AP_OK && more && g->row_count < AP_GUESS_ROWS && (*same || i < HEADER_WITHIN); i++) {
        ap_row row;
        status = ap_rows_next(&row, &more, rows, err);
        if (status == AP_OK && more && *same) {
            status = keep_row(g, &row, err);
        } else if (status == AP_OK && more) {
            *same = is_same_row(&row, &g->rows[g->header]);
        }
    }
    ap_rows_free(rows);
    return status;
}

ap_status ap_guess_sheets(ap_guess *g, ap_error *err) {
    ap_rows *rows = NULL;
    ap_buf names;
    ap_buf others;
    const ap_rows_options form = {.sheet = g->options->sheet, .book = g->book};
    if (!g->workbook || g->options->sheet.len || g->no_header) {
        return AP_OK;
    }
    ap_buf_init(&names, 1u << 16);
    ap_buf_init(&others, 1u << 16);
    ap_status status = ap_rows_new(&rows, g->source, &form, err);
    const ap_str first = status == AP_OK ? ap_arena_str(&g->arena, ap_rows_sheet(rows)) : AP_STR_NONE;
    const size_t count = status == AP_OK ? ap_rows_sheet_count(rows) : 0;
    for (size_t i = 0; i < count && status == AP_OK; i++) {
        const ap_str name = ap_arena_str(&g->arena, ap_rows_sheet_name(rows, i));
        bool same = ap_str_equal(name, first);
        if (!same) {
            status = look_at_sheet(&same, g, name, err);
            g->same_sheets += same;
        }
        ap_buf *list = same ? &names : &others;
        ap_buf_appendf(list, "%s'%.*s'", list->len ? ", " : "", AP_STR_ARG(name));
    }
    if (status == AP_OK && count > 1) {
        g->told->sheets = ap_arena_str(&g->told->arena, ap_buf_str(&names));
        g->told->other_sheets = ap_arena_str(&g->told->arena, ap_buf_str(&others));
    }
    ap_rows_free(rows);
    ap_buf_release(&names);
    ap_buf_release(&others);
    return status;
}

void ap_guess_put_sheets(ap_guess *g) {
    ap_str value = AP_STR_NONE;
    const bool job = g->column_of[AP_F_job] < 0;
    if (g->same_sheets == 0) {
        return;
    }
    if (ap_guess_answered(&value, g, "sheets")) {
        const int field = ap_field_find(value);
        const size_t begin = ap_guess_begin(g, false);
        if (ap_str_equal_nocase(value, AP_STR_LIT("one"))) {
            return;
        }
        ap_buf_append_cstr(g->out, "sheets");
        if (field >= 0) {
            ap_buf_appendf(g->out, " -> %s", ap_field_get(field)->name);
            g->column_of[field] = AP_GUESS_CELLS;
        }
        ap_guess_why(g, begin, "as answered: every sheet with this header is read");
        return;
    }
    const size_t begin = ap_guess_begin(g, true);
    ap_buf_appendf(g->out, "sheets%s", job ? " -> job" : "");
    ap_guess_with(g, true, "sheets=%s", job ? "job" : "all");
    ap_guess_with(g, false, "sheets=%s", job ? "all" : "job");
    ap_guess_with(g, false, "sheets=one");
    g->column_of[AP_F_job] = job ? AP_GUESS_CELLS : g->column_of[AP_F_job];
    ap_guess_why(g, begin, "sheets %.*s have the same header: are all of them read%s?", AP_STR_ARG(g->told->sheets),
                 job ? ", and is the name of each its job" : "");
}
