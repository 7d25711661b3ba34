/* .ods: the rows of one sheet (ODF 1.3 part 3: 9.1 tables, 19.385 office:value-type and its values, 6.1 white space).
 *
 * Only what stands at a cell's own place is read: tracked changes, forms, shapes and tables within cells are other
 * elements and are skipped with all they hold; so are annotations, notes and the spoken form of a text. Repeated rows and
 * cells are counted, not copied; those behind the last one that holds anything never come to be. */
#include "text/workbook_parts.h"

enum {
    ODS_ROOT = 1,
    ODS_BODY,
    ODS_SPREADSHEET,
    ODS_TABLE,
    ODS_GROUP,
    ODS_ROW,
    ODS_CELL,
    ODS_COVERED,
    ODS_LIST,
    ODS_PARAGRAPH,
    ODS_SPAN
};

enum {
    TYPE_NONE = 0,
    TYPE_STRING = 's',
    TYPE_FLOAT = 'f',
    TYPE_PERCENT = '%',
    TYPE_DATE = 'd',
    TYPE_TIME = 't',
    TYPE_BOOL = 'b'
};

static int64_t repeat_of(const char **attributes, const char *name, int64_t most) {
    const char *text = ap_xml_attribute(attributes, AP_XML_TABLE, name);
    int64_t count = 1;
    if (!text || !ap_str_to_int64(&count, ap_str_from(text)) || count < 1) {
        return 1;
    }
    return count < most ? count : most;
}

/* ---- a cell begins ---- */

static void set_value(ap_cell_state *cell, const char *text) {
    if (text) {
        cell->has_value = true;
        ap_text_append(&cell->value, ap_str_from(text));
    }
}

static void start_typed(ap_cell_state *cell, const char *type, const char **attributes) {
    static const struct {
        const char *word, *value;
        char type;
    } types[] = {{"float", "value", TYPE_FLOAT},         {"currency", "value", TYPE_FLOAT},
                 {"percentage", "value", TYPE_PERCENT},  {"date", "date-value", TYPE_DATE},
                 {"time", "time-value", TYPE_TIME},      {"boolean", "boolean-value", TYPE_BOOL},
                 {"string", "string-value", TYPE_STRING}};
    for (size_t i = 0; i < sizeof types / sizeof types[0]; i++) {
        if (strcmp(types[i].word, type) == 0) {
            cell->type = types[i].type;
            set_value(cell, ap_xml_attribute(attributes, AP_XML_OFFICE, types[i].value));
            return;
        }
    }
    cell->type = TYPE_STRING;
}

static void start_cell(ap_workbook *book, const char **attributes) {
    ap_cell_state *cell = &book->cell;
    cell->column = book->column;
    cell->repeat = (size_t)repeat_of(attributes, "number-columns-repeated", AP_SHEET_COLUMNS);
    book->column += book->column < AP_SHEET_COLUMNS ? cell->repeat : 0;
    cell->type = TYPE_NONE;
    cell->has_value = cell->has_shown = cell->space_pending = false;
    ap_buf_clear(&cell->value);
    ap_buf_clear(&cell->shown);
    cell->has_formula = ap_xml_attribute(attributes, AP_XML_TABLE, "formula") != NULL;
    const char *marked = ap_xml_attribute(attributes, AP_XML_CALCEXT, "value-type");
    cell->is_error = marked && strcmp(marked, "error") == 0;
    const char *type = ap_xml_attribute(attributes, AP_XML_OFFICE, "value-type");
    if (type) {
        start_typed(cell, type, attributes);
    }
}

/* ---- text of a cell ---- */

static void put_text(ap_cell_state *cell, ap_str text) {
    if (cell->space_pending) {
        ap_text_append(&cell->shown, AP_STR_LIT(" "));
        cell->space_pending = false;
    }
    ap_text_append(&cell->shown, text);
}

/* Runs of white space are one blank, none at a paragraph's ends (6.1.2); a blank waits for what follows it. */
static void collapse(ap_cell_state *cell, ap_str bytes) {
    size_t from = 0;
    for (size_t i = 0; i <= bytes.len; i++) {
        bool space = i < bytes.len &&
                     (bytes.ptr[i] == ' ' || bytes.ptr[i] == '\t' || bytes.ptr[i] == '\n' || bytes.ptr[i] == '\r');
        if (i < bytes.len && !space) {
            continue;
        }
        if (i > from) {
            put_text(cell, (ap_str){bytes.ptr + from, i - from});
        }
        bool at_start = cell->shown.len == 0 || cell->shown.ptr[cell->shown.len - 1] == '\n';
        cell->space_pending = cell->space_pending || (space && !at_start);
        from = i + 1;
    }
}

