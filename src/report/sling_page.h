/* The sling register, and one sling whole. */
#ifndef AP_REPORT_SLING_PAGE_H
#define AP_REPORT_SLING_PAGE_H

#include "analysis/sling_register.h"
#include "book/slings.h"
#include "page/doc.h"
#include "page/json.h"

void ap_slings_page(ap_doc *doc, const ap_sling_register *reg, ap_date today);
void ap_sling_page(ap_doc *doc, const ap_sling_register *reg, const ap_sling_row *row, const ap_entry_change *changes,
                   size_t change_count, ap_date today);
/* One row a pick: for a spreadsheet. */
void ap_sling_picks_table(ap_doc *doc, const ap_sling_register *reg);

/* docs/json.md, "sling". */
void ap_slings_json(ap_json *json, const ap_sling_register *reg, ap_date today);
void ap_sling_json(ap_json *json, const ap_sling_register *reg, const ap_sling_row *row, const ap_entry_change *changes,
                   size_t change_count, ap_date today);

#endif
