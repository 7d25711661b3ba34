/* .xlsx: from the package's relationships to the workbook part, its sheets, its styles and shared texts.
 *
 * Parts are found as ECMA-376-2 clause 9 wants it: by relationships, whatever the parts are called. A relationship's type
 * counts by its last word, which Transitional and Strict share ("/worksheet"). Links to the outside are not followed. */
#include "text/workbook_parts.h"

enum { LINKS_MAX = 4096 };

typedef struct link {
    const char *id, *type, *part; /* part: NULL when it points outside */
} link;

typedef struct opening {
    ap_workbook *book;
    const char *base; /* the part the relationships belong to: "" or "xl/workbook.xml" */
    link *links;
    size_t link_count;
    size_t sheet_skipped; /* sheets that are no worksheets */
} opening;

/* ---- names of parts ---- */

static int hex_digit(char c) {
    return c >= '0' && c <= '9' ? c - '0' : (c | 0x20) >= 'a' && (c | 0x20) <= 'f' ? (c | 0x20) - 'a' + 10 : -1;
}

/* `target` as seen from the part `base`: "/xl/a.xml", "../a.xml", "a%20b.xml". False when it is too long. */
static bool resolve(char out[AP_PART_NAME_MAX], const char *base, const char *target) {
    size_t len = 0;
    const char *slash = strrchr(base, '/');
    if (target[0] == '/') {
        target++;
    } else if (slash) {
        len = (size_t)(slash - base) + 1;
        if (len >= AP_PART_NAME_MAX) {
            return false;
        }
        memcpy(out, base, len);
    }
    while (*target) {
        if (strncmp(target, "./", 2) == 0 && (len == 0 || out[len - 1] == '/')) {
            target += 2;
            continue;
        }
        if (strncmp(target, "../", 3) == 0 && (len == 0 || out[len - 1] == '/')) {
            len -= len > 0;
            while (len > 0 && out[len - 1] != '/') {
                len--;
            }
            target += 3;
            continue;
        }
        if (len + 1 >= AP_PART_NAME_MAX) {
            return false;
        }
        int high = target[0] == '%' ? hex_digit(target[1]) : -1;
        int low = high >= 0 ? hex_digit(target[2]) : -1;
        out[len++] = low >= 0 && (high | low) != 0 ? (char)(high * 16 + low) : *target;
        target += low >= 0 ? 3 : 1;
    }
    out[len] = '\0';
    return len > 0;
}

static bool type_is(const char *type, const char *word) {
    const char *slash = strrchr(type, '/');
    return slash && strcmp(slash + 1, word) == 0;
}

static const link *find_link(const opening *open, const char *id, const char *type) {
    for (size_t i = 0; i < open->link_count; i++) {
        const link *l = &open->links[i];
        if (l->part && (id ? strcmp(l->id, id) == 0 : type_is(l->type, type))) {
            return l;
        }
    }
    return NULL;
}

/* ---- relationships ---- */

enum { RELS_ROOT = 1, RELS_ONE };

static int rels_start(void *context, ap_xml *xml, int parent, ap_xml_tag tag, const char **attributes) {
    opening *open = context;
    if (parent == AP_XML_TOP) {
        return ap_xml_is(tag, AP_XML_PACKAGE, "Relationships") ? RELS_ROOT : AP_XML_SKIP;
    }
    const char *id = ap_xml_attribute(attributes, AP_XML_NONE, "Id");
    const char *type = ap_xml_attribute(attributes, AP_XML_NONE, "Type");
    const char *target = ap_xml_attribute(attributes, AP_XML_NONE, "Target");
    const char *mode = ap_xml_attribute(attributes, AP_XML_NONE, "TargetMode");
    if (parent != RELS_ROOT || !ap_xml_is(tag, AP_XML_PACKAGE, "Relationship") || !id || !type || !target) {
        return AP_XML_SKIP;
    }
    char part[AP_PART_NAME_MAX];
    if ((mode && strcmp(mode, "External") == 0) || !resolve(part, open->base, target)) {
        return RELS_ONE;
    }
    if (open->link_count >= LINKS_MAX) {
        ap_xml_fail(xml, AP_E_LIMIT, "it has more than %d relationships", LINKS_MAX);
        return AP_XML_SKIP;
    }
    ap_arena *arena = &open->book->arena;
    link *l = &open->links[open->link_count++];
    l->id = ap_arena_cstr(arena, ap_str_from(id));
    l->type = ap_arena_cstr(arena, ap_str_from(type));
    l->part = ap_arena_cstr(arena, ap_str_from(part));
    if (!l->id || !l->type || !l->part) {
        ap_xml_fail(xml, AP_E_LIMIT, "its names of parts are too long");
    }
    return RELS_ONE;
}

