/* Names taken out of a text before it is shared outside, or put as roles. */
#ifndef AP_FOLLOWUP_REDACT_H
#define AP_FOLLOWUP_REDACT_H

#include "base/str.h"

enum { AP_REDACT_SIZE_MAX = 1 << 20 };

/* Appends `text` with every whole-word occurrence of each name put as instead[i], or as "[left out]" when `instead` is
 * NULL; the longest name first. Letter case does not count (Latin, Greek and Cyrillic letters), nor which and how many
 * blanks, underscores or line ends stand between words, nor a backslash of Markdown; "Millers" and "Miller's" are
 * "Miller". Names of fewer than 2 bytes are not looked for. Returns how many were taken out.
 * Accuracy  A letter and its accent written as two characters are not the same as the one letter. */
size_t ap_redact(ap_buf *out, ap_str text, const ap_str *names, const ap_str *instead, size_t count);

/* The words of a person's name that give the person away alone: "Jan van der Berg" has "Jan" and "Berg". Words of fewer
 * than 3 letters, in small letters, with a digit, and words of a role ("Climber") are none. Writes at most `max` to
 * `out`; returns how many. */
size_t ap_redact_words(ap_str *out, size_t max, ap_str name);

#endif
