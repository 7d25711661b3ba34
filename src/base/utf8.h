/* UTF-8 one character at a time. */
#ifndef AP_BASE_UTF8_H
#define AP_BASE_UTF8_H

#include "base/str.h"

/* Reads the character at `at` (< str.len); *len = 1 and U+FFFD where no valid sequence begins. */
uint32_t ap_utf8_get(ap_str str, size_t at, size_t *len);
/* Writes one character and returns its length, 1 to 4 bytes. */
size_t ap_utf8_put(char out[4], uint32_t code);

#endif
