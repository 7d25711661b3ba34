/* Picks in and out of the book. Bind and read expand from the field table. */
#ifndef AP_BOOK_PICKS_H
#define AP_BOOK_PICKS_H

#include "base/pick.h"
#include "book/book.h"

/* Which picks, in pick order: date, time if every pick of that job and day has one, else pick in natural order, then
 * file line. NONE in a member = no bound. */
typedef struct ap_pick_filter {
    ap_date since; /* inclusive */
    ap_date until; /* inclusive */
    ap_str job;
    int64_t import_id; /* 0 = any: the picks one import stored */
} ap_pick_filter;

/* Called once per pick; the pick and its texts live until the call returns. Return AP_OK to go on. */
typedef ap_status (*ap_pick_fn)(void *context, const ap_pick *pick, ap_error *err);
AP_MUST_USE ap_status ap_book_each_pick(ap_book *book, const ap_pick_filter *filter, ap_pick_fn each, void *context,
                                        ap_error *err);

/* The same picks in the same order for the statistics of the error, some times as fast: names, day, species, crew, estimator
 * and crane, the piece's kind and measures, weights and capacities, how it was weighed, cut, toward, near miss, damage and notes.
 * All else is blank, the slings, radii, movement, the source and how a cell was written among it. */
AP_MUST_USE ap_status ap_book_each_pick_narrow(ap_book *book, const ap_pick_filter *filter, ap_pick_fn each,
                                               void *context, ap_error *err);

/* One pick by its written name ("J231/17"); texts are copied into `arena`. AP_E_NOT_FOUND with near names;
 * AP_E_AMBIGUOUS listing the candidates. */
AP_MUST_USE ap_status ap_book_get_pick(ap_pick *out, ap_arena *arena, ap_book *book, ap_str name, ap_error *err);

/* What became of a row offered to the book. */
typedef enum ap_stored {
    AP_STORED_NEW,
    AP_STORED_UNCHANGED, /* the same pick with the same values (to the coarser written precision) */
    AP_STORED_CONFLICT   /* the same pick with other values: kept beside the stored one for a person */
} ap_stored;

/* Where a row came from. */
typedef struct ap_origin {
    int64_t import_id;
    int64_t file_id;
    int64_t line;
    ap_str raw; /* the row as it stood: kept for conflicts and rows set aside */
} ap_origin;

/* Offers a checked pick (job, pick, date, species_id and one weight present; pick->name unset). `part` is the middle of a
 * pick's name where a log restarts its numbers (a date or a crew), AP_STR_NONE else. Inside the import's transaction.
 * *differs gets the first differing column on a conflict, else -1. */
typedef struct ap_pick_writer ap_pick_writer;
AP_MUST_USE ap_status ap_pick_writer_new(ap_pick_writer **out, ap_book *book, ap_error *err);
void ap_pick_writer_free(ap_pick_writer *writer);
AP_MUST_USE ap_status ap_pick_writer_offer(ap_stored *stored, int *differs, ap_pick_writer *writer, const ap_pick *pick,
                                           ap_str part, const ap_origin *origin, ap_error *err);

/* After a new one: its row number, job and tree as the book has them (the first spelling counts) into the pick that was offered. The
 * texts live until the next offer. */
void ap_pick_writer_last(const ap_pick_writer *writer, ap_pick *pick);

/* Text whose order by bytes is natural order, as ap_str_compare_natural() orders all but case and leading zeros. */
void ap_natural_key(ap_buf *out, ap_str text);

#endif
