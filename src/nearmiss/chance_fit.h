/* The fit of spread.h repeated on drawn picks, as sums of squares of their two parts: what is left about each tree's mean, and the
 * means. */
#ifndef AP_NEARMISS_CHANCE_FIT_H
#define AP_NEARMISS_CHANCE_FIT_H

#include "nearmiss/looks.h"

typedef struct ap_fit_sums {
    double own, both, mean; /* squares of the first part, twice the product, squares of the second */
} ap_fit_sums;

typedef struct ap_fit_cell {
    uint32_t species;
    uint32_t count; /* picks of all, drawn or not */
    double own, mean;
} ap_fit_cell;

typedef struct ap_fit_tree {
    uint32_t size;
    float effect;     /* the second part: the same for all picks of the tree */
    double own, mean; /* sums of what is left about the kinds' means */
} ap_fit_tree;

typedef struct ap_fit {
    const ap_looks *looks;
    size_t begin;
    uint32_t *tree; /* by look from `begin` on */
    uint32_t *cell;
    ap_fit_tree *trees;
    size_t tree_count;
    ap_fit_cell *cells;
    ap_fit_cell *species; /* the same, of all cells of one */
    size_t cell_count, species_count;
    ap_fit_sums within, between; /* of the last ap_fit_take() */
} ap_fit;

/* Numbers trees and kinds of the looks from `begin` on. Release also after an error. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_fit_init(ap_fit *out, const ap_roster *roster, const ap_looks *looks, size_t begin,
                                  ap_error *err);
/* Takes the means of the kinds out of both parts, `own` by look and trees[].effect, and sums squares within and between trees. */
void ap_fit_take(ap_fit *fit, const float *own);
void ap_fit_release(ap_fit *fit);

#endif
