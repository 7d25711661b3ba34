/* The weighed picks that patterns in time are looked for in, sorted once into their groups: estimator, crew, species, species and
 * cut. Numbered 0.. in pick order over all picks up to the period's end; unweighed and suspect picks have no number. */
#ifndef AP_NEARMISS_LOOKS_H
#define AP_NEARMISS_LOOKS_H

#include "nearmiss/spread.h"

typedef struct ap_run_group {
    ap_by by[2];
    size_t by_count;
    const char *name; /* "estimator", "species and cut": what a stored finding's scope says */
} ap_run_group;
enum { AP_RUN_GROUPS = 4 };
extern const ap_run_group ap_run_groups[AP_RUN_GROUPS];

typedef struct ap_looks {
    size_t count;
    size_t first;                   /* number of the first that lies in the period */
    uint32_t *fact;                 /* its pick in the roster */
    float *z;                       /* ln(ratio) in spreads */
    uint8_t *heavy;                 /* heavier than planned by more than the setting; a tie is not */
    uint32_t *order[AP_RUN_GROUPS]; /* numbers, by group value then in pick order; blank values are left out */
    size_t ordered[AP_RUN_GROUPS];  /* how many of them */
    uint32_t *start[AP_RUN_GROUPS]; /* places in `order` where each group value begins; slots + 1 entries */
    size_t slots[AP_RUN_GROUPS];
    size_t looks; /* of the period, each counted in every group it is in */
} ap_looks;

/* A pick further than suspect_z spreads from the middle of its kind is suspect and left out. Release also after an error. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_looks_make(ap_looks *out, const ap_roster *roster, size_t first, size_t end,
                                    const ap_spread *spread, double suspect_z, ap_error *err);
void ap_looks_release(ap_looks *looks);

/* How a group numbers its values. */
typedef struct ap_slotting {
    ap_by one, two;
    bool alone;   /* by `one` alone */
    size_t width; /* values of `two`, and blank */
} ap_slotting;

ap_slotting ap_looks_slotting(const ap_roster *roster, size_t group);
/* The number of a pick's value; 0 when blank: a blank forms no group. */
static inline size_t ap_looks_slot(const ap_slotting *how, const ap_fact *fact) {
    uint32_t one = ap_fact_group(fact, how->one);
    if (how->alone || one == 0) {
        return one;
    }
    uint32_t two = ap_fact_group(fact, how->two);
    return two ? one * how->width + two : 0;
}

#endif
