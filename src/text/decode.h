/* Encodings of a file: which one it is, and its bytes as UTF-8. */
#ifndef AP_TEXT_DECODE_H
#define AP_TEXT_DECODE_H

#include "base/utf8.h"
#include "text/delimited.h"

enum { AP_SNIFF_BYTES = 64 * 1024 };

/* The encoding of a file that begins with `head` (up to AP_SNIFF_BYTES of it); *mark gets the length of a byte order
 * mark. A file is UTF-16 by its mark, or without one when every second byte (3 of 4 at least) is NUL and no other is;
 * UTF-8 when the head is valid UTF-8, a character cut off at its end allowed; else Windows-1252. */
ap_encoding ap_encoding_sniff(ap_str head, size_t *mark);

/* Decodes Windows-1252 or UTF-16 while it fits; what is left over (half a character) is not used up unless `last`.
 * The five bytes Windows-1252 leaves open become the control characters of the same number; half a surrogate pair and
 * an odd last byte become U+FFFD. */
void ap_decode(ap_encoding encoding, ap_str in, bool last, char *out, size_t cap, size_t *used, size_t *made);

/* Length of the longest part that is valid UTF-8 from the start. */
size_t ap_utf8_valid_prefix(ap_str str);

#endif
