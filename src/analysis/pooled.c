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

/* How far from the pooled mean a pick is looked at: a little inside of where it becomes a suspect. suspect_z() grows with
 * the distance, so that z^2 df = limit^2 (prior + squares - off^2) gives the distance. */
static double looked_at_from(const ap_pooled_level *level, const ap_pooled_cell *cell) {
    double prior = cell->scale_df - cell->own_scale_df;
    double pooled2 = prior * (level->tree_variance + level->rest_variance);
    double squares = cell->own_scale_df > 0 ? cell->own_scale2 * cell->own_scale_df : 0;
    double df = fmax(prior, cell->scale_df - 1);
    double z2 = AP_POOLED_SUSPECT_Z * AP_POOLED_SUSPECT_Z;
    double off2 = z2 * (pooled2 + squares) / (df + z2);
    if (off2 > squares) {
        off2 = z2 * pooled2 / df;
    }
    return sqrt(off2) * (1 - 1e-6);
}

typedef struct watch {
    ap_pooled_cell *cell;
    double at;
    double far;
    bool known; /* has a scale: else only what is impossible is suspect */
} watch;

/* Marks the level's suspects by place; *count of them. */
static bool mark_suspects(bool *mark, size_t *count, ap_pooled_level *level, size_t number, const pooled_sums *sums) {
    const pooled_plan *plan = sums->plan;
    watch *cells = calloc(plan->cells[number].count + 1, sizeof *cells);
    for (size_t c = 0; cells && c < plan->cells[number].count; c++) {
        uint32_t at = 0;
        if (ap_key_map_find(&level->map, plan->cells[number].keys[c], &at)) {
            ap_pooled_cell *cell = &level->cells[at];
            bool known = cell->named && cell->scale > 0;
            cells[c] = (watch){cell, cell->pooled_log - plan->shift, known ? looked_at_from(level, cell) : 0, known};
        }
    }
    for (size_t at = 0; cells && at < plan->picks->count; at++) {
        const watch *in = &cells[plan->kind[plan->kind_of[at]].cell[number]];
        bool far = in->known && !(fabs(plan->e[at] - in->at) < in->far);
        if (!in->cell || (!far && !plan->above_ceiling[at]) || !pooled_has(sums, at)) {
            continue;
        }
        double z = far ? suspect_z(level, in->cell, plan->picks->items[plan->pick[at]].e) : 0;
        if (fabs(z) > AP_POOLED_SUSPECT_Z || plan->above_ceiling[at]) {
            mark[at] = true;
            in->cell->suspects++;
            (*count)++;
        }
    }
    free(cells);
    return cells != NULL;
}

static int in_pick_order(const void *left, const void *right) {
    const ap_suspect *a = left;
    const ap_suspect *b = right;
    return (a->fact > b->fact) - (a->fact < b->fact);
}

static ap_status list_suspects(ap_pooled *out, ap_arena *arena, const pooled_plan *plan, const bool *mark, size_t count,
                               ap_error *err) {
    out->suspects = ap_arena_alloc_array(arena, count + 1, sizeof *out->suspects);
    for (size_t at = 0; out->suspects && count && at < plan->picks->count; at++) {
        if (mark[at]) {
            const ap_pooled_pick *pick = &plan->picks->items[plan->pick[at]];
            const ap_pooled_cell *cell =
                ap_pooled_find(&out->level[0], plan->cells[0].keys[plan->kind[plan->kind_of[at]].cell[0]]);
            double z = cell->named && cell->scale > 0 ? suspect_z(&out->level[0], cell, pick->e) : 0;
            out->suspects[out->suspect_count++] =
                (ap_suspect){pick->fact, pick->above_ceiling ? AP_SUSPECT_CEILING : AP_SUSPECT_FAR, z};
        }
    }
    if (out->suspects) {
        qsort(out->suspects, out->suspect_count, sizeof *out->suspects, in_pick_order);
    }
    return ap_arena_check(arena, "the suspects", err);
}

static ap_status unmark(pooled_sums *sums, const bool *mark, bool back, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    ap_status status = AP_OK;
    for (size_t t = 0; status == AP_OK && t < plan->trees; t++) {
        bool any = false;
        for (size_t at = plan->start[t]; !any && at < plan->start[t + 1]; at++) {
            any = mark[at];
        }
        status = any ? pooled_sums_unmark(sums, t, mark, back, err) : AP_OK;
    }
    return status;
}

/* P4: the level once more without the suspects; each cell keeps that bound beside its own. */
static ap_status fit_without(ap_pooled_level *level, ap_arena *arena, size_t number, pooled_sums *sums,
                             const bool *mark, ap_error *err) {
    ap_pooled_level other = *level;
    ap_status status = unmark(sums, mark, false, err);
    if (status == AP_OK) {
        status = pooled_level_fit(&other, arena, number, sums, mark, err);
    }
    for (size_t c = 0; status == AP_OK && c < level->cell_count; c++) {
        level->cells[c].has_without = other.cells[c].has_own;
        level->cells[c].without = other.cells[c].own_bound;
    }
    return status == AP_OK ? unmark(sums, mark, true, err) : status;
}

static ap_status fit_level(ap_pooled *out, size_t number, ap_arena *arena, pooled_sums *sums, ap_error *err) {
    ap_pooled_level *level = &out->level[number];
    size_t suspects = 0;
    bool *mark = calloc(sums->plan->picks->count + 1, sizeof *mark);
    ap_status status = mark ? pooled_level_fit(level, arena, number, sums, NULL, err)
                            : ap_error_set(err, AP_E_MEMORY, "out of memory for the suspects");
    if (status == AP_OK && level->fitted && !mark_suspects(mark, &suspects, level, number, sums)) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the suspects");
    }
    if (status == AP_OK && suspects) {
        status = fit_without(level, arena, number, sums, mark, err);
    }
    if (status == AP_OK && number == 0) {
        status = list_suspects(out, arena, sums->plan, mark, suspects, err);
    }
    free(mark);
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

ap_status pooled_fit(ap_pooled *out, ap_arena *arena, pooled_sums *sums, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    *out = (ap_pooled){0};
    ap_status status = AP_OK;
    for (size_t l = 0; status == AP_OK && l <= plan->by_count; l++) {
        ap_pooled_level *level = &out->level[l];
        level->by_count = plan->by_count - l;
        memcpy(level->by, plan->by, level->by_count * sizeof *level->by);
        out->level_count++;
        status = fit_level(out, l, arena, sums, err);
        if (status == AP_OK) {
            status = find_biased(level, err);
        }
    }
    if (status == AP_OK) {
        carry_bounds(out);
    }
    return status;
}

ap_status ap_pooled_fit(ap_pooled *out, ap_arena *arena, const ap_pooled_picks *picks, const ap_by *by, size_t by_count,
                        ap_error *err) {
    pooled_plan plan;
    pooled_sums sums = {0};
    *out = (ap_pooled){0};
    ap_status status = pooled_plan_make(&plan, picks, by, by_count, err);
    if (status == AP_OK) {
        status = pooled_sums_make(&sums, &plan, err);
    }
    if (status == AP_OK) {
        status = pooled_sums_add_but(&sums, NULL, err);
    }
    if (status == AP_OK) {
        status = pooled_fit(out, arena, &sums, err);
    }
    pooled_sums_release(&sums);
    pooled_plan_release(&plan);
    return status;
}
