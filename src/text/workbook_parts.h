/* What the workbook reader is made of; nobody else includes this. From below: the package (a zip of parts), one part as
 * XML, a cell's value as text, a row, and the two file formats. */
#ifndef AP_TEXT_WORKBOOK_PARTS_H
#define AP_TEXT_WORKBOOK_PARTS_H

#include "base/arena.h"
#include "text/workbook.h"

/* The package (workbook_package.c): what comes out is counted, whatever the zip's own figures claim. */
typedef struct ap_package ap_package;
typedef struct ap_part ap_part;
enum { AP_PART_NAME_MAX = 512 };

AP_MUST_USE ap_status ap_package_open(ap_package **out, const char *path, uint64_t part_max, ap_error *err);
void ap_package_close(ap_package *package);
bool ap_package_has(const ap_package *package, const char *name);
/* Names compare without case, as ECMA-376-2 wants it. */
AP_MUST_USE ap_status ap_part_open(ap_part **out, ap_package *package, const char *name, ap_error *err);
AP_MUST_USE ap_status ap_part_read(ap_part *part, char *bytes, size_t cap, size_t *got, ap_error *err);
void ap_part_close(ap_part *part);

/* XML (workbook_xml.c): expat with namespaces, no document type, bounded depth and memory. An element is known by
 * its namespace, never by its prefix. The handler gives every element a state; an element with state 0 is skipped whole. */
typedef enum ap_xml_space {
    AP_XML_NONE = 0,
    AP_XML_SHEET,   /* SpreadsheetML */
    AP_XML_REL,     /* r:id */
    AP_XML_PACKAGE, /* relationships of a package */
    AP_XML_OFFICE,  /* from here on ODF */
    AP_XML_TABLE,
    AP_XML_TEXT,
    AP_XML_STYLE,
    AP_XML_MANIFEST,
    AP_XML_CALCEXT, /* an extension that marks error values */
    AP_XML_OTHER
} ap_xml_space;

typedef struct ap_xml_tag {
    ap_xml_space space;
    const char *local;
} ap_xml_tag;

typedef struct ap_xml ap_xml;
enum { AP_XML_SKIP = 0, AP_XML_TOP = 255 }; /* AP_XML_TOP: the parent of the root */

typedef struct ap_xml_handler {
    int (*start)(void *context, ap_xml *xml, int parent, ap_xml_tag tag, const char **attributes);
    void (*end)(void *context, ap_xml *xml, int state);                /* may be NULL */
    void (*text)(void *context, ap_xml *xml, int state, ap_str bytes); /* may be NULL; comes in pieces */
} ap_xml_handler;

AP_MUST_USE ap_status ap_xml_open(ap_xml **out, ap_package *package, const char *part, const ap_xml_handler *handler,
                                  void *context, ap_error *err);
/* Reads on until the handler pauses or the part ends. */
AP_MUST_USE ap_status ap_xml_run(bool *ended, ap_xml *xml, ap_error *err);
void ap_xml_close(ap_xml *xml);
void ap_xml_pause(ap_xml *xml); /* from an end handler */
void ap_xml_fail(ap_xml *xml, ap_status code, const char *format, ...) AP_PRINTF(3, 4);
bool ap_xml_is(ap_xml_tag tag, ap_xml_space space, const char *local);
const char *ap_xml_attribute(const char **attributes, ap_xml_space space, const char *local); /* NULL when absent */
/* Opens, runs to the end and closes. */
AP_MUST_USE ap_status ap_xml_read(ap_package *package, const char *part, const ap_xml_handler *handler, void *context,
                                  ap_error *err);

/* Values (workbook_value.c). A function that gives `trouble` gives NULL when there is none. */
enum { AP_VALUE_SIZE = 96 };
typedef enum ap_value_kind {
    AP_VALUE_NUMBER = 0,
    AP_VALUE_PERCENT,
    AP_VALUE_DATE,
    AP_VALUE_TIME,
    AP_VALUE_DATE_TIME,
    AP_VALUE_DURATION
} ap_value_kind;

enum { AP_AFFIX_SIZE = 16 };
typedef struct ap_value_format {
    uint8_t kind;
    bool seconds;               /* seconds are shown */
    uint8_t zeros;              /* digits an integer is filled up to, of a format of zeros only */
    uint8_t thousands;          /* how many times it is shown divided by 1000 */
    char prefix[AP_AFFIX_SIZE]; /* letters shown in front, of a format of zeros only */
    char unit[AP_AFFIX_SIZE];   /* a unit shown behind */
} ap_value_format;

bool ap_value_read_number(double *out, ap_str text); /* a plain or scientific number, finite */
void ap_value_number(char out[AP_VALUE_SIZE], double value);
const char *ap_value_serial(char out[AP_VALUE_SIZE], const ap_value_format *format, double serial, bool from_1904);
const char *ap_value_formatted(char out[AP_VALUE_SIZE], const ap_value_format *format, double value, bool from_1904);
const char *ap_value_iso(char out[AP_VALUE_SIZE], ap_str text);        /* 2026-10-05T14:05:00, 14:05:00 */
const char *ap_value_iso_length(char out[AP_VALUE_SIZE], ap_str text); /* PT14H05M00S */
/* What is shown beside a number adds a unit, letters or leading zeros; `out` holds the number's text. */
const char *ap_value_add_shown(char out[AP_VALUE_SIZE], double value, ap_str shown);
/* "#DIV/0!", "Err:502" */
bool ap_value_is_error(ap_str text);
extern const char ap_trouble_error[], ap_trouble_formula[], ap_trouble_number[], ap_trouble_shown[];

