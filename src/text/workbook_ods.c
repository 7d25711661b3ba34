/* .ods: what kind of document it is, and its sheets (ODF 1.3 part 3: 3.7 office:spreadsheet, 9.1.2 table:table). */
#include "text/workbook_parts.h"

enum { LIST_ROOT = 1, LIST_STYLES, LIST_STYLE, LIST_BODY, LIST_SPREADSHEET, HIDDEN_MAX = AP_SHEETS_MAX };

typedef struct listing {
    ap_workbook *book;
    ap_str hidden[HIDDEN_MAX]; /* names of styles of tables that are not displayed */
    size_t hidden_count;
    ap_str style; /* the style being read */
    bool seen;    /* a spreadsheet was there */
} listing;

static void add_table(listing *list, ap_xml *xml, const char **attributes) {
    const char *name = ap_xml_attribute(attributes, AP_XML_TABLE, "name");
    const char *style = ap_xml_attribute(attributes, AP_XML_TABLE, "style-name");
    /* What is kept of a linked file is a table whose name is its address. */
    bool hidden = name && strncmp(name, "'file:", 6) == 0;
    for (size_t i = 0; style && i < list->hidden_count; i++) {
        hidden = hidden || ap_str_equal_word(list->hidden[i], style);
    }
    ap_error err;
    if (ap_workbook_add_sheet(list->book, ap_str_from(name ? name : ""), NULL, hidden, &err) != AP_OK) {
        ap_xml_fail(xml, err.code, "%s", err.text);
    }
}

static void start_style(listing *list, const char **attributes) {
    const char *family = ap_xml_attribute(attributes, AP_XML_STYLE, "family");
    const char *name = ap_xml_attribute(attributes, AP_XML_STYLE, "name");
    bool table = family && name && strcmp(family, "table") == 0 && list->hidden_count < HIDDEN_MAX;
    list->style = table ? ap_arena_str(&list->book->arena, ap_str_from(name)) : AP_STR_NONE;
}

static int list_start(void *context, ap_xml *xml, int parent, ap_xml_tag tag, const char **attributes) {
    listing *list = context;
    switch (parent) {
    case AP_XML_TOP:
        return ap_xml_is(tag, AP_XML_OFFICE, "document-content") ? LIST_ROOT : AP_XML_SKIP;
    case LIST_ROOT:
        return ap_xml_is(tag, AP_XML_OFFICE, "automatic-styles") ? LIST_STYLES
               : ap_xml_is(tag, AP_XML_OFFICE, "body")           ? LIST_BODY
                                                                 : AP_XML_SKIP;
    case LIST_STYLES:
        if (!ap_xml_is(tag, AP_XML_STYLE, "style")) {
            return AP_XML_SKIP;
        }
        start_style(list, attributes);
        return LIST_STYLE;
    case LIST_STYLE:
        if (ap_xml_is(tag, AP_XML_STYLE, "table-properties") && list->style.len > 0) {
            const char *display = ap_xml_attribute(attributes, AP_XML_TABLE, "display");
            if (display && strcmp(display, "false") == 0 && list->hidden_count < HIDDEN_MAX) {
                list->hidden[list->hidden_count++] = list->style;
            }
        }
        return AP_XML_SKIP;
    case LIST_BODY:
        list->seen = list->seen || ap_xml_is(tag, AP_XML_OFFICE, "spreadsheet");
        return ap_xml_is(tag, AP_XML_OFFICE, "spreadsheet") ? LIST_SPREADSHEET : AP_XML_SKIP;
    case LIST_SPREADSHEET:
        if (ap_xml_is(tag, AP_XML_TABLE, "table")) {
            add_table(list, xml, attributes);
        }
        return AP_XML_SKIP;
    default:
        return AP_XML_SKIP;
    }
}

/* ---- protection: ODF 1.3 part 2, 4.8.1 manifest:encryption-data ---- */

enum { MANIFEST_ANY = 1 };

static int manifest_start(void *context, ap_xml *xml, int parent, ap_xml_tag tag, const char **attributes) {
    (void)parent, (void)attributes, (void)xml;
    bool *encrypted = context;
    *encrypted = *encrypted || ap_xml_is(tag, AP_XML_MANIFEST, "encryption-data");
    return MANIFEST_ANY;
}

static ap_status check_manifest(ap_workbook *book, ap_error *err) {
    static const char manifest[] = "META-INF/manifest.xml";
    const ap_xml_handler handler = {.start = manifest_start};
    bool encrypted = false;
    if (!ap_package_has(book->package, manifest)) {
        return AP_OK;
    }
    ap_status status = ap_xml_read(book->package, manifest, &handler, &encrypted, err);
    if (status == AP_OK && encrypted) {
        status =
            ap_error_set(err, AP_E_INPUT,
                         "it is protected by a password: open it in the spreadsheet program and save a copy without "
                         "one");
    }
    return status;
}

ap_status ap_ods_open(ap_workbook *book, ap_error *err) {
    const ap_xml_handler handler = {.start = list_start};
    ap_status status = check_manifest(book, err);
    if (status != AP_OK) {
        return status;
    }
    listing *list = calloc(1, sizeof *list);
    if (!list) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a workbook");
    }
    list->book = book;
    status = ap_xml_read(book->package, "content.xml", &handler, list, err);
    if (status == AP_OK && !list->seen) {
        status = ap_error_set(err, AP_E_INPUT, "it is an OpenDocument file, but not a spreadsheet");
    } else if (status == AP_OK && book->sheet_count == 0) {
        status = ap_error_set(err, AP_E_INPUT, "it has no sheet with cells");
    }
    free(list);
    return status;
}
