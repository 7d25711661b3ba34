/* What one look over a file settles for the file as a whole: the order of day and month, and the decimal mark.
 *
 * A file whose first date has one reading (ISO, a named month) is not read twice: the order is settled only if a date with
 * slashes turns up later. Otherwise every date is looked at before any row is read. */
#ifndef AP_INTAKE_DATES_H
#define AP_INTAKE_DATES_H

#include "intake/header.h"
#include "text/when.h"

typedef struct ap_dates {
    ap_date_order order;
    int64_t line;  /* the line that settles it; 0 when none had to */
    bool given;    /* by the user */
    bool complete; /* every date of the file was looked at */
} ap_dates;

enum { AP_DATE_YEAR_SIZE = 40 };
/* "12.3." or "14 Sep" with the year behind it, in `space`; any other cell, and every cell when year is 0, as it is. */
ap_str ap_date_with_year(char space[AP_DATE_YEAR_SIZE], ap_str cell, int year);

/* First look over a fresh stream. *any = there is a row behind the header. With `given` (not UNSETTLED) nothing is settled.
 * Errors  AP_E_INPUT: two readings and no line that settles it, or two lines that contradict; says what to do. */
AP_MUST_USE ap_status ap_dates_look(ap_dates *out, bool *any, const ap_plan *plan, ap_rows *rows, ap_date_order given,
                                    ap_error *err);
/* The whole file, for a date with two readings that came late; errors as above. */
AP_MUST_USE ap_status ap_dates_settle(ap_dates *out, const ap_plan *plan, ap_rows *rows, ap_error *err);
/* "ISO", "m/d/y (settled by line 14)", "d/m/y (given)". */
void ap_dates_describe(ap_buf *out, const ap_dates *dates);

/* The decimal mark by the first rows of a fresh stream: '.', ',' or 0 when they do not tell (then cell by cell). Where the
 * delimiter is a comma and nothing speaks against it: '.'. */
/* What the marks in the numbers of a log tell of its decimal mark. */
typedef struct ap_decimal_seen {
    int64_t points, commas; /* cells in which it is the decimal mark */
    int64_t comma_groups;   /* "4,850": settled by the others alone */
    int64_t point_groups;   /* "1.200" */
} ap_decimal_seen;
void ap_decimal_note(ap_decimal_seen *seen, ap_str cell);
/* '.', ',', or 0 where each number must tell by itself, in a log whose cells are parted by `delimiter`. */
char ap_decimal_settle(const ap_decimal_seen *seen, char delimiter);
AP_MUST_USE ap_status ap_decimal_look(char *decimal, const ap_plan *plan, ap_rows *rows, ap_error *err);

#endif