/* Number formats (workbook_format.c; ECMA-376-1 18.8.30 and 18.8.31). */
void ap_value_format_code(ap_value_format *out, ap_str code);
void ap_value_format_builtin(ap_value_format *out, unsigned id); /* 0..49 */
enum { AP_FORMAT_BUILTIN = 50 };

/* A row in the making (workbook_row.c). */
typedef struct ap_row_span {
    size_t at, len;
    bool number;
} ap_row_span;

typedef struct ap_row_maker {
    size_t cell_max, row_max, cells_max;
    ap_buf text, raw;
    ap_row_span *spans; /* cells_max of them, `count` in use */
    ap_str *cells;
    size_t count;
    const char *trouble;
    size_t trouble_cell;
    char cell_long[64], row_long[64], cells_many[64];
} ap_row_maker;

AP_MUST_USE ap_status ap_row_maker_init(ap_row_maker *maker, const ap_workbook_options *options, ap_error *err);
void ap_row_maker_release(ap_row_maker *maker);
void ap_row_maker_clear(ap_row_maker *maker);
/* `repeat` cells from `column` on. An empty text without trouble leaves no mark. */
void ap_row_maker_put(ap_row_maker *maker, size_t column, size_t repeat, ap_str text, const char *trouble);
void ap_row_maker_mark_number(ap_row_maker *maker, size_t column, size_t repeat); /* cells that were put */
bool ap_row_maker_is_blank(const ap_row_maker *maker);
void ap_row_maker_trouble(ap_row_maker *maker, const char *trouble, size_t cell); /* the first one stays */
AP_MUST_USE ap_status ap_row_maker_finish(ap_row *row, ap_row_maker *maker, int64_t line, ap_error *err);
/* Appends with ap_buf's limit, cut at a character's edge. */
void ap_text_append(ap_buf *buf, ap_str text);

/* Shared texts of .xlsx: one buffer and where each ends. */
typedef struct ap_shared_texts {
    ap_buf bytes;
    ap_buf ends; /* uint32_t each */
} ap_shared_texts;

typedef struct ap_sheet {
    ap_str name;
    const char *part; /* .xlsx */
    bool hidden;
} ap_sheet;

enum { AP_SHEETS_MAX = 1024, AP_SHEET_ROWS = 1048576, AP_SHEET_COLUMNS = 16384 };

/* The cell that is being read. */
typedef struct ap_cell_state {
    size_t column, repeat;
    ap_buf value; /* what counts */
    ap_buf shown; /* .ods: its paragraphs */
    unsigned style;
    char type;
    bool has_value, has_formula, has_shown, space_pending, is_error;

} ap_cell_state;

struct ap_workbook {
    ap_package *package;
    char *path;
    ap_workbook_options limits;
    bool is_ods;
    ap_arena arena;
    ap_sheet sheets[AP_SHEETS_MAX];
    size_t sheet_count;

    /* .xlsx */
    bool from_1904;
    ap_shared_texts shared;
    ap_value_format *formats;
    uint32_t *format_ids;
    size_t format_count;
    uint16_t *styles; /* a cell's style -> formats[] */
    size_t style_count;

    /* The selected sheet. */
    bool selected;
    size_t sheet;
    ap_xml *xml;
    ap_row_maker maker;
    ap_cell_state cell;
    size_t column;    /* where the next cell stands when it does not say */
    int64_t position; /* the row being read; .ods: rows read so far */
    bool row_ready;   /* maker holds row `ready_line`, `ready_repeat` times */
    int64_t ready_line, ready_repeat;
    int64_t line;    /* what comes next */
    bool gave_blank; /* the row last given is none of the maker's */
    bool ended;
    size_t table; /* .ods: tables met so far */
};

/* The two formats. */
AP_MUST_USE ap_status ap_xlsx_open(ap_workbook *book, ap_error *err);
AP_MUST_USE ap_status ap_xlsx_read_shared(ap_workbook *book, const char *part, ap_error *err);
AP_MUST_USE ap_status ap_xlsx_read_styles(ap_workbook *book, const char *part, ap_error *err);
AP_MUST_USE ap_status ap_xlsx_select(ap_workbook *book, ap_error *err);
AP_MUST_USE ap_status ap_ods_open(ap_workbook *book, ap_error *err);
AP_MUST_USE ap_status ap_ods_select(ap_workbook *book, ap_error *err);
AP_MUST_USE ap_status ap_workbook_add_sheet(ap_workbook *book, ap_str name, const char *part, bool hidden,
                                            ap_error *err);
/* Shared and inline texts: _x000D_ stands for a character (ECMA-376-1 22.9.2.19, ST_Xstring). In place. */
size_t ap_xlsx_unescape(char *text, size_t len);

#endif
