/* Figures by person: unless names are asked for, a group of few picks is not shown by person.
 *
 * The estimators of such groups become one label, "people with fewer than 5 picks (3)", in the roster itself, so that page,
 * JSON and CSV say the same. Do it after a model was fitted: that keeps people apart. */
#ifndef AP_ANALYSIS_PEOPLE_H
#define AP_ANALYSIS_PEOPLE_H

#include "analysis/pooled.h"
#include "analysis/trend_months.h"

enum { AP_PEOPLE_FEWEST = 5 };

/* Merges in facts[first..end) the estimators of groups with fewer than AP_PEOPLE_FEWEST picks; does nothing for groupings
 * without the estimator or with roster->names. A blank estimator is nobody. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_people_merge(ap_roster *roster, size_t first, size_t end, const ap_by *by, size_t by_count,
                                      ap_error *err);

/* Takes away the figures of what is left about people (merged or not) and rests on fewer weighed picks than that: one person alone
 * may be behind it. The counts stay. Groups after ap_weights(), months after ap_trend_work_out(). */
void ap_people_blank_groups(ap_weight_table *table, const ap_roster *roster);
void ap_people_blank_months(ap_trend *trend, const ap_roster *roster);

/* A cell of the model that is about one person and rests on fewer weighed picks than that, without roster->names. */
bool ap_people_hides(const ap_roster *roster, const ap_pooled_level *level, const ap_pooled_cell *cell);
size_t ap_people_hidden(const ap_roster *roster, const ap_pooled_level *level); /* how many such cells */

#endif
