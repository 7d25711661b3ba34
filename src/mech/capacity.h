/* Rated capacity from a crane's load chart kept as rows, and gross and net load.
 *
 * Units   metres, kg. `boom_m` NaN in a row and in the question: a chart without boom lengths.
 * Method  between rows the next longer radius and the next longer boom, and the smaller of the capacities on either
 *         side; never interpolated, never beyond the last row. Values are the same when equal to the written precision: a
 *         length within half its written step of a row is that row (29 m is the 95 ft row, 28.96 m); an exact row comes
 *         first, of several within the step the smallest capacity counts.
 * Source  BC Association for Crane Safety, load chart practice quiz (note 6 and its worked figures).
 * Errors  AP_E_DOMAIN: past the last row of the chart (the message gives it), a boom needed and not logged, no row.
 *
 * A copy of a chart is an aid after the fact: the chart in the cab rules. */
#ifndef AP_MECH_CAPACITY_H
#define AP_MECH_CAPACITY_H

#include "base/crane.h"

/* What is asked. A step is the size of the last written digit; 0: exact. */
typedef struct ap_capacity_at {
    double boom_m, radius_m;
    double boom_step_m, radius_step_m;
} ap_capacity_at;

typedef struct ap_capacity {
    double capacity_kg;
    double boom_m, radius_m; /* the row that gave it */
    bool between_rows;       /* the question fell between rows */
} ap_capacity;

AP_MUST_USE ap_status ap_capacity_find(ap_capacity *out, const ap_capacity_row *rows, size_t count,
                                       const ap_capacity_at *at, ap_error *err);
/* A row's length counts as the one asked for. */
bool ap_capacity_counts_as(double row_m, double asked_m, double step_m);
/* Capacity minus block, slings, stowed gear ...: what is left for the piece. May be negative: nothing may hang. */
AP_MUST_USE ap_status ap_capacity_net(double *out_kg, double gross_kg, const double *deductions_kg, size_t count,
                                      ap_error *err);
/* Hook load: piece + block + slings + stowed gear. */
AP_MUST_USE ap_status ap_capacity_hook_load(double *out_kg, double piece_kg, const double *additions_kg, size_t count,
                                            ap_error *err);

#endif
