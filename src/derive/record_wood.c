#include "derive/record_parts.h"

static void add_stem(ap_record *record, const ap_pick *pick) {
    ap_record_cell(record, pick, AP_F_length);
    ap_record_cell(record, pick, AP_F_butt_diameter);
    ap_record_cell(record, pick, AP_F_mid_diameter);
    ap_record_cell(record, pick, AP_F_tip_diameter);
}

static ap_record *add_value(ap_record_list *list, const ap_record_what *what, const ap_wood_value *value) {
    ap_record *record = ap_record_add(list, what, value->value);
    ap_record_why(record, list, value->why);
    return record;
}

static void add_volume(ap_record_list *list, const ap_record_given *given) {
    static const char source[] = "Briggs, Forest Products Measurements and Conversion Factors, 1994, Table 2-1";
    static const ap_record_what conic = {"wood",
                                         "volume_m3",
                                         "volume of the stem, over bark",
                                         AP_DIM_VOLUME,
                                         "pi L (D1^2 + D1 D2 + D2^2) / 12: conic, by both ends",
                                         source};
    static const ap_record_what newton = {"wood",
                                          "volume_m3",
                                          "volume of the stem, over bark",
                                          AP_DIM_VOLUME,
                                          "pi L (D1^2 + 4 Dm^2 + D2^2) / 24: Newton, by both ends and the middle",
                                          source};
    static const ap_record_what bound = {"wood",
                                         "volume_bound",
                                         "reading error of the volume at most",
                                         AP_DIM_SHARE,
                                         "every reading off by half its step in one direction",
                                         ""};
    const ap_wood *w = given->wood;
    ap_record *record = add_value(list, w->rule == AP_VOLUME_NEWTON ? &newton : &conic, &w->volume_m3);
    add_stem(record, given->pick);
    if (!isnan(w->volume_bound)) {
        record = ap_record_add(list, &bound, w->volume_bound);
        add_stem(record, given->pick);
        ap_record_value(record, "step of diameters", AP_DIM_LENGTH, given->company->settings->diameter_step_m,
                        AP_ORIGIN_SETTING, "diameter_step");
        ap_record_value(record, "step of lengths", AP_DIM_LENGTH, given->company->settings->length_step_m,
                        AP_ORIGIN_SETTING, "length_step");
    }
}

static void add_density(ap_record_list *list, const ap_record_given *given) {
    static const ap_record_what used = {"wood",
                                        "density_kg_m3",
                                        "green density used",
                                        AP_DIM_DENSITY,
                                        "the company's accepted figure; else the handbook's wood and bark",
                                        "US Forest Service FIA REF_SPECIES"};
    static const ap_record_what ceiling = {
        "wood",         "ceiling_kg_m3",      "no sound wood is heavier than",
        AP_DIM_DENSITY, "1000 (1 + 0.351 G)", "Wood Handbook FPL-GTR-282, Eq 4-3 with 4-14"};
    static const ap_record_what implied = {"wood",
                                           "implied_density_kg_m3",
                                           "density that its weight implies",
                                           AP_DIM_DENSITY,
                                           "measured net / (volume (1 + brush allowance))",
                                           ""};
    const ap_wood *w = given->wood;
    ap_record *record = add_value(list, &used, &w->density_kg_m3);
    ap_record_cell(record, given->pick, AP_F_species);
    ap_record_value(record, w->density_kg_m3.from == AP_ORIGIN_ACCEPTED ? "accepted figure" : "wood and bark",
                    AP_DIM_DENSITY, w->density_kg_m3.value, w->density_kg_m3.from,
                    w->density_kg_m3.from == AP_ORIGIN_HANDBOOK ? "FIA REF_SPECIES" : "");
    record = add_value(list, &ceiling, &w->ceiling_kg_m3);
    ap_record_cell(record, given->pick, AP_F_species);
    double measured = given->derived->measured_net_kg;
    double density = ap_wood_implied_density(w, measured);
    record = ap_record_add(list, &implied, density);
    ap_record_from(record, "measured net weight", AP_DIM_LOAD, measured);
    ap_record_from(record, "volume of the stem", AP_DIM_VOLUME, w->volume_m3.value);
    ap_record_from(record, "brush allowance", AP_DIM_SHARE, w->brush_allowance.value);
    ap_record_why(
        record, list,
        isnan(measured)                   ? "its net weight was not measured"
        : isnan(w->volume_m3.value)       ? w->volume_m3.why
        : isnan(w->brush_allowance.value) ? w->brush_allowance.why
        : ap_wood_passes_ceiling(w, measured)
            ? "above the ceiling by more than the reading error: a dimension, a tare or the indicator is wrong"
            : "");
}

static void add_worked(ap_record_list *list, const ap_record_given *given) {
    static const ap_record_what brush = {"wood",
                                         "brush_allowance",
                                         "brush on the stem's weight",
                                         AP_DIM_SHARE,
                                         "s / (1 - s) of a logged share s; else learnt; a stem piece 0",
                                         ""};
    static const ap_record_what worked = {"wood",
                                          "worked_net_kg",
                                          "weight by volume and density",
                                          AP_DIM_LOAD,
                                          "volume x density x (1 + brush allowance)",
                                          ""};
    const ap_wood *w = given->wood;
    ap_record *record = add_value(list, &brush, &w->brush_allowance);
    ap_record_cell(record, given->pick, AP_F_brush_share);
    ap_record_cell(record, given->pick, AP_F_piece);
    ap_record_cell(record, given->pick, AP_F_foliage);
    record = add_value(list, &worked, &w->worked_net_kg);
    ap_record_from(record, "volume of the stem", AP_DIM_VOLUME, w->volume_m3.value);
    ap_record_from(record, "green density used", AP_DIM_DENSITY, w->density_kg_m3.value);
    ap_record_from(record, "brush allowance", AP_DIM_SHARE, w->brush_allowance.value);
}

void ap_records_wood(ap_record_list *list, const ap_record_given *given) {
    add_volume(list, given);
    add_density(list, given);
    add_worked(list, given);
}
