/* .xlsx: the rows of one sheet (ECMA-376-1 18.3.1.4 c, 18.3.1.73 row). */
#include "text/workbook_parts.h"

enum { SHEET_ROOT = 1, SHEET_DATA, SHEET_ROW, SHEET_CELL, SHEET_VALUE, SHEET_INLINE, SHEET_RUN, SHEET_TEXT };

/* What `t` says a cell is. */
enum {
    TYPE_NUMBER = 'n',
    TYPE_SHARED = 's',
    TYPE_INLINE = 'i',
    TYPE_TEXT = 'f',
    TYPE_BOOL = 'b',
    TYPE_ERROR = 'e',
    TYPE_DATE = 'd'
};

static char type_of(const char *t) {
    static const struct {
        const char *word;
        char type;
    } types[] = {{"n", TYPE_NUMBER}, {"s", TYPE_SHARED}, {"inlineStr", TYPE_INLINE},
                 {"str", TYPE_TEXT}, {"b", TYPE_BOOL},   {"e", TYPE_ERROR},
                 {"d", TYPE_DATE}};
    for (size_t i = 0; t && i < sizeof types / sizeof types[0]; i++) {
        if (strcmp(types[i].word, t) == 0) {
            return types[i].type;
        }
    }
    return TYPE_NUMBER;
}

/* "AB12" -> 27 */
static bool read_column(size_t *out, const char *reference) {
    size_t column = 0;
    size_t letters = 0;
    for (; letters < 4; letters++) {
        char c = reference[letters];
        if (c >= 'a' && c <= 'z') {
            c = (char)(c - 'a' + 'A');
        }
        if (c < 'A' || c > 'Z') {
            break;
        }
        column = column * 26 + (size_t)(c - 'A') + 1;
    }
    if (letters == 0 || column > AP_SHEET_COLUMNS) {
        return false;
    }
    *out = column - 1;
    return true;
}

static void start_row(ap_workbook *book, ap_xml *xml, const char **attributes) {
    const char *r = ap_xml_attribute(attributes, AP_XML_NONE, "r");
    int64_t position = book->position + 1;
    if (r && !ap_str_to_int64(&position, ap_str_from(r))) {
        position = 0;
    }
    if (position < 1 || position > AP_SHEET_ROWS) {
        ap_xml_fail(xml, AP_E_INPUT, "a row of the sheet is numbered '%.40s' (1 to %d)", r ? r : "", AP_SHEET_ROWS);
        return;
    }
    ap_row_maker_clear(&book->maker);
    book->ready_line = position;
    book->ready_repeat = 1;
    book->column = 0;
}

static void start_cell(ap_workbook *book, ap_xml *xml, const char **attributes) {
    ap_cell_state *cell = &book->cell;
    const char *r = NULL;
    const char *s = NULL;
    const char *t = NULL;
    for (const char **at = attributes; at[0]; at += 2) {
        if (at[0][0] != '\0' && at[0][1] == '\0') {
            r = at[0][0] == 'r' ? at[1] : r;
            s = at[0][0] == 's' ? at[1] : s;
            t = at[0][0] == 't' ? at[1] : t;
        }
    }
    cell->column = book->column;
    if (r && !read_column(&cell->column, r)) {
        ap_xml_fail(xml, AP_E_INPUT, "a cell of the sheet is named '%.40s'", r);
        return;
    }
    int64_t style = 0;
    cell->style =
        s && ap_str_to_int64(&style, ap_str_from(s)) && style >= 0 && style < UINT16_MAX ? (unsigned)style : 0;
    cell->type = type_of(t);
    cell->has_value = cell->has_formula = false;
    ap_buf_clear(&cell->value);
}

static int sheet_start(void *context, ap_xml *xml, int parent, ap_xml_tag tag, const char **attributes) {
    ap_workbook *book = context;
    if (tag.space != AP_XML_SHEET) {
        return AP_XML_SKIP;
    }
    switch (parent) {
    case AP_XML_TOP:
        return strcmp(tag.local, "worksheet") == 0 ? SHEET_ROOT : AP_XML_SKIP;
    case SHEET_ROOT:
        return strcmp(tag.local, "sheetData") == 0 ? SHEET_DATA : AP_XML_SKIP;
    case SHEET_DATA:
        if (strcmp(tag.local, "row") != 0) {
            return AP_XML_SKIP;
        }
        start_row(book, xml, attributes);
        return SHEET_ROW;
    case SHEET_ROW:
        if (strcmp(tag.local, "c") != 0) {
            return AP_XML_SKIP;
        }
        start_cell(book, xml, attributes);
        return SHEET_CELL;
    case SHEET_CELL:
        if (strcmp(tag.local, "f") == 0) {
            book->cell.has_formula = true;
        } else if (strcmp(tag.local, "v") == 0) {
            book->cell.has_value = true;
            return SHEET_VALUE;
        } else if (strcmp(tag.local, "is") == 0) {
            book->cell.has_value = true;
            return SHEET_INLINE;
        }
        return AP_XML_SKIP;
    case SHEET_INLINE:
        return strcmp(tag.local, "t") == 0 ? SHEET_TEXT : strcmp(tag.local, "r") == 0 ? SHEET_RUN : AP_XML_SKIP;
    case SHEET_RUN:
        return strcmp(tag.local, "t") == 0 ? SHEET_TEXT : AP_XML_SKIP;
    default:
        return AP_XML_SKIP;
    }
}

