/* Every derived value of a pick once, as a record that can be followed back: formula, inputs, where each came from.
 *
 * The values are those of ap_derived, ap_wood and ap_recon: nothing is computed here a second time. */
#ifndef AP_DERIVE_RECORD_H
#define AP_DERIVE_RECORD_H

#include "derive/reconstruct.h"

enum { AP_RECORD_INPUTS_MAX = 10 };

typedef struct ap_record_input {
    const char *name; /* "measured weight" */
    ap_dim dim;
    bool small;   /* a diameter: in/cm */
    double value; /* SI; NaN: not known, or a word */
    ap_str word;  /* "gross"; none for a number */
    ap_origin_kind from;
    int column;       /* of the field table when from the LOG, else -1 */
    const char *note; /* SETTING: its name; HANDBOOK: the table; else what to know about it; "" for nothing */
} ap_record_input;

typedef struct ap_record {
    const char *group; /* "weights", "wood", "at rest", "when it parted", "peak" */
    const char *key;   /* stable, with its SI unit: "measured_net_kg", "leg_2_tension_n" */
    ap_str name;       /* "measured net weight" */
    const char *formula;
    const char *source; /* of the formula; "" for plain arithmetic */
    ap_dim dim;
    bool small;
    double value; /* SI; NaN: there is none */
    ap_str why;   /* why there is none, or what to know about it; none for nothing */
    ap_record_input inputs[AP_RECORD_INPUTS_MAX];
    int input_count;
} ap_record;

typedef struct ap_record_list {
    ap_arena *arena;
    ap_record *items;
    size_t count;
    size_t cap;
} ap_record_list;

/* What one pick became. */
typedef struct ap_record_given {
    const ap_pick *pick;
    const ap_derived *derived;
    const ap_wood *wood;
    const ap_recon *recon;
    const ap_company *company;
} ap_record_given;

/* Texts live in `arena` or are static. A failure sticks in the arena: ap_arena_check(). */
void ap_records_make(ap_record_list *out, ap_arena *arena, const ap_record_given *given);
const ap_record *ap_record_find(const ap_record_list *list, const char *key); /* NULL when there is none */

#endif
