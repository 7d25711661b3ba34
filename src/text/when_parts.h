/* A cursor over plain text for dates and times; nobody but when.c and clock.c includes this. */
#ifndef AP_TEXT_WHEN_PARTS_H
#define AP_TEXT_WHEN_PARTS_H

#include "text/spelling.h"
#include "text/when.h"

/* Reads up to `most` digits at *at; the number of digits read. */
size_t ap_when_digits(int *value, const char *text, size_t *at, size_t most);
size_t ap_when_letters(const char *text, size_t at); /* length of the run of ASCII letters */

/* A time of day that ends the text, a seconds part and a zone allowed; `strict` refuses zones. */
typedef enum ap_clock_end { AP_CLOCK_READ, AP_CLOCK_NONE, AP_CLOCK_RANGE, AP_CLOCK_BARE, AP_CLOCK_ZONE } ap_clock_end;
ap_clock_end ap_clock_read(ap_time *out, const char *text, bool zone_allowed);

/* A date as written: numbers in their places. */
typedef struct ap_when_parts {
    bool certain;       /* year first or a month's name: a is the year, b the month, c the day */
    int a, b, c;        /* else the first two numbers as written, and the year */
    int weekday;        /* 0 = Sunday .. 6; -1 when none was written */
    const char *behind; /* what follows: "" or a time */
} ap_when_parts;
bool ap_when_split(ap_when_parts *out, const char *text);

#endif
