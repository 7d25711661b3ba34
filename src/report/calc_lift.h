/* A drop, a sling and a load on a chart, worked out without a log. `units` come first in sentences. */
#ifndef AP_REPORT_CALC_LIFT_H
#define AP_REPORT_CALC_LIFT_H

#include "mech/capacity.h"
#include "report/calc_page.h"

/* A leg that ends with the tension `weight_n` and whose attach point first falls `drop_m`. Errors: those of
 * ap_impact_drop(). */
AP_MUST_USE ap_status ap_calc_drop(ap_calc *out, ap_arena *arena, ap_unit_system units, double weight_n, double drop_m,
                                   double stiffness_n_m, const char *stiffness_from, ap_error *err);

typedef struct ap_calc_sling {
    double tension_n; /* NaN: from load, legs and angle */
    double load_n;
    int legs;         /* 1..4 equal ones */
    double angle_deg; /* above the horizontal; NaN: not given */
    double wll_kg;    /* NaN: no use is worked out */
    double choke_deg; /* NaN: not given */
    double factor;    /* the company's own; 1 */
    int hitch, kind;  /* AP_HITCH_*, AP_LEG_KIND_*; 0: not given */
} ap_calc_sling;
/* Errors: AP_E_USAGE when neither says the tension; those of mech/sling.h. */
AP_MUST_USE ap_status ap_calc_sling_use(ap_calc *out, ap_arena *arena, ap_unit_system units, const ap_calc_sling *ask,
                                        ap_error *err);

enum { AP_CALC_DEDUCTIONS_MAX = 8 };
typedef struct ap_calc_capacity {
    double capacity_kg;          /* NaN: from the chart */
    const ap_capacity_row *rows; /* the chart, or NULL */
    size_t row_count;
    ap_capacity_at at;                            /* with the chart; boom NaN: one without boom lengths */
    double deductions_kg[AP_CALC_DEDUCTIONS_MAX]; /* block, slings, stowed gear */
    size_t deduction_count;
    double piece_kg; /* NaN: only what is left for it */
} ap_calc_capacity;
/* Errors: those of mech/capacity.h. */
AP_MUST_USE ap_status ap_calc_capacity_use(ap_calc *out, ap_arena *arena, ap_unit_system units,
                                           const ap_calc_capacity *ask, ap_error *err);

#endif
