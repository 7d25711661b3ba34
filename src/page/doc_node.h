/* Inside of the document model; for the writers of this room only. */
#ifndef AP_PAGE_DOC_NODE_H
#define AP_PAGE_DOC_NODE_H

#include "page/doc.h"

typedef enum ap_node_kind {
    AP_NODE_SECTION,
    AP_NODE_BREAK,
    AP_NODE_ANSWER,
    AP_NODE_PARAGRAPH,
    AP_NODE_CAUTION,
    AP_NODE_ITEM,
    AP_NODE_ALERT,
    AP_NODE_TILE,
    AP_NODE_MESSAGE,
    AP_NODE_LINK,
    AP_NODE_FIGURE,
    AP_NODE_TABLE,
    AP_NODE_WORKING_BEGIN,
    AP_NODE_WORKING_END
} ap_node_kind;

typedef struct ap_node ap_node;
struct ap_node {
    ap_node *next;
    ap_node_kind kind;
    int level;       /* of a section */
    ap_str id;       /* section, figure, table */
    ap_str text;     /* sentence, heading, title, tile value */
    ap_str tag;      /* alert word, tile label, link address, evidence of a message */
    ap_str note;     /* alert or message pick, tile note, figure description */
    ap_str svg;      /* figure */
    ap_str missing;  /* figure: why there is none */
    ap_table *table; /* table */
};

typedef struct ap_cell {
    double value;
    ap_date date;
    ap_str text;
    ap_str href; /* none = no link of its own */
} ap_cell;

typedef struct ap_row ap_row;
struct ap_row {
    ap_row *next;
    ap_str mark;
    ap_str id;
    size_t filled;
    ap_cell *cells;
};

struct ap_table {
    ap_doc *doc;
    ap_str id;
    ap_str caption;
    ap_str empty;
    ap_column *columns;
    size_t column_count;
    size_t row_count;
    bool has_marks; /* rows may be marked */
    bool marked;    /* some row is */
    ap_row *first;
    ap_row *last;
};

typedef struct ap_pick_link ap_pick_link;
struct ap_pick_link {
    ap_pick_link *next;
    uint32_t pick;
    ap_str href;
};

enum { AP_DOC_LINK_SLOTS = 1024 };

struct ap_doc {
    ap_arena *arena;
    ap_doc_head head;
    ap_node *first;
    ap_node *last;
    int working_depth;
    bool has_section;
    ap_intern *ids;
    ap_intern *picks;
    ap_pick_link *links[AP_DOC_LINK_SLOTS];
};

/* A node at the end of the document; NULL when memory is out. */
ap_node *ap_doc_add(ap_doc *doc, ap_node_kind kind, ap_str text);
/* An id made of a-z 0-9 - that no earlier part of the document has. */
ap_str ap_doc_make_id(ap_doc *doc, ap_str wanted);
/* Where a pick's page lies, AP_STR_NONE when there is none. */
ap_str ap_doc_pick_href(const ap_doc *doc, ap_str pick);
bool ap_doc_href_allowed(ap_str href);
/* Reports a failure that stuck while the document was built. */
AP_MUST_USE ap_status ap_doc_check(const ap_doc *doc, ap_error *err);
/* The caller's summary, or "How this was worked out". */
ap_str ap_doc_working_title(const ap_node *node);
/* "US (lb, ft)" or "metric (kg, m)" */
const char *ap_doc_units_text(ap_unit_system units);

#endif
