/* One document model: what a page says, independent of how it is written. Answer first, then a figure, then the table
 * behind it, then how it was worked out.
 *
 * A document and everything in it lives in one arena. Texts given in are copied and are plain text: all escaping is the
 * writers'. Quantities go in as SI with their dimension; the writers print them in the document's units. Building never
 * returns a status: a failure sticks in the arena and is reported by the writer. */
#ifndef AP_PAGE_DOC_H
#define AP_PAGE_DOC_H

#include "base/arena.h"
#include "base/calendar.h"
#include "base/units.h"

typedef struct ap_doc ap_doc;
typedef struct ap_table ap_table;

typedef struct ap_doc_head {
    ap_str title;    /* "Monthly review, October 2026" */
    ap_str subtitle; /* company, period */
    ap_str book;     /* the book's file name */
    ap_str period;
    ap_str version;
    ap_str date_order;
    ap_str made_on; /* ISO date */
    ap_unit_system units;
} ap_doc_head;

ap_doc *ap_doc_new(ap_arena *arena, const ap_doc_head *head); /* NULL only when memory is out */

/* Section: `id` is an anchor (a-z 0-9 -), level 2 or 3 (the title is 1). */
void ap_doc_section(ap_doc *doc, int level, ap_str id, ap_str heading);
void ap_doc_page_break(ap_doc *doc); /* on paper only */
void ap_doc_answer(ap_doc *doc, ap_str sentence);    /* the one sentence on top of a section */
void ap_doc_paragraph(ap_doc *doc, ap_str sentence);
void ap_doc_caution(ap_doc *doc, ap_str sentence);
void ap_doc_list_item(ap_doc *doc, ap_str text); /* items in a row make one list */
/* A line of "look at these first": a word for the class, the pick (link) and what it says. */
void ap_doc_alert(ap_doc *doc, ap_str tag, ap_str pick, ap_str text);
/* A figure's place: svg is trusted output of our own figure/ room, already made safe to inline; `missing` says in words
 * why there is none (then svg is none). */
void ap_doc_figure(ap_doc *doc, ap_str id, ap_str title, ap_str description, ap_str svg, ap_str missing);
/* Text that stays folded away behind "how this was worked out"; the calls up to _end go inside. */
void ap_doc_working_begin(ap_doc *doc, ap_str summary);
void ap_doc_working_end(ap_doc *doc);

typedef enum ap_cell_kind {
    AP_CELL_TEXT,
    AP_CELL_PICK,     /* a pick's name: set in tabular type, linked where a page for it exists */
    AP_CELL_COUNT,    /* whole number */
    AP_CELL_NUMBER,   /* plain number with `digits` decimals */
    AP_CELL_RATIO,    /* measured / planned, two decimals */
    AP_CELL_PERCENT,  /* share of 1, written as % without decimals unless `digits` */
    AP_CELL_QUANTITY, /* SI value of `dim` */
    AP_CELL_DATE
} ap_cell_kind;

typedef struct ap_column {
    ap_str key;   /* stable name for CSV headers and ids: "median_ratio" */
    ap_str label; /* what a person reads */
    ap_cell_kind kind;
    ap_dim dim;
    bool small;   /* in/cm instead of ft/m */
    int digits;
} ap_column;

ap_table *ap_doc_table(ap_doc *doc, ap_str id, ap_str caption, const ap_column *columns, size_t count);
void ap_table_row(ap_table *table);
/* Cells in column order; a blank (NaN, none) is written as an em dash on pages and empty in CSV. */
void ap_table_text(ap_table *table, ap_str text);
void ap_table_value(ap_table *table, double value); /* COUNT, NUMBER, RATIO, PERCENT, QUANTITY */
void ap_table_date(ap_table *table, ap_date date);
/* Marks the row: a word for the reader ("over chart") that the writers show with more than colour; optional. */
void ap_table_row_mark(ap_table *table, ap_str mark);

/* printf into the document's arena, for building sentences. */
ap_str ap_doc_printf(ap_doc *doc, const char *format, ...) AP_PRINTF(2, 3);
/* A quantity as a person reads it in the document's units: "4,850 lb", "2,200 kg", "18 ft 6 in", "61 cm". */
ap_str ap_doc_quantity(ap_doc *doc, ap_dim dim, double si, bool small);

#endif
