/* One species with the handbook's figures: a plain struct, read from the book, used by every floor above base. */
#ifndef AP_BASE_SPECIES_H
#define AP_BASE_SPECIES_H

#include "base/str.h"

typedef struct ap_species {
    int64_t id;
    ap_str common;
    ap_str scientific;
    ap_str symbol; /* USDA PLANTS symbol */
    bool hardwood;
    bool placeholder; /* a weak prior: the table's value stands for a group, or the company entered it */
    double gravity;   /* specific gravity, green volume */
    double moisture_pct;
    double bark_volume_pct; /* of the wood volume */
    double wood_density_kg_m3;
    double bark_density_kg_m3; /* NaN when the table has none */
    double density_kg_m3;      /* wood and bark, green; NaN when the table has none */
    double ceiling_kg_m3;      /* Wood Handbook Eq 4-3 with 4-14: no sound wood is heavier */
    /* Wood Handbook Table 4-1, NaN when it has none. */
    double heartwood_moisture_pct;
    double sapwood_moisture_pct;
    bool moisture_recalled; /* the two above are from memory, to be confirmed; else read in the table */
    ap_str source;
} ap_species;

/* Species of the company's own have numbers from here on; the source table's are below. */
#define AP_SPECIES_OWN_FIRST INT64_C(1000000)

/* Why a figure is a weak one; "" when it is not. */
static inline const char *ap_species_weak_text(const ap_species *species) {
    return !species->placeholder ? "" : species->id >= AP_SPECIES_OWN_FIRST ? "entered by hand" : "a group's value";
}

#endif
