/* One decimal number in plain text, with its thousands marks and decimal mark settled. */
#ifndef AP_TEXT_DECIMAL_H
#define AP_TEXT_DECIMAL_H

#include "base/str.h"

typedef enum ap_decimal_end {
    AP_DECIMAL_READ,
    AP_DECIMAL_NONE,     /* no number starts here */
    AP_DECIMAL_TWO,      /* 1,234: a thousands mark or a decimal mark */
    AP_DECIMAL_CONTRARY, /* its mark is not the file's decimal mark, and it is no thousands mark either */
    AP_DECIMAL_GROUPS,   /* marks that stand nowhere sensible: 1,23,4.5.6 */
    AP_DECIMAL_LONG      /* too many digits */
} ap_decimal_end;

typedef struct ap_decimal {
    double value;     /* >= 0; for AP_DECIMAL_TWO the reading with a thousands mark */
    double other;     /* for AP_DECIMAL_TWO the reading with a decimal mark */
    uint8_t decimals; /* digits behind the decimal mark, at most 15 */
    size_t len;       /* bytes taken */
} ap_decimal;

/* Reads from the start of `text`: digits with '.', ',' or ' ' between them. `decimal` is the file's mark; with 0 it is
 * settled from the number alone: two different marks, a mark that comes twice, a group that is not three digits or a
 * leading zero settle it; 1,234 and 1.234 do not. Spaces part thousands where every group behind the first has three
 * digits. The nearest double of what is written (round half to even). */
ap_decimal_end ap_decimal_scan(ap_decimal *out, ap_str text, char decimal);

#endif
