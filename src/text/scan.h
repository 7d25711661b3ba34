/* One row out of a window of bytes: the inner loop of the delimited reader, also used to sniff the delimiter. */
#ifndef AP_TEXT_SCAN_H
#define AP_TEXT_SCAN_H

#include "base/str.h"

enum { AP_SCAN_PAD = 8 }; /* bytes that must be readable behind the window */

typedef enum ap_scan_end {
    AP_SCAN_ROW,   /* a whole row */
    AP_SCAN_MORE,  /* the window ends inside the row and is not the last */
    AP_SCAN_LONG,  /* the row passes row_max: cells hold what fits */
    AP_SCAN_MEMORY /* no memory to unquote a cell */
} ap_scan_end;

typedef enum ap_scan_trouble {
    AP_SCAN_FINE = 0,
    AP_SCAN_QUOTE_OPEN,
    AP_SCAN_QUOTE_TEXT,
    AP_SCAN_CELL_LONG,
    AP_SCAN_CELLS_MANY
} ap_scan_trouble;

typedef struct ap_scan {
    /* The window and the rules. */
    const char *start;
    const char *end;
    bool last; /* nothing follows `end` */
    char delimiter;
    size_t cell_max, row_max, cells_max;
    /* The row. */
    ap_str *cells; /* room for cells_max */
    size_t count;
    const char *stop;    /* where its text ends */
    const char *next;    /* where the next row begins */
    int64_t inner_lines; /* line ends inside quoted cells */
    ap_scan_trouble trouble;
    size_t trouble_cell;
    /* Storage of cells with doubled quotes; the owner frees it. */
    char *scratch;
    size_t scratch_used, scratch_cap;
} ap_scan;

ap_scan_end ap_scan_row(ap_scan *scan);
/* The first LF or CR at or behind `at`; `end` when there is none. Up to AP_SCAN_PAD bytes behind `end` are read. */
const char *ap_scan_line_end(const char *at, const char *end);
/* Whether any byte is NUL or not ASCII. */
bool ap_scan_is_dirty(const char *at, const char *end);
/* The delimiter that splits the window's first rows most evenly; ',' when none does.. */
char ap_scan_sniff_delimiter(const ap_scan *scan);

#endif
