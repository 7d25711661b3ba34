/* Volume, density and weight of one piece, worked out without a log. `units` come first in sentences. */
#ifndef AP_REPORT_CALC_WOOD_H
#define AP_REPORT_CALC_WOOD_H

#include "derive/wood.h"
#include "report/calc_page.h"

/* `rule` NONE: the rule of choice. Errors: those of ap_volume_by(). */
AP_MUST_USE ap_status ap_calc_volume(ap_calc *out, ap_arena *arena, ap_unit_system units, const ap_stem *stem,
                                     ap_volume_rule rule, bool butt_piece, ap_error *err);

typedef struct ap_calc_wood {
    const ap_species *species; /* NULL: gravity and moisture alone */
    double gravity;            /* NaN: the species' */
    double moisture_pct;       /* NaN: the species' */
} ap_calc_wood;
/* Errors: AP_E_USAGE when neither says enough; those of mech/density. */
AP_MUST_USE ap_status ap_calc_density(ap_calc *out, ap_arena *arena, ap_unit_system units, const ap_calc_wood *wood,
                                      ap_error *err);

/* From a pick of which only the piece's fields are set. `density_from` names the density used. Errors: AP_E_DOMAIN when
 * the weight cannot be said, with the reason. */
AP_MUST_USE ap_status ap_calc_weight(ap_calc *out, ap_arena *arena, ap_unit_system units, const ap_wood *wood,
                                     ap_str density_from, ap_error *err);

#endif
