#include "analysis/pooled.h"

#include "analysis/pooled_private.h"
#include "base/grow.h"
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

static bool mark_one(pooled_sums *sums, uint32_t place) {
    if (sums->marked_count == sums->marked_room) {
        uint32_t *grown = ap_grown(sums->marked, &sums->marked_room, 64, sizeof *grown);
        if (!grown) {
            return false;
        }
        sums->marked = grown;
    }
    sums->mark[place] = true;
    sums->marked[sums->marked_count++] = place;
    return true;
}

static void clear_marks(pooled_sums *sums) {
    for (size_t i = 0; i < sums->marked_count; i++) {
        sums->mark[sums->marked[i]] = false;
    }
    sums->marked_count = 0;
}

/* By cell of the level. Heap. */
static watch *watch_cells(ap_pooled_level *level, size_t number, const pooled_plan *plan) {
    watch *cells = calloc(plan->cells[number].count + 1, sizeof *cells);
    for (size_t c = 0; cells && c < plan->cells[number].count; c++) {
        uint32_t at = 0;
        if (ap_key_map_find(&level->map, plan->cells[number].keys[c], &at)) {
            ap_pooled_cell *cell = &level->cells[at];
            bool known = cell->named && cell->scale > 0;
            cells[c] = (watch){cell, cell->pooled_log - plan->shift, known ? looked_at_from(level, cell) : 0, known};
        }
    }
    return cells;
}

/* Whether what is usual in every cell of the grouping is far from suspect: then the unusual picks are all to look at. */
static bool usual_is_near(const watch *cells, size_t number, const pooled_plan *plan) {
    bool near = true;
    for (size_t i = 0; near && i < plan->kinds; i++) {
        const watch *in = &cells[plan->kind[i].cell[number]];
        const pooled_range *usual = &plan->usual[plan->kind[i].cell[0]];
        near = !in->known || fabs(usual->middle - in->at) + usual->reach < in->far;
    }
    return near;
}

/* Marks the level's suspects. False when memory is out. */
static bool mark_suspects(pooled_sums *sums, ap_pooled_level *level, size_t number) {
    const pooled_plan *plan = sums->plan;
    watch *cells = watch_cells(level, number, plan);
    if (!cells) {
        return false;
    }
    bool done = true;
    bool few = usual_is_near(cells, number, plan);
    size_t count = few ? plan->unusual_count : plan->picks->count;
    for (size_t i = 0; done && i < count; i++) {
        uint32_t at = few ? plan->unusual[i] : (uint32_t)i;
        const watch *in = &cells[plan->kind[plan->kind_of[at]].cell[number]];
        bool far = in->known && !(fabs(plan->e[at] - in->at) < in->far);
        const ap_pooled_pick *pick = &plan->picks->items[plan->pick[at]];
        if (!in->cell || (!far && !pick->above_ceiling) || !pooled_has(sums, at)) {
            continue;
        }
        double z = far ? suspect_z(level, in->cell, pick->e) : 0;
        if (fabs(z) > AP_POOLED_SUSPECT_Z || pick->above_ceiling) {
            done = mark_one(sums, at);
            in->cell->suspects++;
        }
    }
    free(cells);
    return done;
}

static int in_pick_order(const void *left, const void *right) {
    const ap_suspect *a = left;
    const ap_suspect *b = right;
    return (a->fact > b->fact) - (a->fact < b->fact);
}

static ap_status list_suspects(ap_pooled *out, ap_arena *arena, const pooled_sums *sums, ap_error *err) {
    const pooled_plan *plan = sums->plan;
    out->suspects = ap_arena_alloc_array(arena, sums->marked_count + 1, sizeof *out->suspects);
    for (size_t i = 0; out->suspects && i < sums->marked_count; i++) {
        size_t at = sums->marked[i];
        const ap_pooled_pick *pick = &plan->picks->items[plan->pick[at]];
        const ap_pooled_cell *cell =
            ap_pooled_find(&out->level[0], plan->cells[0].keys[plan->kind[plan->kind_of[at]].cell[0]]);
        double z = cell->named && cell->scale > 0 ? suspect_z(&out->level[0], cell, pick->e) : 0;
        out->suspects[out->suspect_count++] =
            (ap_suspect){pick->fact, pick->above_ceiling ? AP_SUSPECT_CEILING : AP_SUSPECT_FAR, z};
    }
    if (out->suspects) {
        qsort(out->suspects, out->suspect_count, sizeof *out->suspects, in_pick_order);
    }
    return ap_arena_check(arena, "the suspects", err);
}

static size_t tree_of(const pooled_plan *plan, uint32_t place) {
    size_t low = 0;
    size_t high = plan->trees; /* start[low] <= place < start[high] */
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        *(plan->start[middle] <= place ? &low : &high) = middle;
    }
    return low;
}

/* The trees of the marked picks; these stand in the order of the trees. */
static ap_status unmark(pooled_sums *sums, bool back, ap_error *err) {
    ap_status status = AP_OK;
    size_t last = SIZE_MAX;
    for (size_t i = 0; status == AP_OK && i < sums->marked_count; i++) {
        size_t tree = tree_of(sums->plan, sums->marked[i]);
        status = tree != last ? pooled_sums_unmark(sums, tree, sums->mark, back, err) : AP_OK;
        last = tree;
    }
    return status;
}

/* P4: the level once more without the suspects; each cell keeps that bound beside its own. */
static ap_status fit_without(ap_pooled_level *level, ap_arena *arena, size_t number, pooled_sums *sums, ap_error *err) {
    ap_pooled_level other = *level;
    ap_status status = unmark(sums, false, err);
    if (status == AP_OK) {
        status = pooled_level_fit(&other, arena, number, sums, sums->mark, err);
    }
    for (size_t c = 0; status == AP_OK && c < level->cell_count; c++) {
        level->cells[c].has_without = other.cells[c].has_own;
        level->cells[c].without = other.cells[c].own_bound;
    }
    return status == AP_OK ? unmark(sums, true, err) : status;
}

static ap_status fit_level(ap_pooled *out, size_t number, ap_arena *arena, pooled_sums *sums, ap_error *err) {
    ap_pooled_level *level = &out->level[number];
    ap_status status = pooled_level_fit(level, arena, number, sums, NULL, err);
    if (status == AP_OK && level->fitted && !mark_suspects(sums, level, number)) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the suspects");
    }
    if (status == AP_OK && sums->marked_count) {
        status = fit_without(level, arena, number, sums, err);
    }
    if (status == AP_OK && number == 0) {
        status = list_suspects(out, arena, sums, err);
    }
    clear_marks(sums);
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
            cell->has_own = cell->has_own && !pooled->level[0].too_even;
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
        status = pooled_sums_extend(&sums, picks->count, err);
    }
    if (status == AP_OK) {
        status = pooled_fit(out, arena, &sums, err);
    }
    pooled_sums_release(&sums);
    pooled_plan_release(&plan);
    return status;
}
