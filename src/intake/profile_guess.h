/* A first profile for a log nobody has described yet, from its headers and its first rows or lines.
 *
 * Every line says why in a comment. What can not be told (a unit, the order of dates, which of two weights is the plan) is a
 * line that begins with '?': a profile with such a line is refused until a person has answered. The same questions are handed
 * out with the answers that may be given to the next guess ("5=planned_weight in kg"), so that nobody has to write a pattern.
 * A column that nothing takes is named. */
#ifndef AP_INTAKE_PROFILE_GUESS_H
#define AP_INTAKE_PROFILE_GUESS_H

#include "base/settings.h"
#include "book/book.h"
#include "intake/profile.h"

enum { AP_GUESS_COLUMNS = AP_PROFILE_COLUMNS_MAX, AP_GUESS_SAMPLES = 3, AP_GUESS_WITHS = 5, AP_GUESS_QUESTIONS = 128 };
enum { AP_GUESS_LINES = 12 };

typedef struct ap_guess_options {
    ap_str name;    /* none: from the file's name */
    ap_str sheet;   /* of a workbook */
    ap_str answers; /* KEY=VALUE, a line each */
    const ap_settings *settings;
} ap_guess_options;

typedef struct ap_guess_question {
    ap_str asks;
    ap_str subject;               /* what it is about, the first words of `asks`; none = the log as a whole */
    ap_str withs[AP_GUESS_WITHS]; /* "5=planned_weight in kg" */
    size_t with_count;
    bool proposed; /* the first of them is what it looks like */
    size_t column; /* from 1; 0 = of no column */
    bool of_word;  /* of a word in the column's cells */
} ap_guess_question;

/* A column of a table as a person is shown it. */
typedef struct ap_guess_column {
    size_t number; /* from 1 */
    ap_str header;
    ap_str samples[AP_GUESS_SAMPLES];
    size_t sample_count;
    ap_str looks; /* "dates", "weights in lb", "whole numbers" */
    ap_str feeds; /* the field; none = nothing takes it */
    ap_str why;   /* "people call it so" */
    bool asked;
} ap_guess_column;

/* A line of a text log as it would be read. */
typedef struct ap_guess_line {
    int64_t line;
    ap_str text;
    ap_str reads;   /* "date 12.3., pick 4, white oak, planned 1200 lb" */
    ap_str trouble; /* why it would be set aside */
} ap_guess_line;

typedef enum ap_guess_kind { AP_GUESS_TABLE, AP_GUESS_BLOCK, AP_GUESS_WORDS } ap_guess_kind;

/* Lives in its arena. */
typedef struct ap_guess_told {
    ap_arena arena;
    ap_guess_kind kind;
    ap_str name;         /* of the profile */
    int64_t header_line; /* of a table; 0 = it has none */
    size_t rows_seen;
    ap_str sheets;       /* of a workbook with several: 'J501', 'J502' have the header */
    ap_str other_sheets; /* and these have not */
    ap_guess_column columns[AP_GUESS_COLUMNS];
    size_t column_count;
    ap_guess_line lines[AP_GUESS_LINES];
    size_t line_count;
    ap_guess_question questions[AP_GUESS_QUESTIONS];
    size_t question_count;
    ap_str given[AP_GUESS_QUESTIONS]; /* the answers that were given, as options: "--with dates=dmy" */
    size_t given_count;
} ap_guess_told;

void ap_guess_told_init(ap_guess_told *told);
void ap_guess_told_release(ap_guess_told *told);
/* "--with '5=planned_weight in kg'", quoted for a shell where it must be. */
ap_str ap_guess_option(ap_arena *arena, ap_str with);

/* Appends the profile's text.
 * Errors  as ap_source_open(); AP_E_USAGE: an answer to what is not asked, or one that can not be read; AP_E_BOOK: the book's
 *         spellings contradict its examples. */
AP_MUST_USE ap_status ap_profile_guess(ap_buf *out, ap_guess_told *told, ap_book *book, const char *path,
                                       const ap_guess_options *options, ap_error *err);

typedef enum ap_header_sense {
    AP_SENSE_NONE,
    AP_SENSE_CANONICAL,
    AP_SENSE_SYNONYM,
    AP_SENSE_NEAR,
    AP_SENSE_ABOVE,   /* with the header row above it */
    AP_SENSE_CELLS,   /* by what its cells hold */
    AP_SENSE_ANSWERED /* a person said so */
} ap_header_sense;
/* The column a header means, and how that is known; *field = -1 when it means none. */
AP_MUST_USE ap_status ap_header_sense_of(int *field, ap_header_sense *sense, ap_arena *arena, ap_book *book,
                                         ap_str header, ap_error *err);
/* The spellings against the examples kept with them. AP_E_BOOK names the first that fails. */
AP_MUST_USE ap_status ap_header_check_examples(ap_book *book, ap_error *err);

#endif
