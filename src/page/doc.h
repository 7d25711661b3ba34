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
    bool is_part; /* it stands below a heading of level 2 somewhere else */
    bool carried; /* printed to be carried along: its tables are set larger on paper */
} ap_doc_head;

ap_doc *ap_doc_new(ap_arena *arena, const ap_doc_head *head); /* NULL only when memory is out */

void ap_doc_carry(ap_doc *doc); /* sets `carried` */

/* Section: `id` is an anchor (a-z 0-9 -; other characters become '-', a repeated one gets a number), level 2 or 3 (the
 * title is 1). */
void ap_doc_section(ap_doc *doc, int level, ap_str id, ap_str heading);
void ap_doc_page_break(ap_doc *doc);              /* on paper only */
void ap_doc_answer(ap_doc *doc, ap_str sentence); /* the one sentence on top of a section */
ap_str ap_doc_first_answer(const ap_doc *doc);    /* none when there is none */
bool ap_doc_has_table(const ap_doc *doc);
void ap_doc_paragraph(ap_doc *doc, ap_str sentence);
void ap_doc_caution(ap_doc *doc, ap_str sentence);
void ap_doc_list_item(ap_doc *doc, ap_str text); /* items in a row make one list */
/* A line of "look at these first": a word for the class, the pick (link) and what it says. */
void ap_doc_alert(ap_doc *doc, ap_str tag, ap_str pick, ap_str text);
/* A key figure of the first page: label "Heavier than planned by more than 10 %", value "18 %", note "23 of 127 weighed
 * picks; last month 22 %". Tiles in a row make one group. */
void ap_doc_tile(ap_doc *doc, ap_str label, ap_str value, ap_str note);
/* A message in big type: what to do, the pick it comes from (may be blank), and the evidence below it. */
void ap_doc_message(ap_doc *doc, ap_str text, ap_str pick, ap_str evidence);
/* A line that leads to another page of the same folder. `href` is relative ("writeups/7.html", "#trend"): letters, digits
 * and . _ - / # only, no leading slash, no ".." but one "../" in front, no scheme; anything else is written as plain text without a link. */
void ap_doc_link(ap_doc *doc, ap_str text, ap_str href);
/* Says where a pick's own page or row lies: every alert and AP_CELL_PICK cell with that name links there. Same rule for
 * `href`. May be called at any time before writing. */
void ap_doc_pick_page(ap_doc *doc, ap_str pick, ap_str href);
/* A figure's place: svg is trusted output of our own figure/ room, already made safe to inline; `missing` says in words
 * why there is none (then svg is none). */
void ap_doc_figure(ap_doc *doc, ap_str id, ap_str title, ap_str description, ap_str svg, ap_str missing);
/* Text that stays folded away behind `summary` ("How this was worked out" when blank); the calls up to _end go inside. */
void ap_doc_working_begin(ap_doc *doc, ap_str summary);
void ap_doc_working_end(ap_doc *doc);

typedef enum ap_cell_kind {
    AP_CELL_TEXT,
    AP_CELL_PICK,     /* a pick's name: set in tabular type, linked where a page for it exists */
    AP_CELL_COUNT,    /* whole number */
    AP_CELL_NUMBER,   /* plain number with `digits` decimals */
    AP_CELL_RATIO,    /* measured / planned: on pages what it is above or below, "+5 %"; in CSV the ratio */
    AP_CELL_PERCENT,  /* share of 1, written as % without decimals unless `digits` */
    AP_CELL_QUANTITY, /* SI value of `dim`; `digits` decimals when above 0, else as many as its unit deserves */
    AP_CELL_DATE
} ap_cell_kind;

/* Of a QUANTITY: a load that is worked out, neither planned nor read, rounded on pages as its uncertainty allows (ap_number_about). */
enum { AP_DIGITS_ABOUT = -1 };

typedef struct ap_column {
    ap_str key;   /* stable name for CSV headers and ids: "median_ratio" */
    ap_str label; /* what a person reads */
    ap_cell_kind kind;
    ap_dim dim;
    bool small; /* in/cm instead of ft/m */
    int digits;
} ap_column;

/* NULL when memory is out; the calls below then do nothing. */
ap_table *ap_doc_table(ap_doc *doc, ap_str id, ap_str caption, const ap_column *columns, size_t count);
void ap_table_row(ap_table *table);
/* Cells in column order; a blank (NaN, none) is written as an em dash on pages and empty in CSV. */
void ap_table_text(ap_table *table, ap_str text);
/* A TEXT or PICK cell that leads to `href` (same rule as ap_doc_link). */
void ap_table_link(ap_table *table, ap_str text, ap_str href);
void ap_table_value(ap_table *table, double value); /* COUNT, NUMBER, RATIO, PERCENT, QUANTITY */
/* The same in words of its own on pages ("+3", "new"), as the number in CSV. The words are short: AP_NUMBER_SIZE. */
void ap_table_value_as(ap_table *table, double value, ap_str words);
void ap_table_date(ap_table *table, ap_date date);
/* Says that rows may be marked, so that CSV has the column even when none is; before the first mark. */
void ap_table_has_marks(ap_table *table);
/* Marks the row: a word for the reader ("over chart") that the writers show with more than colour; optional. */
void ap_table_row_mark(ap_table *table, ap_str mark);

/* Makes the row a place to link to: "#ID". */
void ap_table_row_id(ap_table *table, ap_str id);
/* Said in place of the rows when there are none: "no pick passed the limits"; without it a plain sentence. */
void ap_table_empty(ap_table *table, ap_str sentence);

/* printf into the document's arena, for building sentences. */
ap_str ap_doc_printf(ap_doc *doc, const char *format, ...) AP_PRINTF(2, 3);
/* A quantity as a person reads it in the document's units: "4,850 lb", "2,200 kg", "18 ft 6 in", "61 cm". */
ap_str ap_doc_quantity(ap_doc *doc, ap_dim dim, double si, bool small);
/* A load that is worked out, neither planned nor read, rounded as its uncertainty allows (ap_number_about): "1,150 lb". */
ap_str ap_doc_about(ap_doc *doc, ap_dim dim, double si);
/* The unit alone ("lb", "m"), for a sentence or a figure's axis. */
ap_str ap_doc_unit(const ap_doc *doc, ap_dim dim, bool small);
ap_unit_system ap_doc_units(const ap_doc *doc);
ap_str ap_doc_count(ap_doc *doc, double count);               /* "1,204" */
ap_str ap_doc_number(ap_doc *doc, double value, int digits);  /* "1,204.50" */
ap_str ap_doc_percent(ap_doc *doc, double share, int digits); /* 0.184 -> "18 %" */
ap_str ap_doc_date(ap_doc *doc, ap_date date);                /* "2026-10-14" */

#endif
