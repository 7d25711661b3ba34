/* The roster from what the book keeps of its picks: the same facts, labels and order as from the picks, some ten times as fast.
 * Private to the roster. */
#ifndef AP_ANALYSIS_KEPT_ROSTER_H
#define AP_ANALYSIS_KEPT_ROSTER_H

#include "analysis/roster_labels.h"

/* Has the book so many picks that keeping what they come to saves anything? */
bool ap_kept_roster_is_worth_it(ap_book *book);
/* Sees to it that what is kept is in force and its order known, where the book has many picks and may be written; an open
 * transaction leaves it as it is. What is in the way is no error. */
void ap_kept_roster_refresh(ap_book *book, const ap_company *company);
/* Facts up to `until`, labels and names into a roster that has settings, company and empty labels. False: nothing is kept that may be
 * used, and the roster is as it was but for its labels and arena, which are to be made anew. */
bool ap_kept_roster_load(ap_roster *roster, ap_labeller *labeller, ap_book *book, ap_date until, ap_roster_depth depth);

#endif
