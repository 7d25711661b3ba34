#include "report/calc_wood.h"

#include "mech/balance.h"
#include "mech/density.h"
#include "page/number.h"

static const char eq_4_14[] = "Wood Handbook FPL-GTR-282, Eq 4-14";

static ap_str both(ap_arena *arena, ap_unit_system units, const char *us, const char *metric) {
    return units == AP_UNITS_US ? ap_arena_printf(arena, "%s (%s)", us, metric)
                                : ap_arena_printf(arena, "%s (%s)", metric, us);
}

static ap_str volume_text(ap_arena *arena, ap_unit_system units, double m3) {
    char us[AP_NUMBER_SIZE];
    char metric[AP_NUMBER_SIZE];
    snprintf(us, sizeof us, "%.3f ft³", ap_unit_from_si(AP_UNIT_FT3, m3));
    snprintf(metric, sizeof metric, "%.4f m³", m3);
    return both(arena, units, us, metric);
}

static ap_str quantity_text(ap_arena *arena, ap_unit_system units, ap_dim dim, double si) {
    char us[AP_NUMBER_SIZE];
    char metric[AP_NUMBER_SIZE];
    ap_quantity_text(us, AP_UNITS_US, dim, false, si);
    ap_quantity_text(metric, AP_UNITS_METRIC, dim, false, si);
    return both(arena, units, us, metric);
}

static ap_str density_text(ap_arena *arena, ap_unit_system units, double kg_m3) {
    return quantity_text(arena, units, AP_DIM_DENSITY, kg_m3);
}

static ap_str weight_text(ap_arena *arena, ap_unit_system units, double kg) {
    return quantity_text(arena, units, AP_DIM_LOAD, kg);
}

static const char *formula(ap_volume_rule rule) {
    switch (rule) {
    case AP_VOLUME_NEWTON:
        return "V = L pi/4 (B² + 4 M² + T²) / 6";
    case AP_VOLUME_SMALIAN:
        return "V = L pi/4 (B² + T²) / 2";
    case AP_VOLUME_HUBER:
        return "V = L pi/4 M²";
    case AP_VOLUME_NEILOID:
        return "V = L/4 (b + (b² t)^(1/3) + (b t²)^(1/3) + t), b and t the areas of the ends";
    case AP_VOLUME_CONIC:
    case AP_VOLUME_NONE:
        break;
    }
    return "V = L pi/12 (B² + B T + T²)";
}

