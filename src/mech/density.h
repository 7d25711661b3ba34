/* Green density of wood, of wood with bark, and the ceiling that sound wood cannot pass.
 *
 * Units   kg/m3; moisture in percent of the oven-dry weight; G = basic specific gravity (oven-dry weight, green
 *         volume), 1.
 * Source  Wood Handbook, FPL-GTR-282 (2021): Eq 4-14 (density), Eq 4-3 (maximum moisture content; 1.54 is the specific
 *         gravity of the cell wall); wood with bark by the columns of the US Forest Service FIA table REF_SPECIES.
 * Errors  AP_E_DOMAIN for a figure outside what the formula means; the message gives it; *out is untouched. */
#ifndef AP_MECH_DENSITY_H
#define AP_MECH_DENSITY_H

#include "base/status.h"

/* 1000 G (1 + MC/100). */
AP_MUST_USE ap_status ap_density_green(double *out_kg_m3, double basic_gravity, double moisture_pct, ap_error *err);
/* Wood with bark over the volume outside the bark: (100 Dw + bv Db) / (100 + bv), bv = bark volume in percent of the
 * wood volume inside the bark. */
AP_MUST_USE ap_status ap_density_with_bark(double *out_kg_m3, double wood_kg_m3, double bark_kg_m3,
                                           double bark_volume_pct, ap_error *err);
/* 100 (1.54 - G) / (1.54 G): every pore full of water. */
AP_MUST_USE ap_status ap_density_max_moisture(double *out_pct, double basic_gravity, ap_error *err);
/* Density at that moisture: 1000 (1 + 0.351 G). */
AP_MUST_USE ap_status ap_density_ceiling(double *out_kg_m3, double basic_gravity, ap_error *err);

/* Does a weight over a volume pass the ceiling by more than the volume's relative reading error? Then a dimension, a
 * tare or the indicator is wrong, or the piece is not sound wood. False when a figure is missing (NaN). */
bool ap_density_is_suspect(double weight_kg, double volume_m3, double basic_gravity, double volume_reading_error);

#endif
