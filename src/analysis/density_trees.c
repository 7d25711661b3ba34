#include "analysis/density_trees.h"

#include "analysis/key_map.h"
#include "stats/mixed_sums.h"

enum { FACTORS = 4 };

ap_status ap_density_trees_make(ap_density_trees *out, const ap_density_picks *picks, size_t count, ap_error *err) {
    *out = (ap_density_trees){.as_logged = true};
    for (size_t i = 0; i < count; i++) {
        out->as_logged = out->as_logged && (i == 0 || picks->items[i].tree >= picks->items[i - 1].tree);
        size_t tree = picks->items[i].tree;
        out->labels = tree >= out->labels ? tree + 1 : out->labels;
    }
    out->order = malloc((count + 1) * sizeof *out->order);
    out->start = calloc(out->labels + 2, sizeof *out->start);
    if (!out->order || !out->start) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the trees of %zu picks", count);
    }
    /* Counted two places on, so that filling `order` moves every start to its own place. */
    uint32_t *next = out->start + 1;
    for (size_t i = 0; i < count; i++) {
        uint32_t of_tree = ++next[picks->items[i].tree + 1];
        out->largest = of_tree > out->largest ? of_tree : out->largest;
    }
    for (size_t tree = 1; tree <= out->labels; tree++) {
        next[tree] += next[tree - 1];
    }
    for (size_t i = 0; i < count; i++) {
        out->order[next[picks->items[i].tree]++] = (uint32_t)i;
    }
    return AP_OK;
}

void ap_density_trees_release(ap_density_trees *trees) {
    free(trees->order);
    free(trees->start);
    *trees = (ap_density_trees){0};
}

/* Levels are numbered without gaps, in the order in which they appear; 0 stays "not logged". */
typedef struct numbering {
    uint32_t *number; /* by level as given */
    uint32_t count;
} numbering;

typedef struct looked {
    uint32_t kind;
    double e;
} looked;

typedef struct fitting {
    const ap_density_picks *picks;
    const ap_density_trees *trees;
    ap_key_map kinds;
    numbering level[FACTORS];
    ap_mixed_kind *kind;
    ap_mixed_sums *sums;
    looked *of_tree;
    uint32_t *tree_kind; /* of one tree's picks */
    double *tree_e;
    double center;
    size_t seen;
} fitting;

static void key_of(uint32_t key[AP_WEIGHTS_BY_MAX], const ap_density_pick *pick) {
    key[0] = pick->species;
    key[1] = 1u + pick->butt;
    key[2] = pick->condition;
    key[3] = 1u + pick->brush;
}

static bool make_kinds(fitting *f, size_t count) {
    const size_t levels[FACTORS] = {f->picks->labels, 2, UINT8_MAX, 1 + UINT8_MAX};
    bool made = true;
    for (size_t i = 0; i < count && made; i++) {
        uint32_t key[AP_WEIGHTS_BY_MAX];
        uint32_t number;
        key_of(key, &f->picks->items[i]);
        made = ap_key_map_add(&f->kinds, key, &number);
    }
    for (size_t k = 0; k < FACTORS && made; k++) {
        f->level[k].number = calloc(levels[k] + 1, sizeof *f->level[k].number);
        made = f->level[k].number != NULL;
    }
    f->kind = made ? calloc(f->kinds.count + 1, sizeof *f->kind) : NULL;
    for (size_t n = 0; f->kind && n < f->kinds.count; n++) {
        for (size_t k = 0; k < FACTORS; k++) {
            uint32_t level = f->kinds.keys[n][k];
            uint32_t *number = &f->level[k].number[level];
            if (level && !*number) {
                *number = ++f->level[k].count;
            }
            f->kind[n].level[k] = *number;
        }
    }
    return f->kind != NULL;
}

static int by_kind(const void *left, const void *right) {
    const looked *a = left;
    const looked *b = right;
    return a->kind != b->kind ? (a->kind < b->kind ? -1 : 1) : (a->e > b->e) - (a->e < b->e);
}

typedef ap_status (*tree_fn)(fitting *f, size_t count, ap_error *err);

static ap_status add_to_center(fitting *f, size_t count, ap_error *err) {
    (void)err;
    for (size_t i = 0; i < count; i++) {
        f->center += (f->of_tree[i].e - f->center) / (double)++f->seen;
    }
    return AP_OK;
}

