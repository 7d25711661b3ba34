/* Rated capacity from a crane's load chart kept as rows, and gross and net load.
 *
 * Units   metres, kg. `boom_m` NaN in a row and in the question: a chart without boom lengths.
 * Method  between rows the next longer radius and the next longer boom, and the smaller of the capacities on either
 *         side; never interpolated, never beyond the last row.
 * Source  BC Association for Crane Safety, load chart practice quiz (note 6 and its worked figures).
 * Errors  AP_E_DOMAIN: past the last row of the chart (the message gives it), a boom needed and not logged, no row.
 *
 * A copy of a chart is an aid after the fact: the chart in the cab rules. */
#ifndef AP_MECH_CAPACITY_H
#define AP_MECH_CAPACITY_H

#include "base/crane.h"

typedef struct ap_capacity {
    double capacity_kg;
    double boom_m, radius_m; /* the row that gave it */
    bool between_rows;       /* the question fell between rows */
} ap_capacity;

AP_MUST_USE ap_status ap_capacity_find(ap_capacity *out, const ap_capacity_row *rows, size_t count, double boom_m,
                                       double radius_m, ap_error *err);
/* Capacity minus block, slings, stowed gear ...: what is left for the piece. May be negative: nothing may hang. */
AP_MUST_USE ap_status ap_capacity_net(double *out_kg, double gross_kg, const double *deductions_kg, size_t count,
                                      ap_error *err);
/* Hook load: piece + block + slings + stowed gear. */
AP_MUST_USE ap_status ap_capacity_hook_load(double *out_kg, double piece_kg, const double *additions_kg, size_t count,
                                            ap_error *err);

#endif
