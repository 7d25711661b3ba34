#include "mech/stiffness.h"

static const ap_stiffness_kind kinds[] = {
    /* 12-strand polyester and the like, spliced eyes, limit at a fifth to a tenth of its breaking load. */
    {AP_LEG_KIND_EYE, 0.015, 0.008, 0.040, "from memory: low-stretch rope slings 1 to 4 % at the working load limit"},
    {AP_LEG_KIND_ADJUSTABLE, 0.020, 0.010, 0.050, "from memory: as an eye sling, with the hitch that bears it"},
    /* About 200 N/mm2 at the limit; bending of the links makes a chain about half as stiff as a straight bar. */
    {AP_LEG_KIND_CHAIN, 0.002, 0.001, 0.004, "from memory: mean stress at the limit of grade 8 chain, EN 818-4"},
    /* Breaking force 0.356 d2 x 1770 N/mm2 over a metallic area of 0.46 d2, a fifth of it at 65 GPa: 0.42 %. */
    {AP_LEG_KIND_WIRE, 0.004, 0.003, 0.006,
     "from memory: rope factors of EN 12385-4, modulus of a 6-strand rope in use"},
    {AP_LEG_KIND_ROUND, 0.030, 0.010, 0.050,
     "from memory: polyester about 3 %, high-modulus fibre about 1 % at the limit"},
    {AP_LEG_KIND_BALANCER, 0.020, 0.010, 0.050, "common practice, no source: taken as an adjustable sling"},
};

const ap_stiffness_kind *ap_stiffness_find(int kind) {
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        if (kinds[i].kind == kind)
            return &kinds[i];
    return NULL;
}

ap_status ap_stiffness_of_leg(ap_stiffness *out, int kind, double wll_kg, double length_m, ap_error *err) {
    const ap_stiffness_kind *row = ap_stiffness_find(kind);
    if (!row)
        return ap_error_set(err, AP_E_DOMAIN, "the kind of the sling is not known, so neither is its stiffness");
    if (!(wll_kg > 0.0) || !isfinite(wll_kg))
        return ap_error_set(err, AP_E_DOMAIN, "a working load limit of %.6g kg is not above zero", wll_kg);
    if (!(length_m > 0.0) || !isfinite(length_m))
        return ap_error_set(err, AP_E_DOMAIN, "a leg of %.6g m has no stiffness", length_m);
    double force = wll_kg * AP_STANDARD_GRAVITY / length_m;
    *out = (ap_stiffness){force / row->strain, force / row->strain_most, force / row->strain_least, row->source};
    return AP_OK;
}