static void sheet_text(void *context, ap_xml *xml, int state, ap_str bytes) {
    (void)xml;
    ap_workbook *book = context;
    if (state == SHEET_VALUE || state == SHEET_TEXT) {
        ap_text_append(&book->cell.value, bytes);
    }
}

/* ---- a cell that is whole ---- */

static void put(ap_workbook *book, ap_str text, const char *trouble) {
    ap_row_maker_put(&book->maker, book->cell.column, 1, text, trouble);
}

static void put_shared(ap_workbook *book, ap_str number) {
    int64_t index = -1;
    size_t count = book->shared.ends.len / sizeof(uint32_t);
    if (!ap_str_to_int64(&index, ap_str_trim(number)) || index < 0 || (uint64_t)index >= count) {
        put(book, number, "a shared text is missing");
        return;
    }
    uint32_t ends[2] = {0, 0};
    size_t skip = index > 0 ? 1 : 0;
    memcpy(ends + 1 - skip, book->shared.ends.ptr + ((size_t)index - skip) * sizeof(uint32_t),
           (1 + skip) * sizeof(uint32_t));
    if (ends[1] > ends[0]) {
        put(book, (ap_str){book->shared.bytes.ptr + ends[0], ends[1] - ends[0]}, NULL);
    }
}

static void put_number(ap_workbook *book, ap_str text) {
    static const ap_value_format general = {.kind = AP_VALUE_NUMBER};
    const ap_value_format *format = &general;
    const ap_cell_state *cell = &book->cell;
    double value = 0.0;
    if (cell->style < book->style_count) {
        format = &book->formats[book->styles[cell->style]];
    }
    if (!ap_value_read_number(&value, text)) {
        put(book, text, ap_trouble_number);
        return;
    }
    char out[AP_VALUE_SIZE];
    const char *trouble = ap_value_formatted(out, format, value, book->from_1904);
    put(book, ap_str_from(out), trouble);
    if (format->kind == AP_VALUE_NUMBER || format->kind == AP_VALUE_PERCENT) {
        ap_row_maker_mark_number(&book->maker, cell->column, 1);
    }
}

static void end_cell(ap_workbook *book) {
    ap_cell_state *cell = &book->cell;
    ap_str text = ap_buf_str(&cell->value);
    char out[AP_VALUE_SIZE];
    const char *trouble = NULL;
    book->column = cell->column + 1;
    if (!cell->has_value || (text.len == 0 && cell->type == TYPE_NUMBER)) {
        if (cell->has_formula) {
            put(book, AP_STR_LIT(""), ap_trouble_formula);
        }
        return;
    }
    switch (cell->type) {
    case TYPE_SHARED:
        put_shared(book, text);
        break;
    case TYPE_BOOL:
        text = ap_str_trim(text);
        if (ap_str_equal_word(text, "1") || ap_str_equal_word(text, "true")) {
            put(book, AP_STR_LIT("TRUE"), NULL);
        } else {
            bool fits = ap_str_equal_word(text, "0") || ap_str_equal_word(text, "false");
            put(book, fits ? AP_STR_LIT("FALSE") : text, fits ? NULL : "a yes/no value is damaged");
        }
        break;
    case TYPE_ERROR:
        put(book, text, ap_trouble_error);
        break;
    case TYPE_DATE:
        trouble = ap_value_iso(out, text);
        put(book, ap_str_from(out), trouble);
        break;
    case TYPE_NUMBER:
        put_number(book, text);
        break;
    default:
        text.len = text.len > 0 ? ap_xlsx_unescape(cell->value.ptr, text.len) : 0;
        put(book, text, cell->value.status == AP_E_LIMIT ? book->maker.cell_long : NULL);
    }
}

static void sheet_end(void *context, ap_xml *xml, int state) {
    ap_workbook *book = context;
    if (state == SHEET_CELL) {
        end_cell(book);
    } else if (state == SHEET_ROW) {
        bool backward = book->ready_line <= book->position;
        book->position = backward ? book->position : book->ready_line;
        if (!ap_row_maker_is_blank(&book->maker)) {
            if (backward) {
                ap_row_maker_trouble(&book->maker, "the sheet's rows are out of order", 0);
            }
            book->row_ready = true;
            ap_xml_pause(xml);
        }
    }
}

ap_status ap_xlsx_select(ap_workbook *book, ap_error *err) {
    const ap_xml_handler handler = {.start = sheet_start, .end = sheet_end, .text = sheet_text};
    return ap_xml_open(&book->xml, book->package, book->sheets[book->sheet].part, &handler, book, err);
}
