#include "analysis/pooled.h"

#include "analysis/pooled_private.h"
#include "stats/rates.h"

bool ap_pooled_knows(const ap_by *by, size_t by_count) {
    for (size_t k = 0; k < by_count; k++) {
        if (by[k] != AP_BY_SPECIES && by[k] != AP_BY_CUT && by[k] != AP_BY_ESTIMATOR) {
            return false;
        }
    }
    return by_count <= AP_WEIGHTS_BY_MAX;
}

const ap_pooled_cell *ap_pooled_find(const ap_pooled_level *level, const uint32_t key[AP_WEIGHTS_BY_MAX]) {
    uint32_t cut_off[AP_WEIGHTS_BY_MAX] = {0};
    memcpy(cut_off, key, level->by_count * sizeof *key);
    uint32_t number = 0;
    return ap_key_map_find(&level->map, cut_off, &number) ? &level->cells[number] : NULL;
}

static const ap_pooled_cell *cell_with_bound(size_t *of, const ap_pooled *pooled, const uint32_t *key) {
    for (size_t l = 0; l < pooled->level_count; l++) {
        const ap_pooled_cell *cell = ap_pooled_find(&pooled->level[l], key);
        if (cell && cell->has_own) {
            *of = l;
            return cell;
        }
    }
    return NULL;
}

const ap_pooled_bound *ap_pooled_bound_for(const ap_pooled *pooled, const uint32_t key[AP_WEIGHTS_BY_MAX]) {
    size_t of = 0;
    const ap_pooled_cell *cell = cell_with_bound(&of, pooled, key);
    return cell ? cell->bound : NULL;
}

/* z against the cell's scale with the pick's own square taken out, else one wild pick would widen its own yardstick. */
static double suspect_z(const ap_pooled_level *level, const ap_pooled_cell *cell, double e) {
    double prior = cell->scale_df - cell->own_scale_df;
    double pooled2 = level->tree_variance + level->rest_variance;
    double off = e - cell->pooled_log;
    double squares = cell->own_scale_df > 0 ? cell->own_scale2 * cell->own_scale_df : 0;
    double df = fmax(prior, cell->scale_df - 1);
    return off / sqrt((prior * pooled2 + fmax(0, squares - off * off)) / df);
}

/* Marks the level's suspects; returns how many there are. */
static size_t mark_suspects(bool *mark, double *z, const ap_pooled_level *level, const ap_pooled_picks *picks,
                            const pooled_order *order) {
    size_t count = 0;
    for (size_t i = 0; level->fitted && i < picks->count; i++) {
        ap_pooled_cell *cell = &level->cells[order->cell[i]];
        z[i] = cell->named && cell->scale > 0 ? suspect_z(level, cell, picks->items[i].e) : 0;
        if (fabs(z[i]) > AP_POOLED_SUSPECT_Z || picks->items[i].above_ceiling) {
            mark[i] = true;
            cell->suspects++;
            count++;
        }
    }
    return count;
}

static ap_status list_suspects(ap_pooled *out, ap_arena *arena, const ap_pooled_picks *picks, const bool *mark,
                               const double *z, size_t count, ap_error *err) {
    out->suspects = ap_arena_alloc_array(arena, count + 1, sizeof *out->suspects);
    for (size_t i = 0; out->suspects && i < picks->count; i++) {
        if (mark[i]) {
            out->suspects[out->suspect_count++] = (ap_suspect){
                picks->items[i].fact, picks->items[i].above_ceiling ? AP_SUSPECT_CEILING : AP_SUSPECT_FAR, z[i]};
        }
    }
    return ap_arena_check(arena, "the suspects", err);
}

/* P4: the level once more without the suspects; each cell keeps that bound beside its own. */
static ap_status fit_without(ap_pooled_level *level, ap_arena *arena, const ap_pooled_picks *picks,
                             const pooled_order *order, const bool *mark, ap_error *err) {
    ap_pooled_level other = *level;
    ap_status status = pooled_level_fit(&other, arena, picks, order, mark, err);
    for (size_t c = 0; status == AP_OK && c < level->cell_count; c++) {
        level->cells[c].has_without = other.cells[c].has_own;
        level->cells[c].without = other.cells[c].own_bound;
    }
    return status;
}

