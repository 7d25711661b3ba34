/* What the files that guess a profile share. */
#ifndef AP_INTAKE_PROFILE_GUESS_PARTS_H
#define AP_INTAKE_PROFILE_GUESS_PARTS_H

#include "intake/fault.h"
#include "intake/header.h"
#include "intake/profile_guess.h"

enum { AP_GUESS_ROWS = 200, AP_GUESS_CELLS = AP_PROFILE_COLUMNS_MAX };

typedef struct ap_guess {
    ap_buf *out;
    int *questions;
    ap_arena arena;
    ap_book *book;
    const ap_guess_options *options;
    ap_source *source;
    int64_t offset;
    ap_row rows[AP_GUESS_ROWS]; /* copies */
    size_t row_count;
    size_t header;              /* index into rows */
    int fields[AP_GUESS_CELLS]; /* of each column; -1 = none */
    int column_of[AP_COLUMN_COUNT];
    ap_header_sense senses[AP_GUESS_CELLS];
    size_t columns;
    ap_str ton_text; /* the first weight written in a bare ton */
} ap_guess;

/* "text" with its quotes. */
void ap_guess_quote(ap_buf *out, ap_str text);
/* Begins a line, as a question or not; ends it with its comment, in a column of its own where there is room. */
size_t ap_guess_begin(ap_guess *g, bool question);
void ap_guess_why(ap_guess *g, size_t begin, const char *format, ...) AP_PRINTF(3, 4);
const char *ap_guess_sense(ap_header_sense sense);
/* What no column gives. */
void ap_guess_needed(ap_guess *g);
/* A log without a header row: blocks of keys, or lines that need a pattern. */
AP_MUST_USE ap_status ap_guess_text(ap_guess *g, ap_error *err);

#endif
