/* Inside figure/: what the building, the script, the run and the drawing's clean-up share. */
#ifndef AP_FIGURE_PARTS_H
#define AP_FIGURE_PARTS_H

#include "figure/figure.h"

enum {
    AP_FIGURE_COLUMNS_MAX = 16,
    AP_FIGURE_LABEL_MAX = 400, /* characters of a label that reach gnuplot */
    AP_FIGURE_CELL_MAX =
        250, /* in a data row: gnuplot 5.4 cuts a cell at 1023 bytes, in the middle of a letter if it comes so */
    AP_FIGURE_TEXT_MAX = 64 << 20
};

/* Text that grows in the arena, piece by piece. */
typedef struct ap_rope_piece {
    struct ap_rope_piece *next;
    size_t len;
    size_t cap;
    char *bytes;
} ap_rope_piece;

typedef struct ap_rope {
    ap_rope_piece *first;
    ap_rope_piece *last;
} ap_rope;

typedef struct ap_figure_column {
    size_t finite;
    double low;
    double high;
} ap_figure_column;

struct ap_figure {
    ap_figure_set *set;
    ap_figure *next;
    size_t number;
    ap_str plot;
    ap_str id;
    ap_str title;
    ap_str description;
    ap_rope script;    /* variables and blocks as gnuplot statements */
    const char *block; /* the open block; NULL when none is */
    size_t block_count;
    size_t rows;
    ap_figure_column columns[AP_FIGURE_COLUMNS_MAX];
    size_t main_rows;   /* rows of the first block ... */
    size_t main_finite; /* ... and its finite numbers */
    bool broken;        /* a name no plot file can have: a mistake of ours */
    bool tried;         /* was sent to gnuplot */
    ap_str output;
    ap_str narrow; /* none: not asked for, or not drawn */
    ap_str missing;
};

struct ap_figure_set {
    ap_arena *arena;
    ap_figure_format format;
    int text_width;
    bool narrow;
    ap_figure *first;
    ap_figure *last;
    size_t count;
};

void ap_rope_append(ap_arena *arena, ap_rope *rope, const char *bytes, size_t len);

/* Closes the open block and says its rows and limits as variables. */
void ap_figure_close_block(ap_figure *figure);

/* Where a user's text is written down. */
typedef enum ap_figure_quoting {
    AP_FIGURE_QUOTED, /* inside '...' of a gnuplot statement, or "..." of a data row */
    AP_FIGURE_XML     /* between tags */
} ap_figure_quoting;

/* Appends `text` as valid UTF-8 on one line, at most `most` characters and then an ellipsis. Bytes that are no UTF-8 become
 * U+FFFD; control, line-breaking and direction-changing characters a blank; what the quoting cannot hold its look-alike. */
void ap_figure_clean(ap_buf *out, ap_str text, ap_figure_quoting quoting, size_t most);

/* The script that draws `only` (NULL: every figure still to be drawn). */
AP_MUST_USE ap_status ap_figure_script(ap_buf *out, ap_figure_set *set, const ap_figure *only, ap_error *err);

/* Lines of gnuplot's output that are ours: a byte no label can hold on both sides. */
#define AP_FIGURE_MARK "\001afterpick "
#define AP_FIGURE_MARK_END "\001"

/* `in` from where `what` stands in it; none when it does not. */
ap_str ap_figure_find(ap_str in, const char *what);

/* gnuplot's SVG made safe to stand inside a page among others: no prolog, own ids, role, title and description. Refuses
 * (AP_E_CHILD) whatever a drawing of ours cannot hold: scripts, links, handlers, outside references, broken XML. */
AP_MUST_USE ap_status ap_svg_inline(ap_buf *out, ap_str svg, ap_str id, ap_str title, ap_str description,
                                    ap_error *err);

/* The same drawing in fewer bytes: `svg` is ap_svg_inline()'s, `id` the one it was given. A failure sticks in `out`. */
void ap_svg_shrink(ap_buf *out, ap_str svg, ap_str id);

#endif
