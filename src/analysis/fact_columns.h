/* Columns of numbers as bytes: small where values repeat or lie close together, read back bit by bit.
 *
 * Form    one byte says how the column stands, then, with n numbers of the width asked for (4 or 8 bytes, the lowest first):
 *         0  one number, the same for all
 *         1  a base (4 or 8 bytes), n bytes to be added
 *         2  a base, n times two bytes to be added
 *         3  n numbers as they are
 *         4  a first number, each next one more
 *         5  a count of two bytes, so many different numbers, n bytes: the number of each, from 0
 *         6  the same with n times two bytes
 * Errors  a reader that meets anything else is bad from then on and gives nothing. */
#ifndef AP_ANALYSIS_FACT_COLUMNS_H
#define AP_ANALYSIS_FACT_COLUMNS_H

#include "base/str.h"

enum { AP_COLUMN_MOST = 2048 }; /* numbers in a column */

/* Appends a column; `most` at most. The numbers of a column of width 4 fit in 32 bits. */
void ap_column_put(ap_buf *out, const uint64_t *numbers, size_t count, size_t width);

typedef struct ap_column_reader {
    const unsigned char *at;
    const unsigned char *end;
    bool bad;
} ap_column_reader;

/* False, with the reader bad, when the bytes are not a column of `count` numbers of that width. */
bool ap_column_get(uint64_t *numbers, ap_column_reader *reader, size_t count, size_t width);

#endif