static ap_status add_to_sums(fitting *f, size_t count, ap_error *err) {
    for (size_t i = 0; i < count; i++) {
        f->tree_kind[i] = f->of_tree[i].kind;
        f->tree_e[i] = f->of_tree[i].e - f->center;
    }
    return ap_mixed_sums_add(f->sums, f->tree_kind, f->tree_e, count, 1, err);
}

/* Where trees alternate in the log, their picks stand by kind and value: no sum depends on how they alternate. Tree 0: each pick a tree
 * of its own. */
static ap_status each_tree(fitting *f, bool by_tree, tree_fn each, ap_error *err) {
    const uint32_t *start = f->trees->start;
    ap_status status = AP_OK;
    for (size_t tree = 0; status == AP_OK && tree < f->trees->labels; tree++) {
        size_t step = by_tree && tree ? start[tree + 1] - start[tree] : 1;
        for (size_t at = start[tree]; status == AP_OK && at < start[tree + 1]; at += step) {
            for (size_t i = 0; i < step; i++) {
                const ap_density_pick *pick = &f->picks->items[f->trees->order[at + i]];
                uint32_t key[AP_WEIGHTS_BY_MAX];
                key_of(key, pick);
                (void)ap_key_map_find(&f->kinds, key, &f->of_tree[i].kind);
                f->of_tree[i].e = pick->y;
            }
            if (!f->trees->as_logged) {
                qsort(f->of_tree, step, sizeof *f->of_tree, by_kind);
            }
            status = each(f, step, err);
        }
    }
    return status;
}

static ap_status fit(ap_mixed *out, fitting *f, size_t count, bool by_tree, ap_error *err) {
    bool differ = false;
    for (size_t i = 1; i < count && !differ; i++) {
        differ = f->picks->items[i].y != f->picks->items[0].y;
    }
    if (!differ) {
        return ap_error_set(err, AP_E_DOMAIN, "the weighed pieces are all off by the same");
    }
    f->of_tree = calloc(f->trees->largest + 1, sizeof *f->of_tree);
    f->tree_kind = calloc(f->trees->largest + 1, sizeof *f->tree_kind);
    f->tree_e = calloc(f->trees->largest + 1, sizeof *f->tree_e);
    if (!make_kinds(f, count) || !f->of_tree || !f->tree_kind || !f->tree_e) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the wood of %zu picks", count);
    }
    ap_status status = each_tree(f, by_tree, add_to_center, err);
    if (status == AP_OK) {
        status = ap_mixed_sums_new(&f->sums, FACTORS, f->kind, f->kinds.count, err);
    }
    if (status == AP_OK) {
        status = each_tree(f, by_tree, add_to_sums, err);
    }
    return status == AP_OK ? ap_mixed_fit_sums(out, f->sums, NULL, f->center, err) : status;
}

ap_status ap_density_variances(ap_density *out, const ap_density_picks *picks, const ap_density_trees *trees,
                               const ap_density_priors *priors, ap_error *err) {
    const size_t count = out->picks;
    ap_mixed mixed = {0};
    ap_error why;
    fitting f = {.picks = picks, .trees = trees};
    out->tree_variance = AP_DENSITY_TREE_SD * AP_DENSITY_TREE_SD;
    out->rest_variance = AP_DENSITY_REST_SD * AP_DENSITY_REST_SD;
    out->df = (double)(count > 1 ? count - 1 : 1);
    out->assumed = true;
    ap_status status = count >= AP_DENSITY_PICKS_LEAST ? fit(&mixed, &f, count, priors->trees, &why) : AP_E_DOMAIN;
    if (status == AP_OK && mixed.trees >= AP_DENSITY_TREES_LEAST && mixed.rest_variance > 0) {
        out->assumed = false;
        out->converged = mixed.converged;
        out->tree_variance = mixed.tree_told_apart ? mixed.tree_variance : 0; /* a pick a tree: all is in the rest */
        out->rest_variance = mixed.rest_variance;
        out->df = fmax(1, mixed.scale_df);
    }
    if (!priors->trees) {
        out->tree_variance = 0;
    }
    ap_mixed_release(&mixed);
    ap_mixed_sums_free(f.sums);
    for (size_t k = 0; k < FACTORS; k++) {
        free(f.level[k].number);
    }
    free(f.kind);
    free(f.of_tree);
    free(f.tree_kind);
    free(f.tree_e);
    ap_key_map_release(&f.kinds);
    return status == AP_E_MEMORY ? ap_error_set(err, status, "%s", why.text) : AP_OK;
}
