/* One part of a workbook as XML, by expat, in bounded memory.
 *
 * 1. A document type is refused where it begins, so there are no entities to expand and nothing outside to load (no file
 *    of these formats has one). 2. Elements go 100 deep at most. 3. All of expat's memory is counted and ends at 32 MiB:
 *    it keeps a tag whole and every name it has met, so a tag of a gigabyte or a million names would grow it.
 * 4. Names are compared by namespace: the separator cannot stand in XML, so no namespace can feign another. */
#include <expat.h>

#include "text/workbook_parts.h"

enum { CHUNK = 64 * 1024, DEPTH_MAX = 100, MEMORY_MAX = 32 * 1024 * 1024 };
#define SEPARATOR '\x01'

struct ap_xml {
    XML_Parser parser;
    ap_part *part;
    const char *name;
    ap_xml_handler handler;
    void *context;
    size_t memory;
    bool memory_full;
    uint8_t states[DEPTH_MAX];
    size_t depth;
    size_t skipped; /* depth inside a skipped element */
    bool suspended, last;
    ap_error error; /* of a handler; code AP_OK when none */
};

/* Expat's allocator has no context of its own: whose memory it is, is said around every call into it, and each block
 * carries it along. */
typedef struct block {
    ap_xml *owner;
    size_t size;
    max_align_t bytes[];
} block;

static _Thread_local ap_xml *current;

static void *count_realloc(void *ptr, size_t size) {
    block *old = ptr ? (block *)((char *)ptr - offsetof(block, bytes)) : NULL;
    ap_xml *owner = old ? old->owner : current;
    size_t had = old ? old->size : 0;
    if (size > MEMORY_MAX || owner->memory - had + size > MEMORY_MAX) {
        owner->memory_full = true;
        return NULL;
    }
    block *fresh = realloc(old, offsetof(block, bytes) + size);
    if (!fresh) {
        return NULL;
    }
    owner->memory = owner->memory - had + size;
    fresh->owner = owner;
    fresh->size = size;
    return fresh->bytes;
}

static void *count_malloc(size_t size) {
    return count_realloc(NULL, size);
}

static void count_free(void *ptr) {
    if (ptr) {
        block *old = (block *)((char *)ptr - offsetof(block, bytes));
        old->owner->memory -= old->size;
        free(old);
    }
}

/* ---- names ---- */

typedef struct space_name {
    const char *uri;
    size_t len;
    ap_xml_space space;
} space_name;

#define SPACE(uri, space)                                                                                              \
    { uri, sizeof(uri) - 1, space }

/* ECMA-376-1 and -4 (Transitional), ISO/IEC 29500-1 (Strict), ECMA-376-2; ODF 1.3 part 3, section 1.4. */
static const space_name spaces[] = {
    SPACE("http://schemas.openxmlformats.org/spreadsheetml/2006/main", AP_XML_SHEET),
    SPACE("http://purl.oclc.org/ooxml/spreadsheetml/main", AP_XML_SHEET),
    SPACE("urn:oasis:names:tc:opendocument:xmlns:table:1.0", AP_XML_TABLE),
    SPACE("urn:oasis:names:tc:opendocument:xmlns:text:1.0", AP_XML_TEXT),
    SPACE("urn:oasis:names:tc:opendocument:xmlns:office:1.0", AP_XML_OFFICE),
    SPACE("urn:oasis:names:tc:opendocument:xmlns:style:1.0", AP_XML_STYLE),
    SPACE("urn:oasis:names:tc:opendocument:xmlns:manifest:1.0", AP_XML_MANIFEST),
    SPACE("urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0", AP_XML_CALCEXT),
    SPACE("http://schemas.openxmlformats.org/officeDocument/2006/relationships", AP_XML_REL),
    SPACE("http://purl.oclc.org/ooxml/officeDocument/relationships", AP_XML_REL),
    SPACE("http://schemas.openxmlformats.org/package/2006/relationships", AP_XML_PACKAGE),
};

