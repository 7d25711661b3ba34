#include "intake/rows.h"

#include "intake/header.h"
#include "intake/profile_plan.h"
#include "intake/text_rows.h"
#include "text/json_lines.h"
#include "text/workbook.h"

enum { HEAD = 4096, HEADER_WITHIN = 50 };

struct ap_rows {
    ap_rows_kind kind;
    const ap_source *source;
    const ap_profile *profile;
    int64_t offset;
    int64_t key_offset;
    ap_delimited *delimited;
    ap_workbook *workbook;
    ap_str sheet; /* its name, in the workbook */
    size_t sheet_count;
    ap_str *wide; /* a workbook's row with its blank cells */
    size_t width;
    bool *numbers; /* which cells of the last row are numbers of the sheet */
    size_t numbers_cap;
    ap_json_keys *keys;
    ap_json_lines *json;
    ap_text_rows *text;
};

static ap_status read_from(char *bytes, size_t cap, size_t *got, const ap_source *source, int64_t *offset,
                           ap_error *err) {
    const ap_status status = ap_source_read_at(bytes, cap, got, source, *offset, err);
    if (status == AP_OK) {
        *offset += (int64_t)*got;
    }
    return status;
}

static ap_status read_source(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    ap_rows *rows = context;
    return read_from(bytes, cap, got, rows->source, &rows->offset, err);
}

static ap_status read_for_keys(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    ap_rows *rows = context;
    return read_from(bytes, cap, got, rows->source, &rows->key_offset, err);
}

static ap_status open_json(ap_rows *rows, ap_error *err) {
    rows->kind = AP_ROWS_JSON;
    ap_status status = ap_json_keys_read(&rows->keys, read_for_keys, rows, err);
    if (status == AP_OK && ap_json_keys_count(rows->keys) == 0) {
        status = ap_error_set(err, AP_E_INPUT,
                              "it looks like JSON Lines, but no line is an object with keys: write one object a line, "
                              "{\"job\": \"J1\", \"date\": \"2026-10-05\", ...}");
    }
    return status == AP_OK ? ap_json_lines_new(&rows->json, read_source, rows, rows->keys, err) : status;
}

static bool is_header(void *context, const ap_row *row) {
    const ap_rows *rows = context;
    return rows->profile ? ap_profile_fits_header(rows->profile, row) : ap_header_is_canonical(row);
}

/* The sheet asked for, else the only one, else the first with a header. */
static ap_status choose_sheet(size_t *sheet, ap_rows *rows, ap_str wanted, ap_error *err) {
    int64_t line = 0;
    bool found = false;
    *sheet = 0;
    if (wanted.len == 0 && rows->profile) {
        wanted = rows->profile->sheet;
    }
    if (wanted.len) {
        return ap_workbook_sheet_get(sheet, rows->workbook, wanted, err);
    }
    if (rows->sheet_count == 1) {
        return AP_OK;
    }
    const ap_status status =
        ap_workbook_find_header(&found, sheet, &line, rows->workbook, HEADER_WITHIN, is_header, rows, err);
    if (status == AP_OK && !found) {
        return ap_error_set(
            err, AP_E_INPUT,
            "not one of its %zu sheets has a row that names the columns (job, date, pick, species, "
            "planned_weight_lb, ...): name one with --sheet, or 'afterpick profile guess FILE --out NEW.profile' "
            "shows what this kind of log holds and asks for the rest",
            rows->sheet_count);
    }
    return status;
}

static ap_status open_workbook(ap_rows *rows, ap_str wanted, ap_error *err) {
    size_t sheet = 0;
    rows->kind = AP_ROWS_WORKBOOK;
    ap_status status = ap_workbook_open(&rows->workbook, ap_source_path(rows->source), NULL, err);
    if (status == AP_OK) {
        rows->sheet_count = ap_workbook_sheet_count(rows->workbook);
        status = choose_sheet(&sheet, rows, wanted, err);
    }
    if (status == AP_OK) {
        status = ap_workbook_select(rows->workbook, sheet, err);
    }
    if (status == AP_OK) {
        rows->sheet = ap_workbook_sheet_name(rows->workbook, sheet);
    }
    return status;
}

