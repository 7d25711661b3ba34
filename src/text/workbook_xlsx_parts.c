/* .xlsx: the number formats of the cells' styles, and the texts the cells share. Both are kept; both are bounded. */
#include "base/utf8.h"
#include "text/workbook_parts.h"

enum { FORMATS_MAX = 4096, STYLES_MAX = 65536, SHARED_MAX = 48 * 1024 * 1024 };

/* ---- styles ---- */

enum { STYLE_ROOT = 1, STYLE_FORMATS, STYLE_CELLS };

static ap_value_format *format_slot(ap_workbook *book, uint32_t id) {
    for (size_t i = 0; i < book->format_count; i++) {
        if (book->format_ids[i] == id) {
            return &book->formats[i];
        }
    }
    if (book->format_count == FORMATS_MAX) {
        return NULL;
    }
    book->format_ids[book->format_count] = id;
    return &book->formats[book->format_count++];
}

static bool read_id(uint32_t *out, const char *text) {
    int64_t value = 0;
    if (!text || !ap_str_to_int64(&value, ap_str_from(text)) || value < 0 || value > UINT32_MAX) {
        return false;
    }
    *out = (uint32_t)value;
    return true;
}

static int styles_start(void *context, ap_xml *xml, int parent, ap_xml_tag tag, const char **attributes) {
    ap_workbook *book = context;
    uint32_t id = 0;
    if (tag.space != AP_XML_SHEET) {
        return AP_XML_SKIP;
    }
    if (parent == AP_XML_TOP) {
        return strcmp(tag.local, "styleSheet") == 0 ? STYLE_ROOT : AP_XML_SKIP;
    }
    if (parent == STYLE_ROOT) {
        return strcmp(tag.local, "numFmts") == 0   ? STYLE_FORMATS
               : strcmp(tag.local, "cellXfs") == 0 ? STYLE_CELLS
                                                   : AP_XML_SKIP;
    }
    if (parent == STYLE_FORMATS && strcmp(tag.local, "numFmt") == 0) {
        const char *code = ap_xml_attribute(attributes, AP_XML_NONE, "formatCode");
        bool has_id = read_id(&id, ap_xml_attribute(attributes, AP_XML_NONE, "numFmtId"));
        ap_value_format *slot = has_id && code ? format_slot(book, id) : NULL;
        if (slot) {
            ap_value_format_code(slot, ap_str_from(code));
        } else if (has_id && code) {
            ap_xml_fail(xml, AP_E_LIMIT, "it has more than %d number formats", FORMATS_MAX - AP_FORMAT_BUILTIN);
        }
    } else if (parent == STYLE_CELLS && strcmp(tag.local, "xf") == 0) {
        if (book->style_count == STYLES_MAX) {
            ap_xml_fail(xml, AP_E_LIMIT, "it has more than %d styles of cells", STYLES_MAX);
            return AP_XML_SKIP;
        }
        uint16_t format = 0;
        if (read_id(&id, ap_xml_attribute(attributes, AP_XML_NONE, "numFmtId"))) {
            for (size_t i = 0; i < book->format_count; i++) {
                format = book->format_ids[i] == id ? (uint16_t)i : format;
            }
        }
        book->styles[book->style_count++] = format;
    }
    return AP_XML_SKIP;
}

ap_status ap_xlsx_read_styles(ap_workbook *book, const char *part, ap_error *err) {
    const ap_xml_handler handler = {.start = styles_start};
    book->formats = calloc(FORMATS_MAX, sizeof *book->formats);
    book->format_ids = calloc(FORMATS_MAX, sizeof *book->format_ids);
    book->styles = calloc(STYLES_MAX, sizeof *book->styles);
    if (!book->formats || !book->format_ids || !book->styles) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the styles of a workbook");
    }
    for (uint32_t id = 0; id < AP_FORMAT_BUILTIN; id++) {
        book->format_ids[id] = id;
        ap_value_format_builtin(&book->formats[id], id);
    }
    book->format_count = AP_FORMAT_BUILTIN;
    return ap_xml_read(book->package, part, &handler, book, err);
}

/* ---- shared texts ---- */

static int hex_unit(const char *at) {
    int value = 0;
    for (size_t i = 0; i < 4; i++) {
        char c = at[i];
        int digit = c >= '0' && c <= '9'   ? c - '0'
                    : c >= 'A' && c <= 'F' ? c - 'A' + 10
                    : c >= 'a' && c <= 'f' ? c - 'a' + 10
                                           : -1;
        if (digit < 0) {
            return -1;
        }
        value = value * 16 + digit;
    }
    return value;
}

