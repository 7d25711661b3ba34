#include "text/workbook.h"

#include "text/workbook_parts.h"

#define PART_MAX ((uint64_t)1 << 30)
enum { CELL_MAX = 1 << 20, ARENA_MAX = 16 * 1024 * 1024, LISTED = 8 };

static ap_status open_format(ap_workbook *book, ap_error *err) {
    if (ap_package_has(book->package, "content.xml") && !ap_package_has(book->package, "_rels/.rels")) {
        book->is_ods = true;
        return ap_ods_open(book, err);
    }
    if (ap_package_has(book->package, "_rels/.rels")) {
        return ap_xlsx_open(book, err);
    }
    if (ap_package_has(book->package, "encrypted-package")) { /* ODF 1.4 part 2: the package within a package */
        return ap_error_set(err, AP_E_INPUT,
                            "it is protected by a password: open it in the spreadsheet program and save a copy without "
                            "one");
    }
    return ap_error_set(err, AP_E_INPUT, "it is a zip archive, not a workbook: unpack it and import what is in it");
}

ap_status ap_workbook_open(ap_workbook **out, const char *path, const ap_workbook_options *options, ap_error *err) {
    ap_workbook *book = calloc(1, sizeof *book);
    if (!book) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while opening '%s'", path);
    }
    if (options) {
        book->limits = *options;
    }
    size_t cell_max = book->limits.cell_max > 0 ? book->limits.cell_max : CELL_MAX;
    ap_arena_init(&book->arena, ARENA_MAX);
    ap_buf_init(&book->cell.value, cell_max);
    ap_buf_init(&book->cell.shown, cell_max);
    book->path = strdup(path);
    ap_status status = book->path ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory");
    if (status == AP_OK) {
        status = ap_row_maker_init(&book->maker, &book->limits, err);
    }
    if (status == AP_OK) {
        status =
            ap_package_open(&book->package, path, book->limits.part_max > 0 ? book->limits.part_max : PART_MAX, err);
    }
    if (status == AP_OK) {
        status = open_format(book, err);
    }
    if (status != AP_OK) {
        ap_workbook_close(book);
        return ap_error_wrap(err, status, "unable to read '%s'", path);
    }
    *out = book;
    return AP_OK;
}

void ap_workbook_close(ap_workbook *book) {
    if (!book) {
        return;
    }
    ap_xml_close(book->xml);
    ap_package_close(book->package);
    ap_row_maker_release(&book->maker);
    ap_buf_release(&book->cell.value);
    ap_buf_release(&book->cell.shown);
    ap_buf_release(&book->shared.bytes);
    ap_buf_release(&book->shared.ends);
    ap_arena_release(&book->arena);
    free(book->formats);
    free(book->format_ids);
    free(book->styles);
    free(book->path);
    free(book);
}

/* ---- sheets ---- */

ap_status ap_workbook_add_sheet(ap_workbook *book, ap_str name, const char *part, bool hidden, ap_error *err) {
    if (book->sheet_count == AP_SHEETS_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "it has more than %d sheets", AP_SHEETS_MAX);
    }
    ap_sheet sheet = {.name = ap_arena_str(&book->arena, name), .part = part, .hidden = hidden};
    if (book->arena.failed) {
        return ap_error_set(err, AP_E_LIMIT, "its sheets' names are too long");
    }
    book->sheets[book->sheet_count++] = sheet;
    return AP_OK;
}

const char *ap_workbook_kind(const ap_workbook *book) {
    return book->is_ods ? ".ods" : ".xlsx";
}

size_t ap_workbook_sheet_count(const ap_workbook *book) {
    return book->sheet_count;
}

ap_str ap_workbook_sheet_name(const ap_workbook *book, size_t sheet) {
    return sheet < book->sheet_count ? book->sheets[sheet].name : AP_STR_NONE;
}

bool ap_workbook_sheet_is_hidden(const ap_workbook *book, size_t sheet) {
    return sheet < book->sheet_count && book->sheets[sheet].hidden;
}

static ap_status no_such_sheet(const ap_workbook *book, ap_str name, ap_error *err) {
    ap_buf list;
    ap_buf_init(&list, AP_ERROR_TEXT_MAX);
    for (size_t i = 0; i < book->sheet_count && i < LISTED; i++) {
        ap_str known = book->sheets[i].name;
        ap_buf_appendf(&list, "%s'%.*s'", i > 0 ? ", " : "", known.len < 80 ? (int)known.len : 80, known.ptr);
    }
    ap_buf_append_cstr(&list, book->sheet_count > LISTED ? " ..." : "");
    ap_status status =
        ap_error_set(err, AP_E_NOT_FOUND, "'%s' has no sheet '%.*s': it has %.*s", book->path,
                     name.len < 80 ? (int)name.len : 80, name.ptr ? name.ptr : "", AP_STR_ARG(ap_buf_str(&list)));
    ap_buf_release(&list);
    return status;
}

