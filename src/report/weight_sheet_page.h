/* A company's own weights per foot or metre, to print and carry. */
#ifndef AP_REPORT_WEIGHT_SHEET_PAGE_H
#define AP_REPORT_WEIGHT_SHEET_PAGE_H

#include "analysis/weight_sheet.h"
#include "page/doc.h"
#include "page/json.h"

/* Steps of the rows: 2 in or 5 cm. */
double ap_weight_sheet_step(ap_unit_system units);

typedef struct ap_weight_sheet_view {
    const ap_weight_sheet *sheet;
    const ap_roster *roster;
    ap_date made_on;
} ap_weight_sheet_view;

/* A row a diameter, a column a species, to fit on one printed page; with `rows` a row each, for a spreadsheet. */
void ap_weight_sheet_page(ap_doc *doc, const ap_weight_sheet_view *view, bool rows);
void ap_weight_sheet_json(ap_json *json, const ap_weight_sheet_view *view);

#endif