/* What the other rules make of the same readings. */
static void other_rules(ap_calc *calc, const ap_stem *stem, ap_volume_rule used) {
    static const struct {
        ap_volume_rule rule;
        const char *key, *label;
    } rows[] = {
        {AP_VOLUME_CONIC, "conic_m3", "two-end conic"}, {AP_VOLUME_SMALIAN, "smalian_m3", "Smalian"},
        {AP_VOLUME_NEILOID, "neiloid_m3", "neiloid"},   {AP_VOLUME_HUBER, "huber_m3", "Huber"},
        {AP_VOLUME_NEWTON, "newton_m3", "Newton"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_volume volume;
        if (rows[i].rule != used && ap_volume_by(&volume, stem, rows[i].rule, false, NULL) == AP_OK) {
            ap_calc_quantity(calc, rows[i].key, rows[i].label, volume.volume_m3, AP_DIM_VOLUME, false);
        }
    }
}

ap_status ap_calc_volume(ap_calc *out, ap_arena *arena, ap_unit_system units, const ap_stem *stem, ap_volume_rule rule,
                         bool butt_piece, ap_error *err) {
    ap_volume volume;
    double cg = NAN;
    ap_status status = ap_volume_by(&volume, stem, rule, butt_piece, err);
    if (status != AP_OK) {
        return status;
    }
    /* Only the ends tell where it balances. */
    if (ap_balance_stem(&cg, stem, NULL) != AP_OK) {
        cg = NAN;
    }
    const char *name = ap_volume_rule_name(volume.rule);
    *out = (ap_calc){
        .answer = ap_arena_printf(
            arena, "%.*s by the %s formula.%s", AP_STR_ARG(volume_text(arena, units, volume.volume_m3)), name,
            volume.butt_flare_unmeasured ? " A butt piece without a mid diameter: flare makes this too large." : ""),
        .working = ap_arena_printf(
            arena,
            "%s; B butt, M mid, T tip diameter, L length, over bark for a volume over bark. Readings to an inch and to "
            "half a foot make it uncertain by up to %.0f %%. The balance point is that of a cone's frustum, or of the "
            "quadratic through three diameters, without brush.",
            formula(volume.rule), volume.reading_error * 100),
        .source = AP_STR_LIT("Briggs 1994, Forest Products Measurements and Conversion Factors, Table 2-1."),
    };
    ap_calc_quantity(out, "volume_m3", "volume", volume.volume_m3, AP_DIM_VOLUME, false);
    ap_calc_word(out, "method", "method", ap_str_from(name));
    ap_calc_quantity(out, "cg_m", "balance point from the butt", cg, AP_DIM_LENGTH, false);
    ap_calc_quantity(out, "reading_error", "reading error, at most", volume.reading_error, AP_DIM_SHARE, false);
    other_rules(out, stem, volume.rule);
    return AP_OK;
}

/* Heartwood and sapwood by Table 4-1; the wood alone, without bark. */
static void heart_and_sap(ap_calc *calc, const ap_species *species) {
    double heart = NAN;
    double sap = NAN;
    if (!isnan(species->heartwood_moisture_pct) &&
        ap_density_green(&heart, species->gravity, species->heartwood_moisture_pct, NULL) == AP_OK) {
        ap_calc_quantity(calc, "heartwood_kg_m3", "heartwood alone", heart, AP_DIM_DENSITY, false);
    }
    if (!isnan(species->sapwood_moisture_pct) &&
        ap_density_green(&sap, species->gravity, species->sapwood_moisture_pct, NULL) == AP_OK) {
        ap_calc_quantity(calc, "sapwood_kg_m3", "sapwood alone", sap, AP_DIM_DENSITY, false);
    }
}

static ap_str density_source(ap_arena *arena, const ap_calc_wood *wood, bool own) {
    const ap_species *species = wood->species;
    if (!species) {
        return ap_arena_printf(arena, "%s; ceiling: Eq 4-3 with 4-14.", eq_4_14);
    }
    const char *recalled = species->moisture_recalled ? " (heartwood and sapwood recalled, to be confirmed)" : "";
    return ap_arena_printf(arena, "%s%.*s%s; ceiling: Wood Handbook FPL-GTR-282, Eq 4-3 with 4-14.",
                           own ? "gravity or moisture as given, Wood Handbook FPL-GTR-282 Eq 4-14; the rest: " : "",
                           AP_STR_ARG(species->source), recalled);
}

static ap_str density_working(ap_arena *arena, const ap_species *species, double gravity, double moisture,
                              double wood_kg_m3, double whole) {
    ap_str bare = ap_arena_printf(arena, "Wood: 1000 x %.3g x (1 + %.4g / 100) = %.0f kg/m³.", gravity, moisture,
                                  1000 * gravity * (1 + moisture / 100));
    if (!species || isnan(species->bark_density_kg_m3)) {
        return ap_arena_printf(arena, "%.*s Bark is not in it.", AP_STR_ARG(bare));
    }
    return ap_arena_printf(
        arena,
        "%.*s With bark over the volume outside the bark: (100 x %.0f + %.4g x %.0f) / (100 + %.4g) = %.0f kg/m³. The "
        "table prints densities to half a pound or so and moisture to 0.1 %%, so the two lines may differ by as much.",
        AP_STR_ARG(bare), wood_kg_m3, species->bark_volume_pct, species->bark_density_kg_m3, species->bark_volume_pct,
        whole);
}

typedef struct density_figures {
    double gravity, moisture_pct;
    double wood, whole, ceiling, most_pct;
    bool own;       /* gravity or moisture was given */
    bool with_bark; /* `whole` has the bark in it */
} density_figures;

static ap_status density_figures_of(density_figures *out, const ap_calc_wood *wood, ap_error *err) {
    const ap_species *species = wood->species;
    bool gravity_given = !isnan(wood->gravity);
    bool moisture_given = !isnan(wood->moisture_pct);
    if (!species && !(gravity_given && moisture_given)) {
        return ap_error_set(err, AP_E_USAGE,
                            "a density needs a species, or both --gravity and --moisture; see 'afterpick calc density "
                            "--help'");
    }
    density_figures f = {.gravity = gravity_given ? wood->gravity : species->gravity,
                         .moisture_pct = moisture_given ? wood->moisture_pct : species->moisture_pct,
                         .own = gravity_given || moisture_given};
    ap_status status = ap_density_green(&f.wood, f.gravity, f.moisture_pct, err);
    status = status == AP_OK ? ap_density_ceiling(&f.ceiling, f.gravity, err) : status;
    status = status == AP_OK ? ap_density_max_moisture(&f.most_pct, f.gravity, err) : status;
    f.whole = f.wood;
    if (status != AP_OK || !species) {
        *out = f;
        return status;
    }
    f.wood = f.own ? f.wood : species->wood_density_kg_m3;
    f.whole = f.wood;
    if (!f.own && !isnan(species->density_kg_m3)) {
        f.whole = species->density_kg_m3;
        f.with_bark = true;
    } else if (!isnan(species->bark_density_kg_m3)) {
        status = ap_density_with_bark(&f.whole, f.wood, species->bark_density_kg_m3, species->bark_volume_pct, err);
        f.with_bark = true;
    }
    *out = f;
    return status;
}

ap_status ap_calc_density(ap_calc *out, ap_arena *arena, ap_unit_system units, const ap_calc_wood *wood,
                          ap_error *err) {
    density_figures f = {0};
    ap_status status = density_figures_of(&f, wood, err);
    if (status != AP_OK) {
        return status;
    }
    const ap_species *species = wood->species;
    const char *weak = species && !f.own ? ap_species_weak_text(species) : "";
    ap_str name = species ? species->common : AP_STR_LIT("wood of that gravity and moisture");
    *out = (ap_calc){
        .answer = ap_arena_printf(arena, "%.*s: %.*s green%s; no sound wood of it is heavier than %.*s.%s%s%s",
                                  AP_STR_ARG(name), AP_STR_ARG(density_text(arena, units, f.whole)),
                                  f.with_bark ? ", with bark" : ", without bark",
                                  AP_STR_ARG(density_text(arena, units, f.ceiling)), weak[0] ? " A weak figure: " : "",
                                  weak, weak[0] ? "." : ""),
        .working = density_working(arena, species, f.gravity, f.moisture_pct, f.wood, f.whole),
        .source = density_source(arena, wood, f.own),
        .caution = AP_STR_LIT("An average of sound green wood: trees differ, and dead, decayed or hollow wood is none. "
                              "Not a planned weight."),
    };
    if (species) {
        ap_calc_word(out, "species", "species", species->common);
    }
    ap_calc_quantity(out, "density_kg_m3", f.with_bark ? "wood and bark" : "wood without bark", f.whole, AP_DIM_DENSITY,
                     false);
    ap_calc_quantity(out, "wood_kg_m3", "wood alone", f.with_bark ? f.wood : NAN, AP_DIM_DENSITY, false);
    if (species && !f.own) {
        heart_and_sap(out, species);
    }
    ap_calc_quantity(out, "ceiling_kg_m3", "ceiling for sound wood", f.ceiling, AP_DIM_DENSITY, false);
    ap_calc_number(out, "gravity", "specific gravity, green volume", f.gravity);
    ap_calc_number(out, "moisture_pct", "moisture, % of the dry weight", f.moisture_pct);
    ap_calc_number(out, "max_moisture_pct", "moisture at the ceiling", f.most_pct);
    return AP_OK;
}

ap_status ap_calc_weight(ap_calc *out, ap_arena *arena, ap_unit_system units, const ap_wood *wood, ap_str density_from,
                         ap_error *err) {
    if (isnan(wood->worked_net_kg.value)) {
        return ap_error_set(err, AP_E_DOMAIN, "the weight cannot be said: %s", wood->worked_net_kg.why);
    }
    const ap_wood_value *net = &wood->worked_net_kg;
    *out = (ap_calc){
        .answer = ap_arena_printf(arena, "About %.*s net%s.%s%s%s%s", AP_STR_ARG(weight_text(arena, units, net->value)),
                                  wood->brush_allowance.value > 0 ? ", brush included" : ", bare of brush",
                                  wood->accepted_lowers ? " By an accepted density: LOWERS PLANNED WEIGHT." : "",
                                  wood->flare_unmeasured ? " The volume is " : "",
                                  wood->flare_unmeasured ? wood->volume_m3.why : "", wood->flare_unmeasured ? "." : ""),
        .working = ap_arena_printf(
            arena, "%.*s by the %s formula x %.*s (%.*s) x (1 + brush %.3g) = %.*s.",
            AP_STR_ARG(volume_text(arena, units, wood->volume_m3.value)), ap_volume_rule_name(wood->rule),
            AP_STR_ARG(density_text(arena, units, wood->density_kg_m3.value)), AP_STR_ARG(density_from),
            wood->brush_allowance.value, AP_STR_ARG(weight_text(arena, units, net->value))),
        .source =
            AP_STR_LIT("Briggs 1994, Table 2-1 (volume); US Forest Service FIA REF_SPECIES (density by the handbook)."),
        .caution =
            AP_STR_LIT("Not a planned weight and not a load chart: add your planning factor ('afterpick factors') "
                       "and the rigging, weigh the pick, look at the crane's chart, ask the operator."),
    };
    ap_calc_quantity(out, "net_kg", "net weight", net->value, AP_DIM_LOAD, false);
    ap_calc_quantity(out, "stem_kg", "stem alone", wood->stem_kg.value, AP_DIM_LOAD, false);
    ap_calc_quantity(out, "volume_m3", "volume", wood->volume_m3.value, AP_DIM_VOLUME, false);
    ap_calc_word(out, "method", "method", ap_str_from(ap_volume_rule_name(wood->rule)));
    ap_calc_quantity(out, "density_kg_m3", "density", wood->density_kg_m3.value, AP_DIM_DENSITY, false);
    if (wood->accepted_lowers) {
        ap_calc_word(out, "mark", "mark of the density", AP_STR_LIT("LOWERS PLANNED WEIGHT"));
    }
    ap_calc_quantity(out, "brush_allowance", "brush on the stem's weight", wood->brush_allowance.value, AP_DIM_SHARE,
                     false);
    ap_calc_quantity(out, "cg_m", "balance point from the butt", wood->cg_m.value, AP_DIM_LENGTH, false);
    ap_calc_quantity(out, "reading_error", "reading error, at most", wood->volume_bound, AP_DIM_SHARE, false);
    return AP_OK;
}
