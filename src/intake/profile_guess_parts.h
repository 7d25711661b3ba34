/* What the files that guess a profile share. */
#ifndef AP_INTAKE_PROFILE_GUESS_PARTS_H
#define AP_INTAKE_PROFILE_GUESS_PARTS_H

#include "intake/fault.h"
#include "intake/header.h"
#include "intake/profile_guess.h"

enum { AP_GUESS_ROWS = 200, AP_GUESS_CELLS = AP_PROFILE_COLUMNS_MAX, AP_GUESS_ANSWERS = 128 };

typedef struct ap_guess_answer {
    ap_str key, value;
    bool used;
} ap_guess_answer;

/* What most cells of a column hold. */
typedef enum ap_shape {
    AP_SHAPE_BLANK,
    AP_SHAPE_TEXT,
    AP_SHAPE_CODES, /* J88, B-17 */
    AP_SHAPE_DATE,
    AP_SHAPE_DATE_NO_YEAR,
    AP_SHAPE_TIME,
    AP_SHAPE_WHOLE,
    AP_SHAPE_NUMBER,
    AP_SHAPE_WEIGHT, /* with a unit */
    AP_SHAPE_LENGTH, /* with a unit */
    AP_SHAPE_SPECIES,
    AP_SHAPE_YESNO,
    AP_SHAPE_WORDS /* of the vocabulary `field` */
} ap_shape;

typedef struct ap_column_shape {
    ap_shape shape;
    int field;  /* a proposal; -1 = none */
    ap_str say; /* "weights in lb" */
    size_t filled;
    bool repeats; /* some cell stands in several rows */
} ap_column_shape;

typedef struct ap_guess {
    ap_buf *out;
    ap_guess_told *told;
    ap_arena arena;
    ap_book *book;
    const ap_guess_options *options;
    ap_guess_answer answers[AP_GUESS_ANSWERS];
    size_t answer_count;
    ap_guess_question *asking; /* the question of the line being written; NULL = the line is none */
    ap_source *source;
    int64_t offset;
    ap_row rows[AP_GUESS_ROWS]; /* copies */
    size_t row_count;
    bool workbook;
    char delimiter; /* of its cells */
    size_t same_sheets; /* other sheets with this header */
    bool no_header;
    size_t header;              /* index into rows */
    size_t data;                /* index of the first row behind it */
    int fields[AP_GUESS_CELLS]; /* of each column; -1 = none */
    int column_of[AP_COLUMN_COUNT];
    ap_header_sense senses[AP_GUESS_CELLS];
    ap_unit answered_units[AP_GUESS_CELLS];
    bool passed[AP_GUESS_CELLS]; /* answered: nothing */
    ap_column_shape shapes[AP_GUESS_CELLS];
    size_t columns;
    ap_str ton_text; /* the first weight written in a bare ton */
} ap_guess;

/* "text" with its quotes. */
void ap_guess_quote(ap_buf *out, ap_str text);
/* Begins a line, as a question or not; ends it with its comment, in a column of its own where there is room. A question's
 * answers come in between; its sentence is the comment, with `subject` in front where there is one. */
size_t ap_guess_begin(ap_guess *g, bool question);
void ap_guess_with(ap_guess *g, bool proposed, const char *format, ...) AP_PRINTF(3, 4);
void ap_guess_why(ap_guess *g, size_t begin, const char *format, ...) AP_PRINTF(3, 4);
void ap_guess_subject(ap_guess *g, const char *format, ...) AP_PRINTF(2, 3);

/* Answers: KEY=VALUE. */
AP_MUST_USE ap_status ap_guess_read_answers(ap_guess *g, ap_error *err);
bool ap_guess_answered(ap_str *value, ap_guess *g, const char *format, ...) AP_PRINTF(3, 4);
/* AP_E_USAGE names the first answer that answers nothing. */
AP_MUST_USE ap_status ap_guess_all_used(const ap_guess *g, ap_error *err);

ap_str ap_guess_header(const ap_guess *g, size_t column);
ap_str ap_guess_cell(const ap_guess *g, size_t row, size_t column);
const char *ap_guess_sense(ap_header_sense sense);
void ap_guess_shape_column(ap_column_shape *out, ap_guess *g, size_t column);
/* What no column gives, and what concerns the log as a whole. */
void ap_guess_needed(ap_guess *g);
/* Words of a column that are none of its vocabulary, each once. */
void ap_guess_values(ap_guess *g, size_t column);
/* What a word seems to say is written behind it, as a question or as answered. */
void ap_guess_value(ap_guess *g, const ap_field *desc, ap_str cell, ap_str proposal, int64_t line);
/* A table: its header row is chosen. */
AP_MUST_USE ap_status ap_guess_table(ap_guess *g, ap_error *err);
/* Looks for a header row nobody knows the words of, or for rows without one; false when the rows are no table. */
bool ap_guess_unknown_header(ap_guess *g, bool workbook);
void ap_guess_tell_columns(ap_guess *g);
/* Other sheets of a workbook with the same header: their rows are looked at too, and whether they are read is asked. */
AP_MUST_USE ap_status ap_guess_sheets(ap_guess *g, ap_error *err);
void ap_guess_put_sheets(ap_guess *g);
/* A log without a header row: blocks of keys, or lines of words. */
AP_MUST_USE ap_status ap_guess_text(ap_guess *g, ap_error *err);
AP_MUST_USE ap_status ap_guess_lines(ap_guess *g, ap_error *err);

#endif
