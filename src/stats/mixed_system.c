#include "stats/mixed_private.h"
#include "stats/sample.h"

/* From cells to sums. With W the precision of the picks once the tree effect is integrated out, every sum of products is
 *     A'WA = A'A - sum over trees c s s',   s = sum of A over the tree,   c = theta^2 / (1 + n theta^2),
 * and c depends on the tree's size n only: the products s s' are added up once per size ("class"), and an evaluation
 * costs no pass over the trees. Sizes that would need too much memory stay sparse and are added at each evaluation. */

void mixed_system_release(mixed_system *system) {
    for (size_t k = 0; k < AP_MIXED_FACTORS_MAX; k++) {
        free(system->row_of[k]);
    }
    for (size_t c = 0; c < system->classes; c++) {
        gsl_matrix_free(system->class_sum[c]);
    }
    free(system->class_sum);
    free(system->class_size);
    gsl_matrix_free(system->plain);
    free(system->tree);
    free(system->at);
    free(system->value);
    *system = (mixed_system){0};
}

static ap_status number_levels(mixed_system *system, const ap_mixed_data *data, ap_error *err) {
    for (size_t k = 0; k < data->factors; k++) {
        size_t room = 1;
        for (size_t i = 0; i < data->cells; i++) {
            room = data->cell[i].level[k] >= room ? (size_t)data->cell[i].level[k] + 1 : room;
        }
        system->row_of[k] = calloc(room, sizeof *system->row_of[k]);
        system->row_room[k] = room;
        if (!system->row_of[k]) {
            return ap_sample_no_memory("a mixed model", err);
        }
        system->first_row[k] = system->rows;
        for (size_t i = 0; i < data->cells; i++) {
            uint32_t level = data->cell[i].level[k];
            if (level != 0 && system->row_of[k][level] == 0) {
                system->row_of[k][level] = (uint32_t)(++system->rows);
            }
        }
        if (system->rows > AP_MIXED_LEVELS_MAX) {
            return ap_error_set(err, AP_E_LIMIT,
                                "a mixed model takes %d levels of all factors together, there are more",
                                AP_MIXED_LEVELS_MAX);
        }
    }
    system->first_row[data->factors] = system->rows;
    system->order = system->rows + 2;
    return AP_OK;
}

/* Rows of a cell's design, at most factors of them; returns how many. */
static size_t cell_rows(size_t *rows, const mixed_system *system, const mixed_cell *cell) {
    size_t count = 0;
    for (size_t k = 0; k < system->factors; k++) {
        uint32_t row = system->row_of[k][cell->level[k]];
        if (cell->level[k] != 0 && row != 0) {
            rows[count++] = row - 1;
        }
    }
    rows[count++] = system->rows; /* the mean */
    return count;
}

static ap_status add_plain(mixed_system *system, const ap_mixed_data *data, ap_error *err) {
    double picks = 0.0;
    for (size_t i = 0; i < data->cells; i++) {
        picks += data->cell[i].n;
        system->center += data->cell[i].n * (data->cell[i].mean - system->center) / picks;
        system->within += data->cell[i].m2;
    }
    system->plain = gsl_matrix_calloc(system->order, system->order);
    if (!system->plain) {
        return ap_sample_no_memory("a mixed model", err);
    }
    for (size_t i = 0; i < data->cells; i++) {
        const mixed_cell *cell = &data->cell[i];
        size_t rows[AP_MIXED_FACTORS_MAX + 1];
        size_t count = cell_rows(rows, system, cell), e = system->rows + 1;
        double mean = cell->mean - system->center;
        for (size_t a = 0; a < count; a++) {
            for (size_t b = 0; b < count; b++) {
                *gsl_matrix_ptr(system->plain, rows[a], rows[b]) += cell->n;
            }
            *gsl_matrix_ptr(system->plain, rows[a], e) += cell->n * mean;
            *gsl_matrix_ptr(system->plain, e, rows[a]) += cell->n * mean;
        }
        *gsl_matrix_ptr(system->plain, e, e) += cell->n * mean * mean;
    }
    return AP_OK;
}

typedef struct placed_cell {
    uint32_t tree;
    uint32_t cell;
} placed_cell;

