/* The working of one pick: every derived figure with its formula, inputs and their origin. */
#ifndef AP_REPORT_WORKING_PAGE_H
#define AP_REPORT_WORKING_PAGE_H

#include "derive/record.h"
#include "report/pick_page.h"

typedef struct ap_working {
    const ap_whole_pick *whole;
    const ap_record_list *records;
    const int *cells; /* ap_book_pick_cells(): AP_COLUMN_COUNT of them */
} ap_working;

void ap_working_page(ap_doc *doc, const ap_working *working);
/* One row an input, SI, for a spreadsheet. */
void ap_working_table(ap_doc *doc, const ap_working *working);
/* The key "working" in the open object (docs/json.md, "pick"). */
void ap_working_json(ap_json *json, ap_arena *arena, const ap_working *working);

#endif
