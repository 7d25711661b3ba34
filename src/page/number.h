/* Outward numbers and units: the one place where SI becomes what a person reads. */
#ifndef AP_PAGE_NUMBER_H
#define AP_PAGE_NUMBER_H

#include "page/doc_node.h"

enum { AP_NUMBER_SIZE = 64 };

/* Decimal point, thousands marks when `marks`; -0 is 0; "" for NaN; 1e15 and above in powers of ten. Ties as printf. */
void ap_number_text(char out[AP_NUMBER_SIZE], double value, int digits, bool marks);
/* The unit a value of this dimension is printed in, and the value in it. AP_DIM_FORCE: the mass it holds. */
ap_unit ap_quantity_unit(ap_unit_system units, ap_dim dim, bool small);
double ap_quantity_value(ap_unit_system units, ap_dim dim, bool small, double si);
/* "4,850 lb", "18 ft 6 in"; "" for NaN. */
void ap_quantity_text(char out[AP_NUMBER_SIZE], ap_unit_system units, ap_dim dim, bool small, double si);

/* To the largest step of 1 or 5 times a power of ten that is no more than a twentieth of it: what is worked out from weights, lengths
 * and angles of a log is seldom known to a tenth (picks against plan spread by more), and so rounded it is off by a fortieth at most. Rule: the
 * rounding is small beside the uncertainty (JCGM 100:2008, 7.2.6); the step is our choice. */
double ap_number_about(double value);
/* A load that is worked out, neither planned nor read: "1,150 lb" for 1,160.3; in the unit it is shown in. */
void ap_quantity_about(char out[AP_NUMBER_SIZE], ap_unit_system units, ap_dim dim, double si);

/* A value cell as a page shows it, "" when blank. The unit stands in the column's head when ap_column_unit() has one. */
void ap_cell_text(char out[AP_NUMBER_SIZE], ap_unit_system units, const ap_column *column, const ap_cell *cell);
const char *ap_column_unit(ap_unit_system units, const ap_column *column);
/* The same cell for a spreadsheet: no marks, ten significant digits; and the unit word of its header ("lb", "percent"). */
void ap_cell_plain(char out[AP_NUMBER_SIZE], ap_unit_system units, const ap_column *column, const ap_cell *cell);
const char *ap_column_plain_unit(ap_unit_system units, const ap_column *column);

static inline bool ap_cell_is_text(const ap_column *column) {
    return column->kind == AP_CELL_TEXT || column->kind == AP_CELL_PICK;
}
static inline bool ap_cell_is_number(const ap_column *column) {
    return !ap_cell_is_text(column) && column->kind != AP_CELL_DATE;
}

#endif