static ap_status fit_level(ap_pooled *out, size_t number, ap_arena *arena, const ap_pooled_picks *picks,
                           ap_error *err) {
    ap_pooled_level *level = &out->level[number];
    pooled_order order = {0};
    bool *mark = calloc(picks->count + 1, sizeof *mark);
    double *z = calloc(picks->count + 1, sizeof *z);
    ap_status status = mark && z ? pooled_order_make(&order, &level->map, picks, level->by, level->by_count, err)
                                 : ap_error_set(err, AP_E_MEMORY, "out of memory for the suspects");
    if (status == AP_OK && !ap_key_map_settle(&level->map, arena)) {
        status = ap_arena_check(arena, "the cells of the grouping", err);
    }
    if (status == AP_OK) {
        status = pooled_level_fit(level, arena, picks, &order, NULL, err);
    } else {
        ap_key_map_release(&level->map);
    }
    size_t suspects = status == AP_OK ? mark_suspects(mark, z, level, picks, &order) : 0;
    if (status == AP_OK && suspects) {
        status = fit_without(level, arena, picks, &order, mark, err);
    }
    if (status == AP_OK && number == 0) {
        status = list_suspects(out, arena, picks, mark, z, suspects, err);
    }
    free(mark);
    free(z);
    pooled_order_release(&order);
    return status;
}

/* Which cells are biased: all cells of the level that were looked at, together. */
static ap_status find_biased(ap_pooled_level *level, ap_error *err) {
    double *p = calloc(level->cell_count + 1, sizeof *p);
    size_t count = 0;
    if (!p) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for %zu tests", level->cell_count);
    }
    for (size_t c = 0; c < level->cell_count; c++) {
        if (!isnan(level->cells[c].p_value)) {
            p[count++] = level->cells[c].p_value;
        }
    }
    ap_status status = count ? ap_false_discovery(p, NULL, p, count, AP_POOLED_DISCOVERY, err) : AP_OK;
    count = 0;
    for (size_t c = 0; status == AP_OK && c < level->cell_count; c++) {
        ap_pooled_cell *cell = &level->cells[c];
        if (!isnan(cell->p_value)) {
            cell->q_value = p[count++];
            cell->biased = cell->q_value <= AP_POOLED_DISCOVERY;
        }
    }
    free(p);
    return status;
}

/* P3 and P4: which bound each cell carries. */
static void carry_bounds(ap_pooled *pooled) {
    for (size_t l = pooled->level_count; l-- > 0;) {
        ap_pooled_level *level = &pooled->level[l];
        for (size_t c = 0; c < level->cell_count; c++) {
            ap_pooled_cell *cell = &level->cells[c];
            if (cell->has_own) {
                bool larger = cell->has_without && cell->without.planning > cell->own_bound.planning;
                cell->bound = larger ? &cell->without : &cell->own_bound;
            }
        }
    }
    for (size_t l = 0; l < pooled->level_count; l++) {
        for (size_t c = 0; c < pooled->level[l].cell_count; c++) {
            ap_pooled_cell *cell = &pooled->level[l].cells[c];
            const ap_pooled_cell *from = cell->has_own ? cell : cell_with_bound(&cell->of_level, pooled, cell->key);
            cell->of_level = cell->has_own ? l : cell->of_level;
            cell->bound = from ? from->bound : NULL;
            cell->factor_count = from ? from->count : 0;
            cell->factor_trees = from ? from->trees : 0;
        }
    }
}

ap_status ap_pooled_fit(ap_pooled *out, ap_arena *arena, const ap_pooled_picks *picks, const ap_by *by, size_t by_count,
                        ap_error *err) {
    *out = (ap_pooled){0};
    if (!ap_pooled_knows(by, by_count)) {
        return ap_error_set(err, AP_E_DOMAIN, "the model of the error knows species, cut and estimator only");
    }
    ap_status status = AP_OK;
    for (size_t l = 0; status == AP_OK && l <= by_count; l++) {
        ap_pooled_level *level = &out->level[l];
        level->by_count = by_count - l;
        memcpy(level->by, by, level->by_count * sizeof *by);
        out->level_count++;
        status = fit_level(out, l, arena, picks, err);
        if (status == AP_OK) {
            status = find_biased(level, err);
        }
    }
    if (status == AP_OK) {
        carry_bounds(out);
    }
    return status;
}