static int compare_placed_cells(const void *left, const void *right) {
    const placed_cell *a = left;
    const placed_cell *b = right;
    if (a->tree != b->tree) {
        return a->tree < b->tree ? -1 : 1;
    }
    return (a->cell > b->cell) - (a->cell < b->cell);
}

/* Adds value to the tree's sum at `row`; the tree's entries are few, a linear search will do. */
static void add_entry(mixed_system *system, mixed_tree *tree, size_t row, double value) {
    for (size_t i = tree->first; i < tree->first + tree->count; i++) {
        if (system->at[i] == row) {
            system->value[i] += value;
            return;
        }
    }
    system->at[tree->first + tree->count] = (uint32_t)row;
    system->value[tree->first + tree->count] = value;
    tree->count++;
}

static ap_status add_trees(mixed_system *system, const ap_mixed_data *data, ap_error *err) {
    placed_cell *order = calloc(data->cells, sizeof *order);
    size_t most = data->cells * (data->factors + 2);
    system->tree = calloc(data->cells, sizeof *system->tree);
    system->at = calloc(most, sizeof *system->at);
    system->value = calloc(most, sizeof *system->value);
    if (!order || !system->tree || !system->at || !system->value) {
        free(order);
        return ap_sample_no_memory("a mixed model", err);
    }
    for (size_t i = 0; i < data->cells; i++) {
        order[i] = (placed_cell){data->cell[i].tree, (uint32_t)i};
    }
    qsort(order, data->cells, sizeof *order, compare_placed_cells);
    mixed_tree *tree = NULL;
    for (size_t i = 0; i < data->cells; i++) {
        const mixed_cell *cell = &data->cell[order[i].cell];
        if (!tree || tree->tree != cell->tree) {
            system->entries += tree ? tree->count : 0;
            tree = &system->tree[system->trees++];
            *tree = (mixed_tree){.tree = cell->tree, .first = system->entries, .size_class = -1};
        }
        size_t rows[AP_MIXED_FACTORS_MAX + 1];
        size_t count = cell_rows(rows, system, cell);
        for (size_t a = 0; a < count; a++) {
            add_entry(system, tree, rows[a], cell->n);
        }
        add_entry(system, tree, system->rows + 1, cell->n * (cell->mean - system->center));
        tree->n += cell->n;
    }
    free(order);
    return AP_OK;
}

static int compare_sizes(const void *left, const void *right) {
    double a = *(const double *)left;
    double b = *(const double *)right;
    return (a > b) - (a < b);
}

/* The distinct sizes of the trees, ascending, into system->class_size. */
static ap_status list_sizes(mixed_system *system, ap_error *err) {
    system->class_size = ap_sample_array(system->trees);
    if (!system->class_size) {
        return ap_sample_no_memory("a mixed model", err);
    }
    for (size_t t = 0; t < system->trees; t++) {
        system->class_size[t] = system->tree[t].n;
    }
    qsort(system->class_size, system->trees, sizeof *system->class_size, compare_sizes);
    size_t kept = 0;
    for (size_t t = 0; t < system->trees; t++) {
        if (kept == 0 || system->class_size[kept - 1] != system->class_size[t]) {
            system->class_size[kept++] = system->class_size[t];
        }
    }
    system->classes = kept;
    return AP_OK;
}

static ap_status add_classes(mixed_system *system, size_t dense_bytes, ap_error *err) {
    ap_status status = list_sizes(system, err);
    if (status != AP_OK) {
        return status;
    }
    size_t bytes = system->order * system->order * sizeof(double);
    size_t most = dense_bytes / bytes; /* small trees are the many: their sizes come first */
    system->classes = system->classes < most ? system->classes : most;
    system->class_sum = calloc(system->classes + 1, sizeof(gsl_matrix *));
    for (size_t c = 0; system->class_sum && c < system->classes; c++) {
        system->class_sum[c] = gsl_matrix_calloc(system->order, system->order);
        if (!system->class_sum[c]) {
            system->classes = c; /* the rest stays sparse */
        }
    }
    if (!system->class_sum) {
        system->classes = 0;
        return ap_sample_no_memory("a mixed model", err);
    }
    for (size_t t = 0; t < system->trees; t++) {
        mixed_tree *tree = &system->tree[t];
        const double *found = bsearch(&tree->n, system->class_size, system->classes, sizeof(double), compare_sizes);
        if (!found) {
            continue;
        }
        tree->size_class = (int)(found - system->class_size);
        gsl_matrix *sum = system->class_sum[tree->size_class];
        for (size_t a = tree->first; a < tree->first + tree->count; a++) {
            for (size_t b = tree->first; b < tree->first + tree->count; b++) {
                *gsl_matrix_ptr(sum, system->at[a], system->at[b]) += system->value[a] * system->value[b];
            }
        }
    }
    return AP_OK;
}

