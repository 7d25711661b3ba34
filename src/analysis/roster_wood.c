#include "analysis/roster_wood.h"

#include "base/grow.h"
#include "book/species.h"
#include "derive/wood.h"

bool ap_roster_wood_stem(ap_roster_trees *trees, const ap_fact *fact, size_t number, float diameter_m) {
    if (!(diameter_m > 0)) {
        return true;
    }
    uint32_t tree = ap_fact_group(fact, AP_BY_TREE);
    if (tree >= trees->room) {
        void *grown = ap_grown_to(trees->thickest, &trees->room, tree, sizeof *trees->thickest);
        if (!grown) {
            return false;
        }
        trees->thickest = grown;
    }
    if (trees->thickest[tree].fact == 0 || diameter_m >= trees->thickest[tree].diameter_m) {
        trees->thickest[tree].diameter_m = diameter_m;
        trees->thickest[tree].fact = (uint32_t)number + 1;
    }
    return true;
}

const ap_species *ap_roster_species_of(ap_book *book, const ap_pick *pick) {
    const ap_species *species = NULL;
    ap_error unknown; /* a species that the book no longer has: the piece's wood is then not known */
    bool known = pick->species_id && ap_book_species_get(&species, book, pick->species_id, &unknown) == AP_OK;
    return known ? species : NULL;
}

float ap_roster_wood_set(ap_fact *fact, const ap_pick *pick, const ap_species *species, const ap_company *with_brush) {
    ap_wood wood;
    ap_wood_given given = AP_WOOD_GIVEN_NOTHING;
    given.species = species;
    /* Without the brush that weighed pieces taught: the facts it was learnt from do not depend on it. */
    ap_company company = *with_brush;
    company.brush = NULL;
    ap_pick piece =
        *pick; /* reading steps of the company's settings alone: not every reader knows how a cell was written */
    memset(piece.written, 0, sizeof piece.written);
    ap_wood_work_out(&wood, &piece, &given, &company);
    bool dimensions = !isnan(pick->length_m) && !isnan(pick->butt_diameter_m) && !isnan(pick->tip_diameter_m);
    bool stem = pick->piece == AP_PIECE_TRUNK || pick->piece == AP_PIECE_STUB;
    fact->rest->volume_m3 = wood.volume_m3.value;
    fact->rest->diameter_m = (float)sqrt(wood.volume_m3.value / (pick->length_m * atan(1.0)));
    fact->wood_class = (uint8_t)wood.class;
    fact->wood =
        (uint8_t)((wood.rule == AP_VOLUME_NEWTON ? AP_FACT_MID_TAPED : 0) |
                  (dimensions && isnan(wood.volume_m3.value) ? AP_FACT_IMPOSSIBLE : 0) |
                  (pick->brush_share >= 1 ? AP_FACT_ALL_BRUSH : 0) | (wood.brush_class.carries ? AP_FACT_BRUSHY : 0) |
                  (ap_wood_passes_ceiling(&wood, fact->measured_net_kg) ? AP_FACT_ABOVE_CEILING : 0));
    bool rated = pick->estimate_basis == AP_BASIS_CHART || pick->estimate_basis == AP_BASIS_TABLE ||
                 pick->estimate_basis == AP_BASIS_WORKED;
    fact->wood = (uint8_t)(fact->wood | (rated ? AP_FACT_PLANNED_BY_DENSITY : 0));
    return stem && pick->butt_diameter_m > 0 ? (float)pick->butt_diameter_m : 0;
}

void ap_roster_wood_end(ap_roster_trees *trees, ap_roster *roster) {
    for (size_t tree = 1; tree < trees->room; tree++) {
        if (trees->thickest[tree].fact) {
            ap_fact *fact = &roster->facts[trees->thickest[tree].fact - 1];
            fact->wood = (uint8_t)(fact->wood | AP_FACT_BUTT);
        }
    }
    free(trees->thickest);
    *trees = (ap_roster_trees){0};
}

static ap_status take_species(void *context, const ap_species *species, ap_error *err) {
    (void)err;
    ap_roster *roster = context;
    uint32_t label = ap_intern_find(roster->labels[AP_BY_SPECIES], species->common);
    if (label) {
        roster->species[label] = species;
    }
    return AP_OK;
}

ap_status ap_roster_wood_species(ap_roster *roster, ap_book *book, ap_error *err) {
    size_t labels = (size_t)ap_intern_count(roster->labels[AP_BY_SPECIES]) + 1;
    roster->species = ap_arena_alloc_array(&roster->arena, labels, sizeof(const ap_species *));
    ap_status status = ap_arena_check(&roster->arena, "the species of the roster", err);
    return status == AP_OK ? ap_book_each_species(book, take_species, roster, err) : status;
}

double ap_roster_density_log(const ap_roster *roster, uint32_t species, ap_date day) {
    const ap_species *info = species && roster->species ? roster->species[species] : NULL;
    const ap_assumption *held = info ? ap_assumption_in_force(&roster->assumptions, info->id, day) : NULL;
    return held && info->density_kg_m3 > 0 ? log(held->density_kg_m3 / info->density_kg_m3) : 0;
}

void ap_roster_wood_plans(ap_roster *roster, ap_date until) {
    roster->until = until;
    for (size_t i = 0; roster->assumptions.count && i < roster->count; i++) {
        ap_fact *fact = &roster->facts[i];
        uint32_t species = ap_fact_group(fact, AP_BY_SPECIES);
        if (fact->wood & AP_FACT_PLANNED_BY_DENSITY) {
            fact->replanned_log = (float)(ap_roster_density_log(roster, species, until) -
                                          ap_roster_density_log(roster, species, fact->date));
        }
    }
}
