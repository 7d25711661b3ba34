/* The working of one cell, and the species x cut grid. */
#ifndef AP_REPORT_EXPLAIN_PAGE_H
#define AP_REPORT_EXPLAIN_PAGE_H

#include "report/weights_page.h"

/* "silver maple, through" -> the cell's key in the order of the level's names, letter case aside. AP_E_NOT_FOUND names the
 * part that no pick has; AP_E_USAGE when there are more or fewer parts than names. */
AP_MUST_USE ap_status ap_explain_find(uint32_t key[AP_WEIGHTS_BY_MAX], const ap_roster *roster, const ap_by *by,
                                      size_t by_count, ap_str words, ap_error *err);

/* The working of one cell of pooled->level[0], step by step. */
void ap_explain_page(ap_doc *doc, const ap_roster *roster, const ap_pooled *pooled, const uint32_t *key,
                     const ap_robust_error *robust);

/* Species down, cuts across: error and count in one table, what to add in the other. `table` by species, cut. */
void ap_grid_page(ap_doc *doc, const ap_roster *roster, const ap_weight_table *table, const ap_pooled *pooled);

#endif
