/* How well the logs are kept: cells left blank by crew, weights that look copied. */
#ifndef AP_ANALYSIS_UPKEEP_H
#define AP_ANALYSIS_UPKEEP_H

#include "book/picks.h"

/* The cells that matter for the error table, the chart, the near misses and the reconstruction. */
typedef enum ap_upkeep_cell {
    AP_UPKEEP_WEIGHT,   /* measured weight */
    AP_UPKEEP_CAPACITY, /* rated capacity, at the cut or at set-down */
    AP_UPKEEP_MOVEMENT,
    AP_UPKEEP_SLINGS, /* no leg has anything */
    AP_UPKEEP_TREE,
    AP_UPKEEP_COUNT
} ap_upkeep_cell;

typedef struct ap_upkeep_crew {
    ap_str crew; /* none = blank */
    size_t picks;
    size_t blank[AP_UPKEEP_COUNT];
} ap_upkeep_crew;

/* One measured weight in three or more picks of a job in a row. */
typedef struct ap_copied_run {
    ap_str first; /* the pick's name */
    ap_str last;
    size_t length;
    double weight_kg;
} ap_copied_run;

enum { AP_COPIED_SHOWN = 20, AP_COPIED_LEAST = 3 };

typedef struct ap_upkeep {
    size_t picks;
    size_t unweighed;
    size_t repeats_plan; /* measured equal to planned, both as net or both as gross or both blank */
    ap_upkeep_crew *crews;
    size_t crew_count;
    ap_copied_run runs[AP_COPIED_SHOWN]; /* the first ones */
    size_t run_count;                    /* all of them */
} ap_upkeep;

const char *ap_upkeep_cell_name(ap_upkeep_cell cell); /* "measured_weight" */

/* Reads every pick once, in pick order. Source of "three": common practice, no source. Texts live in `arena`. */
AP_MUST_USE ap_status ap_upkeep_read(ap_upkeep *out, ap_arena *arena, ap_book *book, ap_error *err);

#endif