static ap_xml_tag split_name(const char *name) {
    const char *separator = strchr(name, SEPARATOR);
    if (!separator) {
        return (ap_xml_tag){AP_XML_NONE, name};
    }
    size_t len = (size_t)(separator - name);
    for (size_t i = 0; i < sizeof spaces / sizeof spaces[0]; i++) {
        if (spaces[i].len == len && memcmp(spaces[i].uri, name, len) == 0) {
            return (ap_xml_tag){spaces[i].space, separator + 1};
        }
    }
    return (ap_xml_tag){AP_XML_OTHER, separator + 1};
}

bool ap_xml_is(ap_xml_tag tag, ap_xml_space space, const char *local) {
    return tag.space == space && strcmp(tag.local, local) == 0;
}

const char *ap_xml_attribute(const char **attributes, ap_xml_space space, const char *local) {
    for (const char **at = attributes; at[0]; at += 2) {
        if (space == AP_XML_NONE ? strcmp(at[0], local) == 0 : ap_xml_is(split_name(at[0]), space, local)) {
            return at[1];
        }
    }
    return NULL;
}

/* ---- handlers ---- */

void ap_xml_fail(ap_xml *xml, ap_status code, const char *format, ...) {
    if (xml->error.code == AP_OK) {
        va_list args;
        va_start(args, format);
        ap_error_setv(&xml->error, code, format, args);
        va_end(args);
    }
    XML_StopParser(xml->parser, XML_FALSE);
}

void ap_xml_pause(ap_xml *xml) {
    if (xml->error.code == AP_OK) {
        XML_StopParser(xml->parser, XML_TRUE);
    }
}

static void XMLCALL on_start(void *context, const XML_Char *name, const XML_Char **attributes) {
    ap_xml *xml = context;
    if (xml->error.code != AP_OK) {
        return;
    }
    if (xml->depth + xml->skipped >= DEPTH_MAX) {
        ap_xml_fail(xml, AP_E_LIMIT, "its part '%s' nests elements more than %d deep", xml->name, DEPTH_MAX);
        return;
    }
    int state = AP_XML_SKIP;
    if (xml->skipped == 0) {
        int parent = xml->depth == 0 ? AP_XML_TOP : xml->states[xml->depth - 1];
        state = xml->handler.start(xml->context, xml, parent, split_name(name), attributes);
    }
    if (state == AP_XML_SKIP) {
        xml->skipped++;
    } else {
        xml->states[xml->depth++] = (uint8_t)state;
    }
}

static void XMLCALL on_end(void *context, const XML_Char *name) {
    (void)name;
    ap_xml *xml = context;
    if (xml->error.code != AP_OK) {
        return;
    }
    if (xml->skipped > 0) {
        xml->skipped--;
        return;
    }
    xml->depth--;
    if (xml->handler.end) {
        xml->handler.end(xml->context, xml, xml->states[xml->depth]);
    }
}

static void XMLCALL on_text(void *context, const XML_Char *bytes, int len) {
    ap_xml *xml = context;
    if (xml->error.code == AP_OK && xml->skipped == 0 && xml->depth > 0 && xml->handler.text) {
        xml->handler.text(xml->context, xml, xml->states[xml->depth - 1], (ap_str){bytes, (size_t)len});
    }
}

static void XMLCALL on_doctype(void *context, const XML_Char *name, const XML_Char *system, const XML_Char *public_id,
                               int has_internal) {
    (void)name, (void)system, (void)public_id, (void)has_internal;
    ap_xml *xml = context;
    ap_xml_fail(xml, AP_E_INPUT, "its part '%s' has a document type, which no workbook needs: it is refused",
                xml->name);
}

/* ---- running ---- */