static ap_status open_delimited(ap_rows *rows, char delimiter, ap_error *err) {
    rows->kind = AP_ROWS_DELIMITED;
    const ap_delimited_options plain = {.delimiter = delimiter};
    return ap_delimited_new(&rows->delimited, read_source, rows, &plain, err);
}

static ap_status open_kind(ap_rows *rows, const ap_rows_options *options, ap_error *err) {
    char head[HEAD];
    size_t got = 0;
    const ap_profile *profile = options->profile;
    if (ap_source_is_workbook(rows->source)) {
        if (profile && profile->kind != AP_PROFILE_TABLE) {
            return ap_error_set(err, AP_E_INPUT, "it is a workbook, and the profile '%.*s' reads text logs",
                                AP_STR_ARG(profile->name));
        }
        return open_workbook(rows, options->sheet, err);
    }
    if (options->sheet.len) {
        return ap_error_set(err, AP_E_INPUT, "it is no workbook: leave out --sheet");
    }
    if (profile && profile->kind != AP_PROFILE_TABLE) {
        rows->kind = AP_ROWS_TEXT;
        return ap_text_rows_new(&rows->text, read_source, rows, profile, options->book, err);
    }
    const ap_status status = ap_source_read_at(head, sizeof head, &got, rows->source, 0, err);
    if (status != AP_OK) {
        return status;
    }
    if (ap_json_lines_looks_so((ap_str){head, got})) {
        return open_json(rows, err);
    }
    return open_delimited(rows, options->delimiter ? options->delimiter : profile ? profile->delimiter : '\0', err);
}

ap_status ap_rows_new(ap_rows **out, const ap_source *source, const ap_rows_options *options, ap_error *err) {
    ap_rows *rows = calloc(1, sizeof *rows);
    if (!rows) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
    }
    rows->source = source;
    rows->profile = options->profile;
    const ap_status status = open_kind(rows, options, err);
    if (status != AP_OK) {
        ap_rows_free(rows);
        return status;
    }
    *out = rows;
    return AP_OK;
}

void ap_rows_free(ap_rows *rows) {
    if (rows) {
        ap_delimited_free(rows->delimited);
        ap_workbook_close(rows->workbook);
        ap_json_lines_free(rows->json);
        ap_json_keys_free(rows->keys);
        ap_text_rows_free(rows->text);
        free(rows->wide);
        free(rows->numbers);
        free(rows);
    }
}

ap_rows_kind ap_rows_kind_of(const ap_rows *rows) {
    return rows->kind;
}

ap_status ap_rows_set_width(ap_rows *rows, size_t width, ap_error *err) {
    if (rows->kind != AP_ROWS_WORKBOOK) {
        return AP_OK;
    }
    free(rows->wide);
    rows->wide = calloc(width ? width : 1, sizeof *rows->wide);
    rows->width = rows->wide ? width : 0;
    return rows->wide ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the rows of a workbook");
}

static void widen(ap_row *row, ap_rows *rows) {
    if (row->count >= rows->width) {
        return;
    }
    for (size_t i = 0; i < rows->width; i++) {
        rows->wide[i] = i < row->count ? row->cells[i] : AP_STR_LIT("");
    }
    row->cells = rows->wide;
    row->count = rows->width;
}

static ap_status note_numbers(ap_row *row, ap_rows *rows, ap_error *err) {
    if (row->count >= rows->numbers_cap) { /* room for one at least */
        free(rows->numbers);
        rows->numbers = calloc(row->count + 1, sizeof *rows->numbers);
        rows->numbers_cap = rows->numbers ? row->count + 1 : 0;
    }
    if (!rows->numbers) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the rows of a workbook");
    }
    for (size_t i = 0; i < row->count; i++) {
        rows->numbers[i] = ap_workbook_cell_is_number(rows->workbook, i);
    }
    row->numbers = rows->numbers;
    return AP_OK;
}

