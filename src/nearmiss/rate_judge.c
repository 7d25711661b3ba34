#include "nearmiss/rate_trees.h"
#include "stats/rates.h"

enum {
    STEPS_FOUND =
        20000000,        /* trees dealt out for what may be found, all groups of a detector: some tenths of a second, */
    STEPS_ONE = 2000000, /* and for one of them */
    STEPS_REACH = 4000000, /* for what chance makes */
    REMEMBERED = 1024      /* many groups of a large book have as many picks, or trees, as another */
};

/* A number by the size of a group, as far as it is remembered; 0: not known. */
typedef struct memo {
    size_t of[REMEMBERED];
    double value[REMEMBERED];
} memo;

typedef struct judging {
    ap_rate_cells *cells;
    const ap_detect_input *in;
    ap_chance_line *line;
    ap_rate_trees trees[AP_RATE_GROUPINGS];
    double level, alone; /* over all looks; of one look, were it the only one found */
    size_t doubtful;     /* still to be dealt out */
    size_t steps_found, steps_reach;
    memo by_picks, by_trees; /* C3 */
    size_t grouping;         /* that by_trees is of */
    double *p;
    size_t *which;
} judging;

static double tail(const ap_rate_cells *cells, const ap_rate_cell *cell, size_t k) {
    return ap_hypergeometric_more(k, cell->of, cells->of, cells->events);
}

/* C2. A group that is everybody has nobody to be compared with; one tree is no group. */
static ap_status choose_looks(judging *j, ap_error *err) {
    ap_rate_cells *cells = j->cells;
    ap_rate_order order;
    ap_status status = ap_rate_order_make(&order, cells, j->in, err);
    for (size_t g = 0; g < cells->groupings && status == AP_OK; g++) {
        status = ap_rate_trees_make(&j->trees[g], cells, g, &order, j->in, err);
    }
    ap_rate_order_release(&order);
    for (size_t c = 0; c < cells->count && status == AP_OK; c++) {
        ap_rate_cell *cell = &cells->items[c];
        bool enough = cell->of >= cells->least && cell->of < cells->of && cells->events > 0;
        cell->p = enough ? tail(cells, cell, cell->events) : NAN;
        cell->merged_into = SIZE_MAX;
        j->line->looks += enough && cell->trees > 1;
    }
    j->alone = j->level / (double)(j->line->looks ? j->line->looks : 1);
    for (size_t c = 0; c < cells->count; c++) {
        ap_rate_cell *cell = &cells->items[c];
        j->line->one_tree += cell->p <= j->alone && cell->events >= cells->least && cell->trees_hit < 2; /* C5 */
        cell->p = cell->trees > 1 ? cell->p : NAN;
        j->doubtful += cell->p <= j->level && cell->trees_hit > 1;
    }
    return status;
}

/* C1. */
static void deal_out(judging *j, ap_rate_cell *cell) {
    if (cell->p <= j->level && cell->trees_hit < 2) {
        cell->p = 1; /* C5 */
    } else if (cell->p <= j->level) {
        size_t share = j->steps_found / (j->doubtful ? j->doubtful : 1);
        size_t steps = share < STEPS_ONE ? share : STEPS_ONE;
        ap_shuffled dealt =
            ap_clusters_test(&j->trees[cell->grouping].dealt, cell->trees, cell->of, cell->events, steps);
        cell->p = fmax(cell->p, dealt.p);
        j->steps_found -= steps;
        j->doubtful -= j->doubtful > 0;
    }
}

/* The level that is reached when findings are made at p <= alone, were picks independent. */
static double reached_by_picks(judging *j, const ap_rate_cell *cell) {
    size_t place = cell->of % REMEMBERED;
    if (j->by_picks.of[place] != cell->of) {
        size_t least = (size_t)ap_hypergeometric_least(j->alone, cell->of, j->cells->of, j->cells->events);
        j->by_picks.of[place] = cell->of;
        j->by_picks.value[place] = tail(j->cells, cell, least < j->cells->least ? j->cells->least : least);
    }
    return j->by_picks.value[place];
}

/* C3. */
static ap_status expect(judging *j, const ap_rate_cell *cell, ap_error *err) {
    size_t place = cell->trees % REMEMBERED;
    ap_status status = AP_OK;
    if (j->grouping != cell->grouping) {
        j->by_trees = (memo){.of = {0}};
        j->grouping = cell->grouping;
    }
    if (j->by_trees.of[place] != cell->trees) {
        size_t steps = j->steps_reach / 4;
        j->by_trees.of[place] = cell->trees;
        j->steps_reach -= steps;
        status = ap_clusters_reach(&j->by_trees.value[place], &j->trees[cell->grouping].dealt, cell->trees, j->alone,
                                   j->cells->least, steps, err);
    }
    double reached = j->by_trees.value[place];
    j->line->expected += reached < 0 ? reached_by_picks(j, cell) : reached;
    return status;
}

static ap_status judge(judging *j, ap_error *err) {
    ap_rate_cells *cells = j->cells;
    ap_status status = choose_looks(j, err);
    size_t looks = 0;
    for (size_t c = 0; c < cells->count && status == AP_OK; c++) {
        if (!isnan(cells->items[c].p)) {
            deal_out(j, &cells->items[c]);
            j->which[looks] = c;
            j->p[looks++] = cells->items[c].p;
            status = expect(j, &cells->items[c], err);
        }
    }
    if (looks && status == AP_OK) {
        status = ap_false_discovery(j->p, NULL, j->p, looks, j->level, err);
    }
    for (size_t t = 0; t < looks && status == AP_OK; t++) {
        ap_rate_cell *cell = &cells->items[j->which[t]];
        cell->found = j->p[t] <= j->level && cell->events >= cells->least;
    }
    j->line->looked = looks > 0;
    return status;
}

ap_status ap_rate_cells_judge(ap_rate_cells *cells, const ap_detect_input *in, double level, ap_chance_line *line,
                              ap_error *err) {
    judging *j = calloc(1, sizeof *j); /* the memos are large */
    ap_status status = AP_OK;
    *line = (ap_chance_line){.rule_limit = NAN, .limit = NAN, .independent = NAN};
    if (j) {
        *j = (judging){.cells = cells,
                       .in = in,
                       .line = line,
                       .level = level,
                       .steps_found = STEPS_FOUND,
                       .steps_reach = STEPS_REACH,
                       .p = calloc(cells->count + 1, sizeof *j->p),
                       .which = calloc(cells->count + 1, sizeof *j->which)};
    }
    if (!j || !j->p || !j->which) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for %zu groups", cells->count);
    } else {
        status = judge(j, err);
    }
    for (size_t g = 0; j && g < cells->groupings; g++) {
        ap_rate_trees_release(&j->trees[g]);
    }
    if (j) {
        free(j->p);
        free(j->which);
    }
    free(j);
    return status;
}