ap_status ap_xml_open(ap_xml **out, ap_package *package, const char *part, const ap_xml_handler *handler, void *context,
                      ap_error *err) {
    static const XML_Memory_Handling_Suite memory = {count_malloc, count_realloc, count_free};
    static const XML_Char separator[] = {SEPARATOR, '\0'};
    ap_xml *xml = calloc(1, sizeof *xml);
    if (!xml) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a part of a workbook");
    }
    xml->name = part;
    xml->handler = *handler;
    xml->context = context;
    ap_status status = ap_part_open(&xml->part, package, part, err);
    if (status == AP_OK) {
        current = xml;
        xml->parser = XML_ParserCreate_MM(NULL, &memory, separator);
        current = NULL;
        status = xml->parser ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for a part of a workbook");
    }
    if (status != AP_OK) {
        ap_xml_close(xml);
        return status;
    }
    XML_SetUserData(xml->parser, xml);
    XML_SetElementHandler(xml->parser, on_start, on_end);
    XML_SetCharacterDataHandler(xml->parser, on_text);
    XML_SetStartDoctypeDeclHandler(xml->parser, on_doctype);
    *out = xml;
    return AP_OK;
}

void ap_xml_close(ap_xml *xml) {
    if (xml) {
        current = xml;
        XML_ParserFree(xml->parser);
        current = NULL;
        ap_part_close(xml->part);
        free(xml);
    }
}

static ap_status xml_error(const ap_xml *xml, ap_error *err) {
    if (xml->error.code != AP_OK) {
        return ap_error_set(err, xml->error.code, "%s", xml->error.text);
    }
    if (xml->memory_full) {
        return ap_error_set(err, AP_E_LIMIT, "its part '%s' has a tag or a set of names past %d MiB", xml->name,
                            MEMORY_MAX >> 20);
    }
    enum XML_Error code = XML_GetErrorCode(xml->parser);
    if (code == XML_ERROR_NO_MEMORY) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for its part '%s'", xml->name);
    }
    return ap_error_set(err, AP_E_INPUT, "its part '%s' is damaged: %s at line %lu, column %lu", xml->name,
                        XML_ErrorString(code), (unsigned long)XML_GetCurrentLineNumber(xml->parser),
                        (unsigned long)XML_GetCurrentColumnNumber(xml->parser));
}

static ap_status parse_more(enum XML_Status *state, ap_xml *xml, ap_error *err) {
    if (xml->suspended) {
        *state = XML_ResumeParser(xml->parser);
        return AP_OK;
    }
    size_t got = 0;
    void *chunk = XML_GetBuffer(xml->parser, CHUNK);
    if (!chunk) {
        *state = XML_STATUS_ERROR;
        return AP_OK;
    }
    ap_status status = ap_part_read(xml->part, chunk, CHUNK, &got, err);
    if (status == AP_OK) {
        xml->last = got == 0;
        *state = XML_ParseBuffer(xml->parser, (int)got, xml->last);
    }
    return status;
}

ap_status ap_xml_run(bool *ended, ap_xml *xml, ap_error *err) {
    enum XML_Status state = XML_STATUS_OK;
    current = xml;
    ap_status status = AP_OK;
    do {
        status = parse_more(&state, xml, err);
        xml->suspended = state == XML_STATUS_SUSPENDED;
    } while (status == AP_OK && state == XML_STATUS_OK && !xml->last);
    current = NULL;
    if (status == AP_OK && (state == XML_STATUS_ERROR || xml->error.code != AP_OK)) {
        status = xml_error(xml, err);
    }
    *ended = status == AP_OK && !xml->suspended && xml->last;
    return status;
}

ap_status ap_xml_read(ap_package *package, const char *part, const ap_xml_handler *handler, void *context,
                      ap_error *err) {
    ap_xml *xml = NULL;
    bool ended = false;
    ap_status status = ap_xml_open(&xml, package, part, handler, context, err);
    while (status == AP_OK && xml && !ended) {
        status = ap_xml_run(&ended, xml, err);
    }
    ap_xml_close(xml);
    return status;
}