ap_status ap_rows_next(ap_row *row, bool *more, ap_rows *rows, ap_error *err) {
    switch (rows->kind) {
    case AP_ROWS_DELIMITED:
        return ap_delimited_next(row, more, rows->delimited, err);
    case AP_ROWS_JSON:
        return ap_json_lines_next(row, more, rows->json, err);
    case AP_ROWS_TEXT:
        return ap_text_rows_next(row, more, rows->text, err);
    case AP_ROWS_WORKBOOK:
        break;
    }
    ap_status status = ap_workbook_next(row, more, rows->workbook, err);
    if (status == AP_OK && *more) {
        widen(row, rows);
        status = note_numbers(row, rows, err);
    }
    return status;
}

static const char *delimiter_name(char delimiter) {
    switch (delimiter) {
    case ',':
        return "comma";
    case ';':
        return "semicolon";
    case '\t':
        return "tab";
    case '|':
        return "pipe";
    default:
        return "one column";
    }
}

void ap_rows_dialect(ap_buf *out, const ap_rows *rows) {
    switch (rows->kind) {
    case AP_ROWS_DELIMITED:
        ap_buf_appendf(out, "%s, %s", delimiter_name(ap_rows_delimiter(rows)),
                       ap_encoding_name(ap_delimited_encoding(rows->delimited)));
        break;
    case AP_ROWS_WORKBOOK:
        ap_buf_appendf(out, "workbook %s, sheet '%.*s'", ap_workbook_kind(rows->workbook), AP_STR_ARG(rows->sheet));
        break;
    case AP_ROWS_JSON:
        ap_buf_appendf(out, "JSON Lines, %s", ap_encoding_name(ap_json_lines_encoding(rows->json)));
        break;
    case AP_ROWS_TEXT:
        ap_buf_appendf(out, "text log, %s", ap_encoding_name(ap_text_rows_encoding(rows->text)));
        break;
    }
}

char ap_rows_delimiter(const ap_rows *rows) {
    return rows->kind == AP_ROWS_DELIMITED ? ap_delimited_delimiter(rows->delimited) : ',';
}

int64_t ap_rows_bytes(const ap_rows *rows) {
    return rows->offset;
}

bool ap_rows_remark(ap_str *out, ap_arena *arena, const ap_rows *rows, size_t index) {
    const bool others = rows->sheet_count > 1 && !(rows->profile && rows->profile->sheets_all);
    if (rows->kind == AP_ROWS_WORKBOOK && index == 0 && others) {
        *out = ap_arena_printf(arena, "only the sheet '%.*s' of %zu was read: --sheet NAME reads another",
                               AP_STR_ARG(rows->sheet), rows->sheet_count);
        return true;
    }
    if (rows->kind == AP_ROWS_TEXT && index < ap_text_rows_unread(rows->text)) {
        *out = ap_arena_printf(arena, "the key '%.*s' was not read: the profile does not name it",
                               AP_STR_ARG(ap_text_rows_unread_key(rows->text, index)));
        return true;
    }
    return false;
}

ap_str ap_rows_sheet(const ap_rows *rows) {
    return rows->kind == AP_ROWS_WORKBOOK ? rows->sheet : AP_STR_NONE;
}

size_t ap_rows_sheet_count(const ap_rows *rows) {
    return rows->kind == AP_ROWS_WORKBOOK ? rows->sheet_count : 0;
}

ap_str ap_rows_sheet_name(const ap_rows *rows, size_t index) {
    return ap_workbook_sheet_name(rows->workbook, index);
}

ap_status ap_rows_sheet_fits(bool *fits, ap_rows *rows, size_t index, ap_error *err) {
    *fits = false;
    ap_status status = ap_workbook_select(rows->workbook, index, err);
    bool more = true;
    for (int i = 0; i < HEADER_WITHIN && more && status == AP_OK && !*fits; i++) {
        ap_row row;
        status = ap_workbook_next(&row, &more, rows->workbook, err);
        *fits = status == AP_OK && more && is_header(rows, &row);
    }
    return status;
}
