/* A first profile for a log nobody has described yet, from its headers and its first rows.
 *
 * Every line says why in a comment. What can not be told (a unit, the order of dates, a word) is a line that begins with
 * '?': a profile with such a line is refused until a person has answered. A column that nothing takes is named. */
#ifndef AP_INTAKE_PROFILE_GUESS_H
#define AP_INTAKE_PROFILE_GUESS_H

#include "base/settings.h"
#include "book/book.h"
#include "intake/profile.h"

typedef struct ap_guess_options {
    ap_str name;  /* none: from the file's name */
    ap_str sheet; /* of a workbook */
    const ap_settings *settings;
} ap_guess_options;

/* Appends the profile's text. *questions = lines that begin with '?'.
 * Errors  as ap_source_open(); AP_E_BOOK: the book's spellings contradict its examples. */
AP_MUST_USE ap_status ap_profile_guess(ap_buf *out, int *questions, ap_book *book, const char *path,
                                       const ap_guess_options *options, ap_error *err);

typedef enum ap_header_sense { AP_SENSE_NONE, AP_SENSE_CANONICAL, AP_SENSE_SYNONYM, AP_SENSE_NEAR } ap_header_sense;
/* The column a header means, and how that is known; *field = -1 when it means none. */
AP_MUST_USE ap_status ap_header_sense_of(int *field, ap_header_sense *sense, ap_arena *arena, ap_book *book,
                                         ap_str header, ap_error *err);
/* The spellings against the examples kept with them. AP_E_BOOK names the first that fails. */
AP_MUST_USE ap_status ap_header_check_examples(ap_book *book, ap_error *err);

#endif
