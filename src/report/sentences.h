/* Sentences that more than one page uses. Direction is always "heavier" or "lighter than planned". */
#ifndef AP_REPORT_SENTENCES_H
#define AP_REPORT_SENTENCES_H

#include "analysis/weights.h"
#include "followup/finding.h"
#include "page/doc.h"

/* A period: the picks dated since..until; AP_DATE_NONE = open. */
typedef struct ap_period {
    ap_date since;
    ap_date until;
} ap_period;

/* "October 2026", "2026-10-05 to 2026-11-04", "since 2026-10-01", "all picks". */
ap_str ap_say_period(ap_arena *arena, ap_period period);
/* Rows of a table of picks on a page, findings of one class, rows of an index: what is more is counted and left to --csv, so that
 * a page of a large month can be opened. */
enum { AP_ROWS_MOST = 200, AP_INDEX_ROWS_MOST = 600 };
/* "Of 5,001 picks the gravest 200 are listed; a spreadsheet gets all: 'afterpick pick --month 2026-10 --csv'."; none when all are. */
ap_str ap_say_rest(ap_doc *doc, ap_arena *arena, const char *what, size_t shown, size_t all, const char *command,
                   ap_period period);
/* "6 % heavier than planned", "3 % lighter than planned", "as planned" below half a percent. */
ap_str ap_say_ratio(ap_arena *arena, double ratio);
/* "6 % heavier": where "than planned" stands beside it. */
ap_str ap_say_ratio_short(ap_arena *arena, double ratio);
/* "+6 %", "-3 %": for intervals and tables. */
ap_str ap_say_signed(ap_arena *arena, double ratio);
/* "1 pick", "1,204 picks". */
ap_str ap_say_count(ap_doc *doc, size_t count, const char *one);
/* "none", "1", "1,204". */
ap_str ap_say_or_none(ap_doc *doc, size_t count);
/* "none", "1 pick", "1,204 picks". */
ap_str ap_say_count_or_none(ap_doc *doc, size_t count, const char *one);

typedef struct ap_say_part {
    size_t count;
    const char *one;  /* "was over chart" */
    const char *many; /* "were over chart"; NULL: as for one */
} ap_say_part;

/* "3 could not be judged and 1 had no movement logged": a part that counts nothing is not said; blank when none counts. */
ap_str ap_say_parts(ap_doc *doc, const ap_say_part *parts, size_t count);
/* "about 1 in 8,300", "less than 1 in 10,000": the odds of what chance alone makes, two digits at the most, for no chance here is known
 * better. 0 < p <= 1. */
ap_str ap_say_odds(ap_doc *doc, double p);
/* A share of counted picks: "5 %", and "0.4 %" below one percent, where a whole one would be nothing. */
ap_str ap_say_percent(ap_doc *doc, double share);
/* A worked-out share of a limit: "98 %", and from 200 % on, where no side of the limit hangs on it, rounded as loads are: "400 %". */
ap_str ap_say_worked_out_share(ap_doc *doc, double share);
/* The one sentence on an error table: typical error with interval, share heavier, counts. */
/* "30 % of 624", "none of 624"; "4 of 5": a percentage of a handful says more than there is. */
ap_str ap_say_share(ap_arena *arena, double share, size_t count);
ap_str ap_say_error(ap_doc *doc, const ap_roster *roster, const ap_weight_table *table);
/* "88 picks were not compared: 80 not weighed, 8 without a plan"; none when all were. */
ap_str ap_say_not_compared(ap_arena *arena, const ap_weight_table *table);
ap_str ap_say_movement(ap_arena *arena, int32_t moves);

extern const char ap_say_caution[]; /* the caution of job.md, ours, for every page with a number to act on */

#endif
