/* What the roster keeps of each piece's wood, and which densities held on which day. Private to the roster and what is kept of it. */
#ifndef AP_ANALYSIS_ROSTER_WOOD_H
#define AP_ANALYSIS_ROSTER_WOOD_H

#include "analysis/roster.h"

/* The thickest trunk or stub piece of each tree so far. */
typedef struct ap_roster_trees {
    struct {
        float diameter_m;
        uint32_t fact; /* + 1; 0 = none */
    } * thickest;      /* by tree label */
    size_t room;
} ap_roster_trees;

/* NULL when the pick's species is not known. */
const ap_species *ap_roster_species_of(ap_book *book, const ap_pick *pick);
/* Wood of one pick. Gives the butt diameter of a trunk or stub piece in m, else 0. */
float ap_roster_wood_set(ap_fact *fact, const ap_pick *pick, const ap_species *species, const ap_company *company);
/* Remembers the piece for its tree; 0 is none. False when memory is out. */
bool ap_roster_wood_stem(ap_roster_trees *trees, const ap_fact *fact, size_t number, float diameter_m);
/* Marks each tree's butt piece and releases what was kept. */
void ap_roster_wood_end(ap_roster_trees *trees, ap_roster *roster);
/* The species by label number, and the plan's figures by the densities in force at `until`. */
AP_MUST_USE ap_status ap_roster_wood_species(ap_roster *roster, ap_book *book, ap_error *err);
void ap_roster_wood_plans(ap_roster *roster, ap_date until);

#endif
