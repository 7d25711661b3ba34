/* What a company's own weighed wood says, as figures that can be given to others: no pick, person, site or date.
 *
 *   E1 One figure an effect of the density model: species (sound, bare, above the butt), butt, condition, brush class:
 *      what the picks alone say (normal: mean, standard error), with the counts of trees and picks.
 *   E2 The evidence of others is left out, so that nothing is passed on twice.
 *   E3 A figure that rests on fewer than AP_EVIDENCE_TREES_LEAST trees is not given: it could be one pick's weight. */
#ifndef AP_ANALYSIS_OWN_EVIDENCE_H
#define AP_ANALYSIS_OWN_EVIDENCE_H

#include "analysis/density.h"

typedef struct ap_own_evidence {
    ap_evidence_item *items; /* in the arena */
    size_t count;
    size_t held_back; /* E3 */
} ap_own_evidence;

/* From all facts of the roster. None is no failure. Errors: AP_E_MEMORY, those of ap_density_fit(). */
AP_MUST_USE ap_status ap_own_evidence_make(ap_own_evidence *out, ap_arena *arena, const ap_roster *roster,
                                           ap_error *err);

#endif
