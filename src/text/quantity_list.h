/* Several quantities in one text, "6m, 8m" or "18 ft 6 in; 20 ft", and the stiffness of a spring, "90 N/m", "50 lb/in". */
#ifndef AP_TEXT_QUANTITY_LIST_H
#define AP_TEXT_QUANTITY_LIST_H

#include "text/quantity.h"

/* Parts stand between semicolons when there is one, else between commas; so a part with a comma of its own ("1,200
 * lb; 900 lb") needs semicolons. Each part is read by `rules`, which should not leave the decimal sign open.
 *
 * False: *why says what is wrong with part number *at (from 0), or that there are none, or more than `most`. */
bool ap_quantity_list_read(double *out, size_t *count, size_t most, ap_unit *first_unit, ap_str text,
                           const ap_quantity_rules *rules, ap_refusal *why, size_t *at);
/* The part of that number, trimmed; none behind the last. */
ap_str ap_quantity_list_part(ap_str text, size_t number);

/* A force (or the mass it holds) for a length: N/m, kN/m, N/mm, lb/in, lb/ft, kg/cm. Newtons per metre. Point as
 * decimal sign. */
bool ap_stiffness_read(double *out_n_m, ap_str text, ap_refusal *why);
bool ap_stiffness_list_read(double *out_n_m, size_t *count, size_t most, ap_str text, ap_refusal *why, size_t *at);

#endif
