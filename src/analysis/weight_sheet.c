#include "analysis/weight_sheet.h"

#include "derive/wood.h"

enum { WEIGHED_KINDS = AP_WEIGHED_BY_SCALE + 1 };

/* W2 */
static bool is_evidence(const ap_roster *roster, const ap_fact *fact) {
    const ap_species *species = roster->species ? roster->species[ap_fact_group(fact, AP_BY_SPECIES)] : NULL;
    bool flared = (fact->wood & AP_FACT_BUTT) && !(fact->wood & AP_FACT_MID_TAPED);
    bool sound = fact->wood_class == AP_WOOD_SOUND || fact->wood_class == AP_WOOD_CONDITION_BLANK;
    return species && species->density_kg_m3 > 0 && fact->measured_net_kg > 0 && fact->rest->volume_m3 > 0 && sound &&
           !flared && !(fact->wood & (AP_FACT_BRUSHY | AP_FACT_IMPOSSIBLE | AP_FACT_ALL_BRUSH));
}

static ap_status take_picks(ap_pooled_picks *out, const ap_roster *roster, ap_date day, ap_error *err) {
    *out = (ap_pooled_picks){.cut_labels = 0};
    out->items = calloc(roster->count + 1, sizeof *out->items);
    if (!out->items || roster->count > UINT32_MAX / 2) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the weights of %zu picks", roster->count);
    }
    for (size_t i = 0; i < roster->count; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (!is_evidence(roster, fact)) {
            continue;
        }
        uint32_t label = ap_fact_group(fact, AP_BY_SPECIES);
        double density = roster->species[label]->density_kg_m3 * exp(ap_roster_density_log(roster, label, day));
        out->items[out->count++] = (ap_pooled_pick){
            .e = log(fact->measured_net_kg / (fact->rest->volume_m3 * density)),
            .fact = (uint32_t)i,
            .tree = ap_fact_group(fact, AP_BY_TREE),
            .species = fact->label_species,
            .instrument = ap_fact_group(fact, AP_BY_CRANE) * WEIGHED_KINDS + fact->weighed_by,
        };
    }
    return AP_OK;
}

/* Number of the row from 1 whose span holds this diameter: (number - 1) step < d <= number step. */
static size_t row_of(double diameter_m, double step_m) {
    double number = ceil(diameter_m / step_m - 1e-6); /* a float keeps seven digits */
    return number < 1 ? 1 : number > AP_SHEET_ROWS_MAX ? AP_SHEET_ROWS_MAX : (size_t)number;
}

/* Each tree counts once in a row. */
static bool count_rows(ap_sheet_row *rows, const ap_pooled_picks *picks, const ap_roster *roster, uint32_t label,
                       double step_m) {
    ap_key_map seen = {0};
    bool done = true;
    for (size_t i = 0; done && i < picks->count; i++) {
        const ap_pooled_pick *pick = &picks->items[i];
        if (pick->species == label) {
            size_t row = row_of((double)roster->facts[pick->fact].rest->diameter_m, step_m);
            const uint32_t key[AP_WEIGHTS_BY_MAX] = {(uint32_t)row, pick->tree};
            size_t before = seen.count;
            uint32_t number = 0;
            done = ap_key_map_add(&seen, key, &number);
            rows[row - 1].picks++;
            rows[row - 1].trees += seen.count > before;
        }
    }
    ap_key_map_release(&seen);
    return done;
}

static ap_status fill_species(ap_sheet_species *one, ap_arena *arena, const ap_pooled *pooled,
                              const ap_pooled_picks *picks, const ap_roster *roster, double step_m, ap_error *err) {
    uint32_t label = ap_intern_find(roster->labels[AP_BY_SPECIES], one->species->common);
    const uint32_t key[AP_WEIGHTS_BY_MAX] = {label};
    one->cell = label && pooled->level_count ? ap_pooled_find(&pooled->level[0], key) : NULL;
    one->picks = one->cell ? one->cell->count : 0;
    one->trees = one->cell ? one->cell->trees : 0;
    if (!one->accepted || !one->cell || !one->cell->bound) {
        one->why_none = !one->accepted ? AP_SHEET_NOT_ACCEPTED : one->cell ? AP_SHEET_NO_FACTOR : AP_SHEET_NO_EVIDENCE;
        return AP_OK;
    }
    one->rows = ap_arena_alloc_array(arena, AP_SHEET_ROWS_MAX, sizeof *one->rows);
    if (!one->rows) {
        return ap_arena_check(arena, "the weight sheet", err);
    }
    memset(one->rows, 0, AP_SHEET_ROWS_MAX * sizeof *one->rows);
    if (!count_rows(one->rows, picks, roster, label, step_m)) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the weight sheet");
    }
    double per_area = one->accepted->density_kg_m3 * one->cell->bound->planning;
    for (size_t r = 0; r < AP_SHEET_ROWS_MAX; r++) {
        ap_sheet_row row = one->rows[r];
        row.diameter_m = (double)(r + 1) * step_m;
        row.kg_per_m = per_area * atan(1.0) * row.diameter_m * row.diameter_m;
        if (row.picks) {
            one->rows[one->row_count++] = row;
        }
    }
    return AP_OK;
}

ap_status ap_weight_sheet_work_out(ap_weight_sheet *out, ap_arena *arena, const ap_roster *roster,
                                   const ap_species *const *species, size_t species_count, ap_date day, double step_m,
                                   ap_error *err) {
    static const ap_by by[] = {AP_BY_SPECIES};
    ap_pooled_picks picks;
    *out = (ap_weight_sheet){.step_m = step_m};
    ap_status status = take_picks(&picks, roster, day, err);
    if (status == AP_OK) {
        status = ap_pooled_fit(&out->pooled, arena, &picks, by, 1, err);
    }
    for (size_t i = 0; status == AP_OK && i < species_count && i < AP_SHEET_SPECIES_MAX; i++) {
        ap_sheet_species *one = &out->species[out->species_count++];
        one->species = species[i];
        one->accepted = ap_assumption_in_force(&roster->assumptions, species[i]->id, day);
        status = fill_species(one, arena, &out->pooled, &picks, roster, step_m, err);
    }
    ap_pooled_picks_release(&picks);
    return status;
}
