/* Is gnuplot there, and does it draw? */
#ifndef AP_FIGURE_GNUPLOT_CHECK_H
#define AP_FIGURE_GNUPLOT_CHECK_H

#include "base/arena.h"

typedef struct ap_gnuplot {
    ap_str version; /* "gnuplot 5.4 patchlevel 4"; none when it could not be started */
    bool draws_svg;
    ap_str trouble; /* why not, one sentence; none when all is well */
} ap_gnuplot;

/* Runs it twice. Never fails but for memory; texts live in `arena`. */
AP_MUST_USE ap_status ap_gnuplot_check(ap_gnuplot *out, ap_arena *arena, ap_error *err);

#endif
