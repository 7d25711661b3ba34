/* Typography taken out: a short cell as plain characters, so that the readers of numbers and dates see one spelling. */
#ifndef AP_TEXT_SPELLING_H
#define AP_TEXT_SPELLING_H

#include "text/quantity.h"

enum { AP_SPELLING_MAX = 160 };

typedef struct ap_spelling {
    char text[AP_SPELLING_MAX + 1]; /* NUL-terminated */
    size_t len;
} ap_spelling;

/* Every kind of blank becomes ' ' (runs become one, none at the ends), dashes and the minus sign '-', primes and
 * typographic quotes ' and ", two primes ", fraction slashes '/', vulgar fractions " 1/2", U+2248 '~'; marks that print
 * nothing are dropped. False when the result is longer than AP_SPELLING_MAX; *out then holds its beginning. */
bool ap_spelling_from(ap_spelling *out, ap_str text);

/* The cell in single quotes for a refusal: at most 60 bytes, no control characters, valid UTF-8. */
enum { AP_SHOWN_SIZE = 80 };
void ap_spelling_show(char out[AP_SHOWN_SIZE], ap_str text);

/* Whether `word` (lower case) stands in the text with no letter on either side, case ignored. */
bool ap_spelling_has_word(const ap_spelling *plain, const char *word);

#endif
