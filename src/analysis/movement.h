/* How pieces moved when they parted, counted by any grouping. */
#ifndef AP_ANALYSIS_MOVEMENT_H
#define AP_ANALYSIS_MOVEMENT_H

#include "analysis/roster.h"

/* The kinds people are shown; a pick with several logged movements counts once, by the gravest in this order. */
typedef enum ap_moved {
    AP_MOVED_STILL,     /* still or settled */
    AP_MOVED_BUTT_UP,   /* butt up or tip dive: the piece turned tip down */
    AP_MOVED_BUTT_DOWN, /* butt down or tip up */
    AP_MOVED_SWING,
    AP_MOVED_ROLL,
    AP_MOVED_DROP,
    AP_MOVED_COUNT
} ap_moved;

typedef struct ap_movement_group {
    uint32_t key;
    size_t picks;
    size_t logged; /* with a movement logged */
    size_t kinds[AP_MOVED_COUNT];
    size_t toward_person;
    size_t re_rigs_logged; /* picks whose re-rigs cell is not blank */
    size_t re_rigged;      /* of these, hook came back at least once */
} ap_movement_group;

typedef struct ap_movement_table {
    ap_by by;
    ap_movement_group *groups; /* most logged first; key 0 = not recorded */
    size_t count;
} ap_movement_table;

/* Kerf noted against what followed: rows steady, closing, opening. */
typedef struct ap_kerf_table {
    size_t moved[4]; /* by AP_KERF_*; 0 = not noted */
    size_t still[4];
} ap_kerf_table;

AP_MUST_USE ap_status ap_movement(ap_movement_table *out, ap_arena *arena, const ap_roster *roster, size_t first,
                                  size_t end, ap_by by, ap_error *err);
void ap_movement_kerf(ap_kerf_table *out, const ap_roster *roster, size_t first, size_t end);
ap_moved ap_movement_kind(uint16_t movement); /* of a pick with a movement logged */
const char *ap_moved_name(ap_moved moved);    /* "stayed still", "butt up", ... */

#endif
