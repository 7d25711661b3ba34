#include "nearmiss/rate_trees.h"

#include "analysis/key_map.h"
#include "base/grow.h"

/* The group of a pick, twice and one more in the period; 0 or 1: in none of the cells. */
static uint32_t side_of(const ap_rate_cell *like, const ap_detect_input *in, size_t fact) {
    uint32_t label = like->words ? ap_rate_cell_has(like, in, fact) : ap_fact_group(&in->roster->facts[fact], like->by);
    return 2 * label + (fact >= in->first);
}

typedef struct gathering {
    ap_key_map map; /* by side and tree */
    ap_cluster *items;
    size_t room;
} gathering;

static bool room_for(gathering *to, size_t number) {
    if (number < to->room) {
        return true;
    }
    ap_cluster *grown = ap_grown_to(to->items, &to->room, number, sizeof *grown);
    to->items = grown ? grown : to->items;
    return grown != NULL;
}

static bool gather(gathering *to, const ap_rate_cells *cells, const ap_rate_cell *like, const ap_detect_input *in) {
    uint32_t last[AP_WEIGHTS_BY_MAX] = {0};
    uint32_t number = 0;
    bool fine = true;
    for (size_t i = cells->total_from; i < in->end && fine; i++) {
        int what = cells->event(in, i);
        if (what == 0) {
            continue;
        }
        const uint32_t key[AP_WEIGHTS_BY_MAX] = {side_of(like, in, i),
                                                 ap_fact_group(&in->roster->facts[i], AP_BY_TREE)};
        if (to->map.count == 0 || memcmp(last, key, sizeof key) != 0) {
            fine = ap_key_map_add(&to->map, key, &number) && room_for(to, number);
            memcpy(last, key, sizeof key);
        }
        if (fine) {
            to->items[number].of++;
            to->items[number].events += what == 2;
        }
    }
    return fine;
}

/* Trees of each cell, by the place of its label. */
static bool count_trees(const gathering *from, ap_rate_cells *cells, size_t grouping, uint32_t labels) {
    ap_rate_cell **place = calloc((size_t)labels + 2, sizeof *place);
    for (size_t c = 0; c < cells->count && place; c++) {
        ap_rate_cell *cell = &cells->items[c];
        if (cell->grouping == grouping) {
            place[cell->words ? 1 : cell->label] = cell;
        }
    }
    for (size_t k = 0; k < from->map.count && place; k++) {
        uint32_t side = from->map.keys[k][0];
        ap_rate_cell *cell = side & 1 ? place[side / 2] : NULL;
        if (cell) {
            cell->trees++;
            cell->trees_hit += from->items[k].events > 0;
        }
    }
    free(place);
    return place != NULL;
}

ap_status ap_rate_trees_make(ap_rate_trees *out, ap_rate_cells *cells, size_t grouping, const ap_detect_input *in,
                             ap_error *err) {
    gathering all = {.items = NULL};
    const ap_rate_cell *like = NULL;
    *out = (ap_rate_trees){0};
    for (size_t c = 0; c < cells->count && !like; c++) {
        like = cells->items[c].grouping == grouping ? &cells->items[c] : NULL;
    }
    if (!like) {
        return AP_OK;
    }
    uint32_t labels = like->words ? 1 : ap_intern_count(in->roster->labels[like->by]);
    bool fine = gather(&all, cells, like, in) && count_trees(&all, cells, grouping, labels);
    out->items = all.items;
    ap_clusters_start(&out->dealt, out->items, fine ? all.map.count : 0);
    ap_key_map_release(&all.map);
    return fine ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the trees of %zu picks", in->end);
}

void ap_rate_trees_release(ap_rate_trees *trees) {
    free(trees->items);
    *trees = (ap_rate_trees){0};
}
