/* Keeps what the picks come to as they are stored: the import hands over one pick after the other, in row order, and what is kept
 * is in force with its commit. A reader that finds nothing in force does the same with all picks of the book.
 *
 * Memory   a chunk of facts and the texts of all labels, these within `memory`; an import also 8 bytes a pick for their order. What
 *          does not fit is not kept.
 * Errors   none that a caller must act on: whatever is in the way, nothing is kept, and the picks are read instead. */
#ifndef AP_ANALYSIS_KEEP_FACTS_H
#define AP_ANALYSIS_KEEP_FACTS_H

#include "analysis/roster.h"

typedef struct ap_fact_keeper ap_fact_keeper;

/* NULL when memory is out. `company` and what it refers to outlive the keeper. */
ap_fact_keeper *ap_fact_keeper_new(ap_book *book, const ap_company *company, size_t memory);
void ap_fact_keeper_free(ap_fact_keeper *keeper);

/* A pick just stored, with its row number, name, and job and tree as the book writes them. Gives its fact, without groups; it lives
 * until the next one. */
const ap_fact *ap_fact_keeper_take(ap_fact_keeper *keeper, const ap_pick *pick);
/* In the transaction that stored them, behind the last one: what is kept counts from its commit on. An error only where the book
 * can not be written any more. */
AP_MUST_USE ap_status ap_fact_keeper_end(ap_fact_keeper *keeper, ap_error *err);

/* Reads all picks and keeps what they come to, in a transaction of its own. False: nothing was kept; the book is as it was. */
bool ap_kept_facts_renew(ap_book *book, const ap_company *company);

#endif
