/* A crane's load chart from a file of comma-separated text, whole or not at all.
 *
 * As a long table with the columns boom (may be missing), radius and capacity; or as a grid: radii down the first column,
 * boom lengths across the header row, a capacity or nothing where they meet. Units stand in headers or cells; numbers
 * without any are read in `bare`, or refused. Lines that begin with '#' are remarks.
 *
 * Refused with line and cell: what is no length or capacity, two capacities for one boom and radius, a capacity more than
 * 1.5 times that at the next shorter radius (a digit is missing: common practice, no source), booms on some rows only.
 * A smaller rise with the radius is kept and told: a chart seldom does that. */
#ifndef AP_INTAKE_LOAD_CHART_H
#define AP_INTAKE_LOAD_CHART_H

#include "base/arena.h"
#include "base/crane.h"
#include "base/units.h"

enum { AP_LOAD_CHART_ROWS_MAX = 5000, AP_LOAD_CHART_BYTES_MAX = 4 << 20, AP_LOAD_CHART_WARNINGS_MAX = 20 };

typedef struct ap_load_chart_options {
    ap_unit bare_length; /* of lengths without a unit; AP_UNIT_NONE: refused */
    ap_unit bare_load;
    ap_unit ton; /* what a bare ton means, or AP_UNIT_NONE */
} ap_load_chart_options;

typedef struct ap_load_chart {
    ap_capacity_row *rows; /* by boom, then radius; in the arena */
    size_t count;
    size_t booms; /* lengths; 1 when the chart names none */
    ap_str warnings[AP_LOAD_CHART_WARNINGS_MAX];
    size_t warning_count; /* all, also those past the last place */
} ap_load_chart;

/* `text` is the file's bytes, `file` its name for messages. AP_E_INPUT with line and cell; AP_E_LIMIT. */
AP_MUST_USE ap_status ap_load_chart_read(ap_load_chart *out, ap_arena *arena, ap_str text, const char *file,
                                         const ap_load_chart_options *options, ap_error *err);

#endif
