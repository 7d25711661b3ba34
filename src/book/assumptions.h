/* The dated book of densities a company accepted from its own weighed wood, with what was taken back. */
#ifndef AP_BOOK_ASSUMPTIONS_H
#define AP_BOOK_ASSUMPTIONS_H

#include "book/book.h"

typedef struct ap_assumption {
    int64_t id;
    int64_t species_id;
    double density_kg_m3;
    double sd_log; /* NaN when not kept */
    int64_t trees;
    int64_t picks;
    ap_date since; /* first day it is used for */
    ap_date accepted_on;
    ap_str who;
    ap_str why;
    ap_str evidence;
    bool lowers_weight;
    ap_date undone_on; /* the first day it no longer holds; AP_DATE_NONE while it stands */
    ap_str undone_who;
    ap_str undone_why;
} ap_assumption;

typedef struct ap_assumptions {
    ap_assumption *items; /* oldest first */
    size_t count;
} ap_assumptions;

/* All of them, in `arena`. */
AP_MUST_USE ap_status ap_book_assumptions_read(ap_assumptions *out, ap_arena *arena, ap_book *book, ap_error *err);

/* The one in force for a species on a day (AP_DATE_NONE: now): begun, not taken back, the youngest; NULL when there is none. */
const ap_assumption *ap_assumption_in_force(const ap_assumptions *all, int64_t species_id, ap_date day);

/* Writes one, used from author->today on. Inside a transaction. Errors: AP_E_USAGE without a reason. */
AP_MUST_USE ap_status ap_book_assumption_accept(ap_book *book, const ap_assumption *assumption,
                                                const ap_book_author *author, ap_error *err);
/* Takes one back from author->today on; what was reported before that day stays as it was. Inside a transaction.
 * Errors: AP_E_USAGE without a reason, AP_E_NOT_FOUND when it was taken back already. */
AP_MUST_USE ap_status ap_book_assumption_undo(ap_book *book, int64_t id, ap_str why, const ap_book_author *author,
                                              ap_error *err);

#endif
