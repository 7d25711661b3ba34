/* What a person still has to decide: rows that were set aside, and second readings that say something else. */
#ifndef AP_BOOK_PROBLEMS_H
#define AP_BOOK_PROBLEMS_H

#include "book/book.h"

/* Texts live in the arena of the call that filled it. */
typedef struct ap_aside {
    int64_t id; /* never shown */
    int64_t import_id;
    int64_t file_id;
    ap_str file; /* the log's name as given */
    int64_t line;
    int column;   /* position of the cell in the row, from 1; 0 = the row as a whole */
    ap_str field; /* canonical name, or the header as it stood */
    ap_str text;
    ap_str reason;
    ap_str remedy;
    ap_str raw; /* the row as it stood */
    ap_date imported_on;
    ap_str dialect;                           /* "comma, UTF-8, ..." */
    ap_str date_order;                        /* "ISO", "m/d/y (settled by line 14)" */
    int job_column, pick_column, date_column; /* positions from 1; 0 = the log has none */
    ap_date dropped_on;                       /* AP_DATE_NONE unless a person dropped it */
    ap_str dropped_by;
    ap_str dropped_why;
} ap_aside;

typedef struct ap_aside_list {
    ap_aside *items; /* in the order of the imports and their files */
    size_t count;
} ap_aside_list;

/* Rows set aside by imports that still count; dropped ones only with `all`. AP_E_MEMORY past the arena's bound. */
AP_MUST_USE ap_status ap_book_asides(ap_aside_list *out, ap_arena *arena, ap_book *book, bool all, ap_error *err);
/* The name of the pick of this job and number that a file later than `file_id` brought; none when there is none. */
AP_MUST_USE ap_status ap_book_stored_since(ap_str *name, ap_arena *arena, ap_book *book, int64_t file_id, ap_str job,
                                           ap_str pick, ap_error *err);
/* Keeps the row as dropped by a person. Inside a transaction. */
AP_MUST_USE ap_status ap_book_aside_drop(ap_book *book, int64_t id, ap_str why, const ap_book_author *author,
                                         ap_error *err);

typedef struct ap_conflict_value {
    ap_str field;   /* canonical name */
    ap_str stored;  /* as it was written; none = not recorded */
    ap_str offered; /* never none: a blank cell says nothing */
} ap_conflict_value;

typedef struct ap_conflict {
    int64_t id;
    int64_t pick_id; /* 0 when the pick was taken out with its import */
    ap_str pick;     /* its name */
    ap_date date;    /* the stored pick's; AP_DATE_NONE when it is gone */
    ap_str stored_file;
    int64_t stored_line;
    ap_str file; /* of the second reading */
    int64_t line;
    int64_t import_id; /* of the second reading */
    bool open;
    ap_date decided_on;
    ap_str decided_by;
    ap_str decided_why;
    ap_conflict_value *values; /* in the order of a log's columns */
    size_t value_count;
} ap_conflict;

typedef struct ap_conflict_list {
    ap_conflict *items; /* in the order they came up */
    size_t count;
} ap_conflict_list;

typedef struct ap_conflict_filter {
    bool all;        /* decided ones too */
    int64_t pick_id; /* 0 = any */
    ap_date since;   /* of the stored pick; AP_DATE_NONE = no bound */
    ap_date until;
} ap_conflict_filter;

AP_MUST_USE ap_status ap_book_conflicts(ap_conflict_list *out, ap_arena *arena, ap_book *book,
                                        const ap_conflict_filter *filter, ap_error *err);
#endif
