/* Typography taken out: a short cell as plain characters, so that the readers of numbers and dates see one spelling. */
#ifndef AP_TEXT_PLAIN_H
#define AP_TEXT_PLAIN_H

#include "text/quantity.h"

enum { AP_PLAIN_MAX = 160 };

typedef struct ap_plain {
    char text[AP_PLAIN_MAX + 1]; /* NUL-terminated */
    size_t len;
} ap_plain;

/* Every kind of blank becomes ' ' (runs become one, none at the ends), dashes and the minus sign '-', primes and
 * typographic quotes ' and ", two primes ", fraction slashes '/', vulgar fractions " 1/2", U+2248 '~'; marks that print
 * nothing are dropped. False when the result is longer than AP_PLAIN_MAX; *out then holds its beginning. */
bool ap_plain_from(ap_plain *out, ap_str text);

/* The cell in single quotes for a refusal: at most 60 bytes, no control characters, valid UTF-8. */
enum { AP_SHOWN_SIZE = 80 };
void ap_plain_show(char out[AP_SHOWN_SIZE], ap_str text);

/* Whether `word` (lower case) stands in the text with no letter on either side, case ignored. */
bool ap_plain_has_word(const ap_plain *plain, const char *word);

#endif
