/* The density model's view of the roster: weighed pieces with a volume. */
#include "analysis/density.h"

const char *ap_density_unused_text(ap_density_unused why) {
    static const char *const texts[AP_DENSITY_UNUSED_COUNT] = {
        "used",
        "not weighed (or net and gross not known)",
        "without a species",
        "of a species without a handbook figure",
        "without a length or an end diameter",
        "with impossible dimensions (tip thicker than butt, zero length)",
        "with a brush share of 100 %, which leaves no stem",
    };
    return texts[why];
}

static const ap_species *species_of(const ap_roster *roster, uint32_t label) {
    return label && roster->species ? roster->species[label] : NULL;
}

ap_density_unused ap_density_why_unused(const ap_roster *roster, const ap_fact *fact) {
    const ap_species *species = species_of(roster, ap_fact_group(fact, AP_BY_SPECIES));
    if (!(fact->measured_net_kg > 0)) {
        return AP_DENSITY_NOT_WEIGHED;
    }
    if (!species) {
        return AP_DENSITY_NO_SPECIES;
    }
    if (!(species->density_kg_m3 > 0)) {
        return AP_DENSITY_NO_HANDBOOK;
    }
    if (fact->wood & AP_FACT_IMPOSSIBLE) {
        return AP_DENSITY_IMPOSSIBLE;
    }
    if (!(fact->rest->volume_m3 > 0)) {
        return AP_DENSITY_NO_DIMENSIONS;
    }
    return fact->wood & AP_FACT_ALL_BRUSH ? AP_DENSITY_ALL_BRUSH : AP_DENSITY_USED;
}

ap_str ap_density_brush_text(ap_arena *arena, uint32_t brush_class) {
    static const char *const groups[] = {"", "hardwood", "softwood"};
    int piece = (int)brush_class / 12;
    int foliage = (int)brush_class / 3 % 4;
    ap_str named = ap_str_from(piece ? ap_word_get(AP_VOC_PIECE, piece) : "piece of no recorded kind");
    ap_str leaves = foliage ? ap_word_plain(arena, ap_str_from(ap_word_get(AP_VOC_FOLIAGE, foliage)))
                            : AP_STR_LIT("foliage not recorded");
    return ap_arena_printf(arena, "%.*s, %.*s, %s", AP_STR_ARG(named), AP_STR_ARG(leaves), groups[brush_class % 3]);
}

/* Numbers of the words behind a grouping's labels. */
static void word_numbers(uint8_t *out, const ap_roster *roster, ap_by by, ap_vocabulary vocabulary) {
    for (uint32_t label = 1; label <= ap_intern_count(roster->labels[by]); label++) {
        out[label] = (uint8_t)ap_word_find(vocabulary, ap_intern_get(roster->labels[by], label));
    }
}

static ap_density_pick make_pick(const ap_roster *roster, size_t number, const uint8_t *piece, const uint8_t *foliage) {
    const ap_fact *fact = &roster->facts[number];
    const ap_species *species = species_of(roster, ap_fact_group(fact, AP_BY_SPECIES));
    ap_density_pick pick = {
        .y = log(fact->measured_net_kg / fact->rest->volume_m3) - log(species->density_kg_m3),
        .fact = (uint32_t)number,
        .tree = ap_fact_group(fact, AP_BY_TREE),
        .species = ap_fact_group(fact, AP_BY_SPECIES),
        .condition = fact->wood_class == AP_WOOD_CONDITION_BLANK ? AP_WOOD_SOUND : fact->wood_class,
        .butt = (fact->wood & AP_FACT_BUTT) && !(fact->wood & AP_FACT_MID_TAPED),
        .above_ceiling = (fact->wood & AP_FACT_ABOVE_CEILING) != 0,
    };
    if (fact->wood & AP_FACT_BRUSHY) {
        pick.brush = (uint8_t)(1 + ap_wood_brush_number(piece[ap_fact_group(fact, AP_BY_PIECE)],
                                                        foliage[ap_fact_group(fact, AP_BY_FOLIAGE)],
                                                        species->hardwood ? AP_WOOD_HARDWOOD : AP_WOOD_SOFTWOOD));
    }
    return pick;
}

ap_status ap_density_picks_take(ap_density_picks *out, const ap_roster *roster, size_t first, size_t end,
                                ap_error *err) {
    *out = (ap_density_picks){.labels = ap_intern_count(roster->labels[AP_BY_SPECIES]),
                              .species = (const ap_species *const *)roster->species,
                              .outside = roster->evidence.items,
                              .outside_count = roster->evidence.item_count};
    size_t pieces = (size_t)ap_intern_count(roster->labels[AP_BY_PIECE]) + 1;
    size_t foliages = (size_t)ap_intern_count(roster->labels[AP_BY_FOLIAGE]) + 1;
    uint8_t *piece = calloc(pieces + foliages, 1);
    out->items = calloc(end - first + 1, sizeof *out->items);
    out->unused_of = calloc((size_t)out->labels + 1, sizeof *out->unused_of);
    if (!piece || !out->items || !out->unused_of || end > UINT32_MAX / 2) {
        free(piece);
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the wood of %zu picks", end - first);
    }
    word_numbers(piece, roster, AP_BY_PIECE, AP_VOC_PIECE);
    word_numbers(piece + pieces, roster, AP_BY_FOLIAGE, AP_VOC_FOLIAGE);
    for (size_t i = first; i < end; i++) {
        ap_density_unused why = ap_density_why_unused(roster, &roster->facts[i]);
        out->unused[why]++;
        out->unused_of[ap_fact_group(&roster->facts[i], AP_BY_SPECIES)][why]++;
        if (why == AP_DENSITY_USED) {
            out->items[out->count++] = make_pick(roster, i, piece, piece + pieces);
        }
    }
    free(piece);
    return AP_OK;
}

void ap_density_picks_release(ap_density_picks *picks) {
    free(picks->items);
    free(picks->unused_of);
    *picks = (ap_density_picks){0};
}
