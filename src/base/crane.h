/* A crane as the company describes it: its own defaults, calibrations and load chart. Plain data, read by book/cranes.h.
 *
 * Units  kg, m; a factor is true load over indicated load. NaN, 0 and AP_DATE_NONE are "not entered". */
#ifndef AP_BASE_CRANE_H
#define AP_BASE_CRANE_H

#include "base/calendar.h"
#include "base/str.h"

typedef struct ap_capacity_row {
    double boom_m; /* NaN: a chart without boom lengths */
    double radius_m;
    double capacity_kg; /* gross */
} ap_capacity_row;

/* Holds from its day on until the next one. */
typedef struct ap_calibration {
    ap_date on;
    double factor; /* true load over indicated load */
    double band;   /* largest error left, as a share */
    ap_str source; /* the certificate or test it rests on */
} ap_calibration;

typedef struct ap_crane {
    int64_t id;
    ap_str name;
    double block_weight_kg;
    int weighed_as;                     /* AP_WEIGHED_AS_*, what its indicator shows when a log does not say */
    double band;                        /* of its indicator, where a calibration gives none */
    const ap_calibration *calibrations; /* oldest first */
    size_t calibration_count;
    const ap_capacity_row *chart;
    size_t chart_count;
} ap_crane;

#endif