static void put_spaces(ap_cell_state *cell, const char **attributes) {
    const char *text = ap_xml_attribute(attributes, AP_XML_TEXT, "c");
    int64_t count = 1;
    if (text && (!ap_str_to_int64(&count, ap_str_from(text)) || count < 0)) {
        count = 1;
    }
    for (int64_t i = 0; i < count && cell->shown.status == AP_OK; i++) {
        put_text(cell, AP_STR_LIT(" "));
    }
}

static int start_in_text(ap_workbook *book, ap_xml_tag tag, const char **attributes) {
    static const char *const hidden[] = {"note", "ruby-text", "bibliography-mark", "tracked-changes"};
    if (tag.space != AP_XML_TEXT) {
        return AP_XML_SKIP;
    }
    if (strcmp(tag.local, "s") == 0) {
        put_spaces(&book->cell, attributes);
    } else if (strcmp(tag.local, "tab") == 0) {
        put_text(&book->cell, AP_STR_LIT("\t"));
    } else if (strcmp(tag.local, "line-break") == 0) {
        book->cell.space_pending = false;
        put_text(&book->cell, AP_STR_LIT("\n"));
    } else {
        for (size_t i = 0; i < sizeof hidden / sizeof hidden[0]; i++) {
            if (strcmp(tag.local, hidden[i]) == 0) {
                return AP_XML_SKIP;
            }
        }
        return ODS_SPAN;
    }
    return AP_XML_SKIP;
}

static int start_in_cell(ap_workbook *book, ap_xml_tag tag) {
    if (tag.space != AP_XML_TEXT) {
        return AP_XML_SKIP;
    }
    if (strcmp(tag.local, "list") == 0 || strcmp(tag.local, "list-item") == 0) {
        return ODS_LIST;
    }
    if (strcmp(tag.local, "p") != 0 && strcmp(tag.local, "h") != 0) {
        return AP_XML_SKIP;
    }
    book->cell.space_pending = false;
    if (book->cell.has_shown) {
        ap_text_append(&book->cell.shown, AP_STR_LIT("\n"));
    }
    book->cell.has_shown = true;
    return ODS_PARAGRAPH;
}

/* ---- elements ---- */

static int start_in_table(ap_workbook *book, ap_xml_tag tag, const char **attributes) {
    static const char *const groups[] = {"table-rows", "table-header-rows", "table-row-group"};
    if (tag.space != AP_XML_TABLE) {
        return AP_XML_SKIP;
    }
    if (strcmp(tag.local, "table-row") == 0) {
        ap_row_maker_clear(&book->maker);
        book->column = 0;
        book->ready_line = book->position + 1;
        book->ready_repeat = repeat_of(attributes, "number-rows-repeated", AP_SHEET_ROWS);
        return ODS_ROW;
    }
    for (size_t i = 0; i < sizeof groups / sizeof groups[0]; i++) {
        if (strcmp(tag.local, groups[i]) == 0) {
            return ODS_GROUP;
        }
    }
    return AP_XML_SKIP;
}

static int ods_start(void *context, ap_xml *xml, int parent, ap_xml_tag tag, const char **attributes) {
    (void)xml;
    ap_workbook *book = context;
    switch (parent) {
    case AP_XML_TOP:
        return ap_xml_is(tag, AP_XML_OFFICE, "document-content") ? ODS_ROOT : AP_XML_SKIP;
    case ODS_ROOT:
        return ap_xml_is(tag, AP_XML_OFFICE, "body") ? ODS_BODY : AP_XML_SKIP;
    case ODS_BODY:
        return ap_xml_is(tag, AP_XML_OFFICE, "spreadsheet") ? ODS_SPREADSHEET : AP_XML_SKIP;
    case ODS_SPREADSHEET:
        return ap_xml_is(tag, AP_XML_TABLE, "table") && book->table++ == book->sheet ? ODS_TABLE : AP_XML_SKIP;
    case ODS_TABLE:
    case ODS_GROUP:
        return start_in_table(book, tag, attributes);
    case ODS_ROW:
        if (ap_xml_is(tag, AP_XML_TABLE, "covered-table-cell")) {
            start_cell(book, attributes); /* for its place */
            return ODS_COVERED;
        }
        if (!ap_xml_is(tag, AP_XML_TABLE, "table-cell")) {
            return AP_XML_SKIP;
        }
        start_cell(book, attributes);
        return ODS_CELL;
    case ODS_CELL:
    case ODS_LIST:
        return start_in_cell(book, tag);
    case ODS_PARAGRAPH:
    case ODS_SPAN:
        return start_in_text(book, tag, attributes);
    default:
        return AP_XML_SKIP;
    }
}

