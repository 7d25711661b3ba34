/* What the lines of a log of free words have in common, gathered before a profile for them is written. */
#ifndef AP_INTAKE_GUESS_LINES_H
#define AP_INTAKE_GUESS_LINES_H

#include "intake/line_find.h"
#include "intake/profile_guess_parts.h"

enum {
    AP_LINE_CUES = 48,
    AP_LINE_UNCLEAR = 16,
    AP_LINE_SAID = 48,
    AP_LINE_VOCABULARIES = 4,
    AP_LINE_SIZES = 4,
    AP_LINE_NUMBERS = 10
};

extern const int ap_line_vocabularies[AP_LINE_VOCABULARIES];

typedef struct ap_line_size {
    int field;
    const char *word;
} ap_line_size;
extern const ap_line_size ap_line_sizes[AP_LINE_SIZES];

/* A word that stands beside weights. */
typedef struct ap_line_cue {
    int field;
    ap_str word;
    bool before; /* the weight stands before it */
    size_t lines;
} ap_line_cue;

typedef struct ap_said_phrase {
    const ap_field *desc;
    ap_str phrase;
    ap_str says;
    int64_t line;
} ap_said_phrase;

typedef struct ap_line_guess {
    ap_guess *g;
    size_t line; /* index into g->rows */
    ap_line_cue cues[AP_LINE_CUES];
    size_t cue_count;
    ap_str bare_text; /* the first weight without a unit that has its word beside it */
    ap_str dates[AP_GUESS_ROWS];
    size_t date_lines;
    bool job_word; /* "job J88" */
    ap_str code;   /* the first J88 */
    size_t code_lines;
    const char *const *number_words;
    size_t number_lines[AP_LINE_NUMBERS];
    size_t first_lines; /* that begin with a number */
    size_t species_lines;
    ap_str unclear[AP_LINE_UNCLEAR]; /* names that several species have */
    int64_t unclear_line[AP_LINE_UNCLEAR];
    size_t unclear_count;
    size_t word_lines[AP_LINE_VOCABULARIES];
    ap_said_phrase said[AP_LINE_SAID];
    size_t said_count;
    struct {
        size_t before, behind;
    } sizes[AP_LINE_SIZES];
} ap_line_guess;

AP_MUST_USE ap_status ap_guess_lines_write(ap_line_guess *it, ap_error *err);

#endif
