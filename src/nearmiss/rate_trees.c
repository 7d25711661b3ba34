#include "nearmiss/rate_trees.h"

/* The group of a pick, twice and one more in the period; 0 or 1: in none of the cells. */
static uint32_t side_of(const ap_rate_cell *like, const ap_detect_input *in, size_t fact) {
    uint32_t label = like->words ? ap_rate_cell_has(like, in, fact) : ap_fact_group(&in->roster->facts[fact], like->by);
    return 2 * label + (fact >= in->first);
}

ap_status ap_rate_order_make(ap_rate_order *out, const ap_rate_cells *cells, const ap_detect_input *in, ap_error *err) {
    size_t trees = ap_intern_count(in->roster->labels[AP_BY_TREE]);
    *out = (ap_rate_order){.trees = trees, .start = calloc(trees + 3, sizeof *out->start)};
    uint32_t *next =
        out->start ? out->start + 1 : NULL; /* where the next of a tree goes; at last where the next tree begins */
    for (size_t i = cells->total_from; next && i < in->end; i++) {
        if (cells->event(in, i) != 0) {
            next[ap_fact_group(&in->roster->facts[i], AP_BY_TREE) + 1]++;
            out->count++;
        }
    }
    out->pick = calloc(out->count + 1, sizeof *out->pick);
    if (!next || !out->pick) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the trees of %zu picks", in->end);
    }
    for (size_t t = 1; t <= trees + 1; t++) {
        next[t] += next[t - 1];
    }
    for (size_t i = cells->total_from; i < in->end; i++) {
        int what = cells->event(in, i);
        if (what != 0) {
            uint32_t tree = ap_fact_group(&in->roster->facts[i], AP_BY_TREE);
            out->pick[next[tree]++] = (uint32_t)i << 1 | (what == 2);
        }
    }
    return AP_OK;
}

void ap_rate_order_release(ap_rate_order *order) {
    free(order->pick);
    free(order->start);
    *order = (ap_rate_order){0};
}

/* What one tree has, by side. */
typedef struct sides {
    ap_cluster *has; /* by side */
    uint32_t *met;   /* the sides that it has, in order of first appearance */
    size_t count;
} sides;

static void take_tree(sides *of, const ap_rate_order *order, size_t tree, const ap_rate_cell *like,
                      const ap_detect_input *in) {
    of->count = 0;
    for (size_t at = order->start[tree]; at < order->start[tree + 1]; at++) {
        uint32_t side = side_of(like, in, order->pick[at] >> 1);
        if (of->has[side].of++ == 0) {
            of->met[of->count++] = side;
        }
        of->has[side].events += order->pick[at] & 1;
    }
}

/* Its clusters, and the tree among those of its cells. */
static size_t put_tree(ap_cluster *to, sides *of, ap_rate_cell *const *place) {
    for (size_t k = 0; k < of->count; k++) {
        uint32_t side = of->met[k];
        ap_rate_cell *cell = side & 1 ? place[side / 2] : NULL;
        to[k] = of->has[side];
        if (cell) {
            cell->trees++;
            cell->trees_hit += to[k].events > 0;
        }
        of->has[side] = (ap_cluster){0, 0};
    }
    return of->count;
}

/* Cells by the place of their label. */
static void place_cells(ap_rate_cell **place, ap_rate_cells *cells, size_t grouping) {
    for (size_t c = 0; c < cells->count; c++) {
        ap_rate_cell *cell = &cells->items[c];
        if (cell->grouping == grouping) {
            place[cell->words ? 1 : cell->label] = cell;
        }
    }
}

ap_status ap_rate_trees_make(ap_rate_trees *out, ap_rate_cells *cells, size_t grouping, const ap_rate_order *order,
                             const ap_detect_input *in, ap_error *err) {
    const ap_rate_cell *like = NULL;
    *out = (ap_rate_trees){0};
    for (size_t c = 0; c < cells->count && !like; c++) {
        like = cells->items[c].grouping == grouping ? &cells->items[c] : NULL;
    }
    if (!like) {
        return AP_OK;
    }
    size_t labels = like->words ? 1 : ap_intern_count(in->roster->labels[like->by]);
    ap_rate_cell **place = calloc(labels + 2, sizeof *place);
    sides of = {calloc(2 * labels + 2, sizeof *of.has), calloc(2 * labels + 2, sizeof *of.met), 0};
    out->items = calloc(order->count + 1, sizeof *out->items); /* what is not needed is never touched */
    bool fine = place && of.has && of.met && out->items;
    size_t clusters = 0;
    if (fine) {
        place_cells(place, cells, grouping);
        for (size_t tree = 0; tree <= order->trees; tree++) {
            take_tree(&of, order, tree, like, in);
            clusters += put_tree(out->items + clusters, &of, place);
        }
    }
    ap_clusters_start(&out->dealt, out->items, clusters);
    free(place);
    free(of.has);
    free(of.met);
    return fine ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the trees of %zu picks", in->end);
}

void ap_rate_trees_release(ap_rate_trees *trees) {
    free(trees->items);
    *trees = (ap_rate_trees){0};
}