ap_status ap_workbook_sheet_get(size_t *sheet, const ap_workbook *book, ap_str name, ap_error *err) {
    size_t found = book->sheet_count;
    size_t fits = 0;
    for (size_t i = 0; i < book->sheet_count; i++) {
        if (ap_str_equal(book->sheets[i].name, name)) {
            *sheet = i;
            return AP_OK;
        }
        if (ap_str_equal_nocase(book->sheets[i].name, name)) {
            found = i;
            fits++;
        }
    }
    if (fits != 1) {
        return no_such_sheet(book, name, err);
    }
    *sheet = found;
    return AP_OK;
}

/* ---- rows ---- */

static ap_status wrap(const ap_workbook *book, ap_status status, ap_error *err) {
    ap_str name = book->sheets[book->sheet].name;
    int len = name.len < 80 ? (int)name.len : 80;
    return ap_error_wrap(err, status, "unable to read '%s': sheet '%.*s' behind row %lld", book->path, len, name.ptr,
                         (long long)book->position);
}

static void deselect(ap_workbook *book) {
    ap_xml_close(book->xml);
    book->xml = NULL;
    book->selected = false;
}

ap_status ap_workbook_select(ap_workbook *book, size_t sheet, ap_error *err) {
    deselect(book);
    if (sheet >= book->sheet_count) {
        return ap_error_set(err, AP_E_NOT_FOUND, "'%s' has %zu sheets: there is no number %zu", book->path,
                            book->sheet_count, sheet + 1);
    }
    book->sheet = sheet;
    book->position = 0;
    book->line = 1;
    book->row_ready = book->ended = false;
    ap_row_maker_clear(&book->maker);
    ap_status status = book->is_ods ? ap_ods_select(book, err) : ap_xlsx_select(book, err);
    if (status != AP_OK) {
        return wrap(book, status, err);
    }
    book->selected = true;
    return AP_OK;
}

static void give_blank(ap_row *row, ap_workbook *book) {
    static const ap_str empty = {"", 0};
    *row = (ap_row){.cells = &empty, .count = 1, .line = book->line, .line_last = book->line, .raw = empty};
    book->line++;
    book->gave_blank = true;
}

ap_status ap_workbook_next(ap_row *row, bool *more, ap_workbook *book, ap_error *err) {
    ap_status status = AP_OK;
    if (!book->selected) {
        return ap_error_set(err, AP_E_USAGE, "no sheet of '%s' is selected", book->path);
    }
    while (status == AP_OK && !book->row_ready && !book->ended) {
        status = ap_xml_run(&book->ended, book->xml, err);
    }
    if (status != AP_OK) {
        status = wrap(book, status, err);
        deselect(book);
        return status;
    }
    *more = book->row_ready;
    if (!book->row_ready) {
        return AP_OK;
    }
    if (book->line < book->ready_line) {
        give_blank(row, book);
        return AP_OK;
    }
    status = ap_row_maker_finish(row, &book->maker, book->ready_line, err);
    if (status != AP_OK) {
        return wrap(book, status, err);
    }
    book->gave_blank = false;
    book->ready_line++;
    book->line = book->ready_line > book->line ? book->ready_line : book->line;
    book->row_ready = --book->ready_repeat > 0;
    return AP_OK;
}

bool ap_workbook_cell_is_number(const ap_workbook *book, size_t cell) {
    return !book->gave_blank && cell < book->maker.count && book->maker.spans[cell].number;
}

static bool row_is_blank(const ap_row *row) {
    for (size_t i = 0; i < row->count; i++) {
        if (!ap_str_is_blank(row->cells[i])) {
            return false;
        }
    }
    return true;
}

static ap_status look_for_header(bool *found, int64_t *line, ap_workbook *book, size_t rows_max,
                                 ap_workbook_header_fn is_header, void *context, ap_error *err) {
    bool more = true;
    for (size_t rows = 0; rows < rows_max;) {
        ap_row row;
        ap_status status = ap_workbook_next(&row, &more, book, err);
        if (status != AP_OK || !more) {
            return status;
        }
        if (row_is_blank(&row)) {
            continue;
        }
        rows++;
        if (is_header(context, &row)) {
            *line = row.line;
            *found = true;
            return AP_OK;
        }
    }
    return AP_OK;
}

ap_status ap_workbook_find_header(bool *found, size_t *sheet, int64_t *line, ap_workbook *book, size_t rows_max,
                                  ap_workbook_header_fn is_header, void *context, ap_error *err) {
    *found = false;
    for (int hidden = 0; hidden < 2; hidden++) {
        for (size_t i = 0; i < book->sheet_count; i++) {
            if (book->sheets[i].hidden != (hidden == 1)) {
                continue;
            }
            int64_t at = 0;
            bool here = false;
            ap_status status = ap_workbook_select(book, i, err);
            if (status == AP_OK) {
                status = look_for_header(&here, &at, book, rows_max, is_header, context, err);
            }
            if (status == AP_OK && here) {
                status = ap_workbook_select(book, i, err);
            }
            if (status != AP_OK || here) {
                *found = status == AP_OK;
                *sheet = *found ? i : *sheet;
                *line = *found ? at : *line;
                return status;
            }
        }
    }
    deselect(book);
    return AP_OK;
}