/* "xl/workbook.xml" -> "xl/_rels/workbook.xml.rels" */
static ap_status read_links(opening *open, const char *base, ap_error *err) {
    char name[AP_PART_NAME_MAX * 2];
    const ap_xml_handler handler = {.start = rels_start};
    const char *slash = strrchr(base, '/');
    int folder = slash ? (int)(slash - base) + 1 : 0;
    snprintf(name, sizeof name, "%.*s_rels/%s.rels", folder, base, base + folder);
    open->base = base;
    open->link_count = 0;
    return ap_xml_read(open->book->package, name, &handler, open, err);
}

/* ---- the workbook part ---- */

enum { BOOK_ROOT = 1, BOOK_SHEETS, BOOK_ONE };

static bool is_true(const char *value) {
    return value && (strcmp(value, "1") == 0 || strcmp(value, "true") == 0 || strcmp(value, "on") == 0);
}

static void add_sheet(opening *open, ap_xml *xml, const char **attributes) {
    const char *name = ap_xml_attribute(attributes, AP_XML_NONE, "name");
    const char *state = ap_xml_attribute(attributes, AP_XML_NONE, "state");
    const char *id = ap_xml_attribute(attributes, AP_XML_REL, "id");
    const link *l = id ? find_link(open, id, NULL) : NULL;
    if (!name || !l) {
        ap_xml_fail(xml, AP_E_INPUT, "its sheet '%.80s' leads to no part: save it anew in the spreadsheet program",
                    name ? name : "");
        return;
    }
    if (!type_is(l->type, "worksheet")) {
        open->sheet_skipped++;
        return;
    }
    ap_error err;
    bool hidden = state && strcmp(state, "visible") != 0;
    if (ap_workbook_add_sheet(open->book, ap_str_from(name), l->part, hidden, &err) != AP_OK) {
        ap_xml_fail(xml, err.code, "%s", err.text);
    }
}

static int book_start(void *context, ap_xml *xml, int parent, ap_xml_tag tag, const char **attributes) {
    opening *open = context;
    if (parent == AP_XML_TOP) {
        if (!ap_xml_is(tag, AP_XML_SHEET, "workbook")) {
            ap_xml_fail(xml, AP_E_INPUT, "it is an office file, but not a spreadsheet workbook");
            return AP_XML_SKIP;
        }
        return BOOK_ROOT;
    }
    if (parent == BOOK_ROOT && ap_xml_is(tag, AP_XML_SHEET, "workbookPr")) {
        open->book->from_1904 = is_true(ap_xml_attribute(attributes, AP_XML_NONE, "date1904"));
    } else if (parent == BOOK_ROOT && ap_xml_is(tag, AP_XML_SHEET, "sheets")) {
        return BOOK_SHEETS;
    } else if (parent == BOOK_SHEETS && ap_xml_is(tag, AP_XML_SHEET, "sheet")) {
        add_sheet(open, xml, attributes);
    }
    return AP_XML_SKIP;
}

static bool ends_with(const char *name, const char *end) {
    size_t len = strlen(name);
    size_t tail = strlen(end);
    return len >= tail && ap_str_equal_nocase((ap_str){name + len - tail, tail}, ap_str_from(end));
}

static ap_status read_all(opening *open, ap_error *err) {
    ap_workbook *book = open->book;
    const ap_xml_handler handler = {.start = book_start};
    ap_status status = read_links(open, "", err);
    if (status != AP_OK) {
        return status;
    }
    const link *main = find_link(open, NULL, "officeDocument");
    if (!main) {
        return ap_error_set(err, AP_E_INPUT, "it is an office file without a workbook in it");
    }
    const char *part = main->part;
    if (ends_with(part, ".bin")) {
        return ap_error_set(err, AP_E_INPUT,
                            "it is a binary workbook (.xlsb): open it in the spreadsheet program and save it as .xlsx, "
                            ".ods or CSV");
    }
    status = read_links(open, part, err);
    status = status == AP_OK ? ap_xml_read(book->package, part, &handler, open, err) : status;
    const link *styles = find_link(open, NULL, "styles");
    const link *shared = find_link(open, NULL, "sharedStrings");
    if (status == AP_OK && styles) {
        status = ap_xlsx_read_styles(book, styles->part, err);
    }
    if (status == AP_OK && shared) {
        status = ap_xlsx_read_shared(book, shared->part, err);
    }
    return status;
}

ap_status ap_xlsx_open(ap_workbook *book, ap_error *err) {
    opening open = {.book = book, .links = calloc(LINKS_MAX, sizeof(link))};
    ap_status status =
        open.links ? read_all(&open, err) : ap_error_set(err, AP_E_MEMORY, "out of memory for a workbook");
    if (status == AP_OK && book->sheet_count == 0) {
        status = ap_error_set(err, AP_E_INPUT, "it has no sheet with cells%s",
                              open.sheet_skipped > 0 ? ", only figures or dialogs" : "");
    }
    free(open.links);
    return status;
}
