/* A person changes one value of a stored pick; what it was stays in the book. */
#ifndef AP_BOOK_AMEND_H
#define AP_BOOK_AMEND_H

#include "book/picks.h"

/* Sets one column of the pick `name` to the value that `value` holds in that column, with how it was written; blank = not recorded.
 *
 * Shape   column of the field table; species: value->species and species_id both. Job and pick are the name and can not be amended:
 *         take the import out and import the mended log.
 * Why     may not be blank.
 * Effect  the amendment with old and new value; open conflicts of the pick whose differing columns are now all amended count as
 *         decided. Inside a transaction.
 * Errors  AP_E_USAGE (job, pick, no reason, the value stands already, a value that must be there made blank), AP_E_DOMAIN (the book
 *         refuses the value: the message names the rule), AP_E_NOT_FOUND and AP_E_AMBIGUOUS as ap_book_get_pick(). */
AP_MUST_USE ap_status ap_book_amend(ap_book *book, ap_str name, int column, const ap_pick *value, ap_str why,
                                    const ap_book_author *author, ap_error *err);

/* Decides one open conflict without an amendment: the stored value stands. AP_E_NOT_FOUND when it is not open. */
AP_MUST_USE ap_status ap_book_conflict_decide(ap_book *book, int64_t conflict_id, ap_str why,
                                              const ap_book_author *author, ap_error *err);

#endif
