#include "mech/density.h"

/* Specific gravity of the cell wall: FPL-GTR-282, Eq 4-3. */
static const double CELL_WALL = 1.54;
static const double WATER_KG_M3 = 1000.0;

static ap_status check_gravity(double basic_gravity, ap_error *err) {
    if (basic_gravity > 0.0 && basic_gravity < CELL_WALL)
        return AP_OK;
    return ap_error_set(err, AP_E_DOMAIN, "a basic specific gravity of %.4g is not wood: it lies between 0 and %.2f",
                        basic_gravity, CELL_WALL);
}

ap_status ap_density_green(double *out_kg_m3, double basic_gravity, double moisture_pct, ap_error *err) {
    ap_status status = check_gravity(basic_gravity, err);
    if (status != AP_OK)
        return status;
    if (!(moisture_pct >= 0.0) || !isfinite(moisture_pct))
        return ap_error_set(err, AP_E_DOMAIN, "a moisture content of %.4g %% is not one", moisture_pct);
    double most = 0.0;
    status = ap_density_max_moisture(&most, basic_gravity, err);
    if (status != AP_OK)
        return status;
    if (moisture_pct > most * (1.0 + 1e-9))
        return ap_error_set(err, AP_E_DOMAIN,
                            "a moisture content of %.1f %% does not fit into wood of gravity %.3f: at most %.1f %%",
                            moisture_pct, basic_gravity, most);
    *out_kg_m3 = WATER_KG_M3 * basic_gravity * (1.0 + moisture_pct / 100.0);
    return AP_OK;
}

ap_status ap_density_with_bark(double *out_kg_m3, double wood_kg_m3, double bark_kg_m3, double bark_volume_pct,
                               ap_error *err) {
    if (!(wood_kg_m3 > 0.0) || !isfinite(wood_kg_m3) || !(bark_kg_m3 > 0.0) || !isfinite(bark_kg_m3))
        return ap_error_set(err, AP_E_DOMAIN, "densities of %.4g (wood) and %.4g (bark) kg/m3 must be above zero",
                            wood_kg_m3, bark_kg_m3);
    if (!(bark_volume_pct >= 0.0) || !(bark_volume_pct <= 100.0))
        return ap_error_set(err, AP_E_DOMAIN, "a bark volume of %.4g %% of the wood is outside 0 to 100 %%",
                            bark_volume_pct);
    *out_kg_m3 = (100.0 * wood_kg_m3 + bark_volume_pct * bark_kg_m3) / (100.0 + bark_volume_pct);
    return AP_OK;
}

ap_status ap_density_max_moisture(double *out_pct, double basic_gravity, ap_error *err) {
    ap_status status = check_gravity(basic_gravity, err);
    if (status == AP_OK)
        *out_pct = 100.0 * (CELL_WALL - basic_gravity) / (CELL_WALL * basic_gravity);
    return status;
}

ap_status ap_density_ceiling(double *out_kg_m3, double basic_gravity, ap_error *err) {
    ap_status status = check_gravity(basic_gravity, err);
    if (status == AP_OK)
        *out_kg_m3 = WATER_KG_M3 * (1.0 + basic_gravity * (1.0 - 1.0 / CELL_WALL));
    return status;
}

bool ap_density_is_suspect(double weight_kg, double volume_m3, double basic_gravity, double volume_reading_error) {
    double ceiling = 0.0;
    if (!(weight_kg > 0.0) || !(volume_m3 > 0.0) || ap_density_ceiling(&ceiling, basic_gravity, NULL) != AP_OK)
        return false;
    double allowance = volume_reading_error > 0.0 ? volume_reading_error : 0.0;
    return weight_kg / volume_m3 > ceiling * (1.0 + allowance) * (1.0 + 1e-9);
}