/* Seven bytes become at most three, so it can be done in place. Half a surrogate pair and NUL become U+FFFD. */
size_t ap_xlsx_unescape(char *text, size_t len) {
    size_t made = 0;
    for (size_t at = 0; at < len;) {
        bool open = text[at] == '_' && len - at >= 7 && text[at + 1] == 'x' && text[at + 6] == '_';
        int unit = open ? hex_unit(text + at + 2) : -1;
        if (unit < 0) {
            text[made++] = text[at++];
            continue;
        }
        bool bad = unit == 0 || (unit >= 0xD800 && unit < 0xE000) || unit >= 0xFFFE;
        char bytes[4];
        size_t size = ap_utf8_put(bytes, bad ? 0xFFFD : (uint32_t)unit);
        memcpy(text + made, bytes, size);
        made += size;
        at += 7;
    }
    return made;
}

enum { SHARED_ROOT = 1, SHARED_ITEM, SHARED_RUN, SHARED_TEXT };

typedef struct shared_reading {
    ap_shared_texts *texts;
    size_t begin, max;
} shared_reading;

static int shared_start(void *context, ap_xml *xml, int parent, ap_xml_tag tag, const char **attributes) {
    (void)xml, (void)attributes;
    shared_reading *reading = context;
    if (tag.space != AP_XML_SHEET) {
        return AP_XML_SKIP;
    }
    switch (parent) {
    case AP_XML_TOP:
        return strcmp(tag.local, "sst") == 0 ? SHARED_ROOT : AP_XML_SKIP;
    case SHARED_ROOT:
        reading->begin = reading->texts->bytes.len;
        return strcmp(tag.local, "si") == 0 ? SHARED_ITEM : AP_XML_SKIP;
    case SHARED_ITEM: /* rPh, how it is spoken, is skipped */
        return strcmp(tag.local, "t") == 0 ? SHARED_TEXT : strcmp(tag.local, "r") == 0 ? SHARED_RUN : AP_XML_SKIP;
    case SHARED_RUN:
        return strcmp(tag.local, "t") == 0 ? SHARED_TEXT : AP_XML_SKIP;
    default:
        return AP_XML_SKIP;
    }
}

static void check_shared(ap_xml *xml, const shared_reading *reading) {
    const ap_shared_texts *texts = reading->texts;
    if (texts->bytes.status == AP_E_MEMORY || texts->ends.status == AP_E_MEMORY) {
        ap_xml_fail(xml, AP_E_MEMORY, "out of memory for the shared texts of a workbook");
    } else if (texts->bytes.status != AP_OK || texts->bytes.len + texts->ends.len > reading->max) {
        ap_xml_fail(xml, AP_E_LIMIT, "its texts take more than %zu MiB: save each sheet as CSV", reading->max >> 20);
    }
}

static void shared_text(void *context, ap_xml *xml, int state, ap_str bytes) {
    shared_reading *reading = context;
    if (state == SHARED_TEXT) {
        ap_buf_append_str(&reading->texts->bytes, bytes);
        check_shared(xml, reading);
    }
}

static void shared_end(void *context, ap_xml *xml, int state) {
    shared_reading *reading = context;
    if (state == SHARED_ITEM) {
        ap_buf *bytes = &reading->texts->bytes;
        if (bytes->len > reading->begin) {
            bytes->len = reading->begin + ap_xlsx_unescape(bytes->ptr + reading->begin, bytes->len - reading->begin);
        }
        uint32_t end = (uint32_t)bytes->len;
        ap_buf_append(&reading->texts->ends, &end, sizeof end);
        check_shared(xml, reading);
    }
}

ap_status ap_xlsx_read_shared(ap_workbook *book, const char *part, ap_error *err) {
    const ap_xml_handler handler = {.start = shared_start, .text = shared_text, .end = shared_end};
    size_t max = book->limits.shared_max > 0 ? book->limits.shared_max : SHARED_MAX;
    max = max < UINT32_MAX / 2 ? max : UINT32_MAX / 2;
    shared_reading reading = {.texts = &book->shared, .max = max};
    ap_buf_init(&book->shared.bytes, max);
    ap_buf_init(&book->shared.ends, max);
    return ap_xml_read(book->package, part, &handler, &reading, err);
}