static void ods_text(void *context, ap_xml *xml, int state, ap_str bytes) {
    (void)xml;
    ap_workbook *book = context;
    if (state == ODS_PARAGRAPH || state == ODS_SPAN) {
        collapse(&book->cell, bytes);
    }
}

/* ---- a cell that is whole ---- */

static const char *number_text(char out[AP_VALUE_SIZE], const ap_cell_state *cell, double value) {
    if (cell->type == TYPE_PERCENT) {
        const ap_value_format percent = {.kind = AP_VALUE_PERCENT};
        return ap_value_formatted(out, &percent, value, false);
    }
    ap_value_number(out, value);
    return ap_value_add_shown(out, value, ap_buf_str(&cell->shown));
}

static void end_cell(ap_workbook *book) {
    const ap_cell_state *cell = &book->cell;
    char out[AP_VALUE_SIZE] = "";
    ap_str shown = ap_buf_str(&cell->shown);
    ap_str value = ap_buf_str(&cell->value);
    ap_str text = shown;
    const char *trouble = NULL;
    double number = 0.0;
    bool is_number = false;
    if (cell->is_error || (cell->has_formula && ap_value_is_error(shown))) {
        trouble = ap_trouble_error;
    } else if (cell->type == TYPE_NONE || cell->type == TYPE_STRING || !cell->has_value) {
        bool stored = cell->has_value || cell->has_shown || cell->type == TYPE_STRING;
        text = cell->has_value ? value : shown;
        trouble = cell->has_formula && !stored ? ap_trouble_formula : NULL;
        bool cut = cell->value.status == AP_E_LIMIT || cell->shown.status == AP_E_LIMIT;
        trouble = cut ? book->maker.cell_long : trouble;
    } else if (cell->type == TYPE_BOOL) {
        bool yes = ap_str_equal_word(value, "true");
        bool fits = yes || ap_str_equal_word(value, "false");
        text = yes ? AP_STR_LIT("TRUE") : fits ? AP_STR_LIT("FALSE") : value;
        trouble = fits ? NULL : "a yes/no value is damaged";
    } else if (cell->type == TYPE_DATE || cell->type == TYPE_TIME) {
        trouble = cell->type == TYPE_DATE ? ap_value_iso(out, value) : ap_value_iso_length(out, value);
        text = ap_str_from(out);
    } else if (ap_value_read_number(&number, value)) {
        trouble = number_text(out, cell, number);
        is_number = true;
        text = ap_str_from(out);
    } else {
        text = value;
        trouble = ap_trouble_number;
    }
    ap_row_maker_put(&book->maker, cell->column, cell->repeat, text, trouble);
    if (is_number) {
        ap_row_maker_mark_number(&book->maker, cell->column, cell->repeat);
    }
}

static void end_row(ap_workbook *book, ap_xml *xml) {
    bool blank = ap_row_maker_is_blank(&book->maker);
    int64_t left = AP_SHEET_ROWS - book->position;
    if (!blank && book->ready_repeat > left) {
        ap_xml_fail(xml, AP_E_LIMIT, "its sheet has more than %d rows: divide it", AP_SHEET_ROWS);
        return;
    }
    book->position += book->ready_repeat < left ? book->ready_repeat : left;
    if (!blank) {
        book->row_ready = true;
        ap_xml_pause(xml);
    }
}

static void ods_end(void *context, ap_xml *xml, int state) {
    ap_workbook *book = context;
    if (state == ODS_CELL) {
        end_cell(book);
    } else if (state == ODS_ROW) {
        end_row(book, xml);
    } else if (state == ODS_PARAGRAPH) {
        book->cell.space_pending = false;
    }
}

ap_status ap_ods_select(ap_workbook *book, ap_error *err) {
    const ap_xml_handler handler = {.start = ods_start, .end = ods_end, .text = ods_text};
    book->table = 0;
    return ap_xml_open(&book->xml, book->package, "content.xml", &handler, book, err);
}
