/* What the topics of wood share: dimensions and the species. */
#ifndef AP_CLI_CALC_WOOD_H
#define AP_CLI_CALC_WOOD_H

#include "base/species.h"
#include "cli/calc_topics.h"
#include "mech/volume.h"

/* --butt, --mid, --tip, --length, as far as `rule` needs them. A length in metric units makes the page metric unless --units
 * says otherwise. */
AP_MUST_USE ap_status ap_calc_get_stem(ap_stem *out, ap_cli *cli, ap_volume_rule rule, ap_error *err);
/* By the words of the command line as one name, quoted or not: from the book of --book or AFTERPICK_BOOK, which knows local names, else from what every new book starts with. */
AP_MUST_USE ap_status ap_calc_get_species(const ap_species **out, ap_cli *cli, ap_error *err);

#define AP_CALC_STEM_OPTIONS                                                                                           \
    {"butt", "LENGTH", "diameter of the thick end, with its unit: 12in, 30cm"},                                        \
        {"mid", "LENGTH", "diameter half way, where it was taped"}, {"tip", "LENGTH", "diameter of the thin end"},     \
        {"length", "LENGTH", "of the piece: 16ft, '16 ft 6 in', 4.9m"}, {                                              \
        "butt-piece", NULL, "the piece stood on the stump: flare"                                                      \
    }

#endif