/* Whether two labellings split the cells alike: each label of one meets one label of the other, both ways. The
 * tree is labelling number `factors`. */
static uint32_t label_of(const mixed_system *system, const ap_mixed_data *data, size_t labelling, size_t cell) {
    return labelling < system->factors ? data->cell[cell].level[labelling] : data->cell[cell].tree;
}

typedef struct label_pair {
    uint32_t a;
    uint32_t b;
} label_pair;

static int compare_label_pairs(const void *left, const void *right) {
    const label_pair *x = left;
    const label_pair *y = right;
    if (x->a != y->a) {
        return x->a < y->a ? -1 : 1;
    }
    return (x->b > y->b) - (x->b < y->b);
}

/* True when each `a` meets one `b` only. */
static bool one_to_one_way(label_pair *pairs, size_t n) {
    qsort(pairs, n, sizeof *pairs, compare_label_pairs);
    for (size_t i = 1; i < n; i++) {
        if (pairs[i].a == pairs[i - 1].a && pairs[i].b != pairs[i - 1].b) {
            return false;
        }
    }
    return true;
}

static bool split_alike(label_pair *pairs, const mixed_system *system, const ap_mixed_data *data, size_t one,
                        size_t other) {
    for (size_t i = 0; i < data->cells; i++) {
        pairs[i] = (label_pair){label_of(system, data, one, i), label_of(system, data, other, i)};
    }
    if (!one_to_one_way(pairs, data->cells)) {
        return false;
    }
    for (size_t i = 0; i < data->cells; i++) {
        pairs[i] = (label_pair){pairs[i].b, pairs[i].a};
    }
    return one_to_one_way(pairs, data->cells);
}

/* M3: who cannot be told apart from whom. */
static ap_status hold_aliases(mixed_system *system, const ap_mixed_data *data, ap_error *err) {
    label_pair *pairs = calloc(data->cells, sizeof *pairs);
    if (!pairs) {
        return ap_sample_no_memory("a mixed model", err);
    }
    double largest = 0.0;
    for (size_t t = 0; t < system->trees; t++) {
        largest = fmax(largest, system->tree[t].n);
    }
    system->held[system->factors] = largest < 2.0;
    for (size_t k = 0; k < system->factors; k++) {
        system->held[k] = AP_MIXED_TOLD_APART;
        if (system->first_row[k + 1] - system->first_row[k] < 2) {
            system->held[k] = AP_MIXED_TOO_FEW_LEVELS;
        } else if (split_alike(pairs, system, data, k, system->factors)) {
            system->held[k] = AP_MIXED_SAME_AS_TREE;
        }
        for (size_t j = 0; j < k && system->held[k] == AP_MIXED_TOLD_APART; j++) {
            if (system->held[j] == AP_MIXED_TOLD_APART && split_alike(pairs, system, data, k, j)) {
                system->held[k] = (int)j;
            }
        }
    }
    free(pairs);
    return AP_OK;
}

ap_status mixed_system_init(mixed_system *out, const ap_mixed_data *data, size_t dense_bytes, ap_error *err) {
    mixed_system system = {.factors = data->factors, .picks = data->picks};
    ap_status status = number_levels(&system, data, err);
    if (status == AP_OK) {
        status = add_plain(&system, data, err);
    }
    if (status == AP_OK) {
        status = add_trees(&system, data, err);
    }
    if (status == AP_OK) {
        status = add_classes(&system, dense_bytes, err);
    }
    if (status == AP_OK) {
        status = hold_aliases(&system, data, err);
    }
    if (status != AP_OK) {
        mixed_system_release(&system);
        return status;
    }
    *out = system;
    return AP_OK;
}
