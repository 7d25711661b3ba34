#include "stats/mixed_private.h"
#include "stats/sample.h"

/* What one fit needs, gathered from the sums (mixed_sums.c): only rows that have picks, only the factors in use. */

void mixed_system_release(mixed_system *system) {
    for (size_t c = 0; c < system->classes; c++) {
        free(system->class_sum[c]);
    }
    free(system->row_of);
    free(system->class_sum);
    free(system->class_size);
    free(system->size);
    free(system->size_trees);
    free(system->plain);
    free(system->tree);
    free(system->at);
    free(system->value);
    *system = (mixed_system){0};
}

/* Numbers the rows that have picks; *from lists them as rows of the sums, the mean's and e's last. Heap. */
static bool number_rows(mixed_system *system, size_t **from, const ap_mixed_sums *sums, const bool *used) {
    bool *there = calloc(sums->rows + 1, sizeof *there);
    *from = calloc(sums->order, sizeof **from);
    system->row_of = calloc(sums->order, sizeof *system->row_of);
    if (!there || !*from || !system->row_of) {
        free(there);
        return false;
    }
    for (size_t i = 0; i < sums->kinds; i++) {
        for (size_t k = 0; sums->total[i].n > 0 && k < sums->factors; k++) {
            uint32_t row = sums->kind[i].row[k];
            if (row != MIXED_NO_ROW && (!used || used[k])) {
                there[row] = true;
            }
        }
    }
    for (size_t k = 0; k < sums->factors; k++) {
        if (used && !used[k]) {
            continue;
        }
        size_t factor = system->factors++;
        system->first_row[factor] = system->rows;
        system->level_base[factor] = sums->first_row[k];
        system->level_count[factor] = sums->first_row[k + 1] - sums->first_row[k];
        for (size_t row = sums->first_row[k]; row < sums->first_row[k + 1]; row++) {
            if (there[row]) {
                (*from)[system->rows++] = row;
                system->row_of[row] = (uint32_t)system->rows;
            }
        }
    }
    free(there);
    system->first_row[system->factors] = system->rows;
    system->order = system->rows + 2;
    for (size_t i = 0; i < 2; i++) {
        (*from)[system->rows + i] = sums->rows + i;
        system->row_of[sums->rows + i] = (uint32_t)(system->rows + i + 1);
    }
    return true;
}

static bool add_plain(mixed_system *system, const ap_mixed_sums *sums) {
    system->plain = ap_sample_array(system->order * system->order);
    if (!system->plain) {
        return false;
    }
    double *mean_row = system->plain + system->rows * system->order;
    double *e_row = mean_row + system->order;
    for (size_t i = 0; i < sums->kinds; i++) {
        const mixed_total *total = &sums->total[i];
        size_t rows[AP_MIXED_FACTORS_MAX];
        size_t count = 0;
        for (size_t k = 0; total->n > 0 && k < sums->factors; k++) {
            uint32_t row = sums->kind[i].row[k];
            if (row != MIXED_NO_ROW && system->row_of[row]) {
                rows[count++] = system->row_of[row] - 1;
            }
        }
        for (size_t a = 0; a < count; a++) {
            for (size_t b = 0; b <= a; b++) {
                system->plain[rows[a] * system->order + rows[b]] += total->n;
            }
            mean_row[rows[a]] += total->n;
            e_row[rows[a]] += total->e;
        }
        mean_row[system->rows] += total->n;
        e_row[system->rows] += total->e;
        e_row[system->rows + 1] += total->square;
    }
    return true;
}

static bool add_sparse(mixed_system *system, const ap_mixed_sums *sums) {
    system->tree = calloc(sums->trees + 1, sizeof *system->tree);
    system->at = calloc(sums->entries + 1, sizeof *system->at);
    system->value = ap_sample_array(sums->entries);
    if (!system->tree || !system->at || !system->value) {
        return false;
    }
    size_t entries = 0;
    for (size_t t = 0; t < sums->trees; t++) {
        const mixed_tree *from = &sums->tree[t];
        mixed_tree *tree = &system->tree[system->sparse++];
        *tree = (mixed_tree){entries, 0, from->n, from->sign};
        for (size_t i = from->first; i < from->first + from->count; i++) {
            uint32_t row = system->row_of[sums->at[i]];
            if (row) {
                system->at[entries] = row - 1;
                system->value[entries++] = sums->value[i];
                tree->count++;
            }
        }
    }
    return true;
}

static bool add_classes(mixed_system *system, const ap_mixed_sums *sums, const size_t *from) {
    system->size = ap_sample_array(sums->sizes);
    system->size_trees = ap_sample_array(sums->sizes);
    system->class_size = ap_sample_array(sums->sizes);
    system->class_sum = calloc(sums->sizes + 1, sizeof *system->class_sum);
    if (!system->size || !system->size_trees || !system->class_size || !system->class_sum) {
        return false;
    }
    for (size_t c = 0; c < sums->sizes; c++) {
        const mixed_size *size = &sums->size[c];
        if (size->trees <= 0) {
            continue;
        }
        system->size[system->sizes] = (double)size->n;
        system->size_trees[system->sizes++] = (double)size->trees;
        system->trees += (size_t)size->trees;
        if (!size->product) {
            continue;
        }
        double *sum = ap_sample_array(system->order * system->order);
        if (!sum) {
            return false;
        }
        for (size_t a = 0; a < system->order; a++) {
            for (size_t b = 0; b <= a; b++) {
                sum[a * system->order + b] = size->product[from[a] * sums->order + from[b]];
            }
        }
        system->class_size[system->classes] = (double)size->n;
        system->class_sum[system->classes++] = sum;
    }
    return true;
}

/* How many of the other factor's labels a row meets: "not logged" is a label. */
static size_t partners(const mixed_system *system, size_t row, size_t other) {
    size_t met = 0;
    double left = system->plain[system->rows * system->order + row];
    for (size_t b = system->first_row[other]; b < system->first_row[other + 1]; b++) {
        size_t high = row > b ? row : b;
        size_t low = row > b ? b : row;
        double both = system->plain[high * system->order + low];
        met += both > 0;
        left -= both;
    }
    return met + (left > 0);
}

/* How many picks of `row` (the mean's: of all) have no label of factor k. */
static double blank_of(const mixed_system *system, size_t row, size_t k) {
    const double *mean = system->plain + system->rows * system->order;
    double left = row == system->rows ? (double)system->picks : mean[row];
    for (size_t b = system->first_row[k]; b < system->first_row[k + 1]; b++) {
        size_t high = row > b ? row : b;
        size_t low = row > b ? b : row;
        left -= system->plain[high * system->order + low];
    }
    return left;
}

/* How many labels of `k` the picks meet that have no label of `other`. */
static size_t blank_partners(const mixed_system *system, size_t k, size_t other) {
    size_t met = 0;
    double left = blank_of(system, system->rows, other);
    for (size_t row = system->first_row[k]; row < system->first_row[k + 1]; row++) {
        double blank = blank_of(system, row, other);
        met += blank > 0;
        left -= blank;
    }
    return met + (left > 0);
}

/* Whether two factors split the picks alike: each label of one meets one label of the other, both ways. */
static bool split_alike(const mixed_system *system, size_t one, size_t other) {
    for (size_t row = system->first_row[one]; row < system->first_row[one + 1]; row++) {
        if (partners(system, row, other) > 1) {
            return false;
        }
    }
    for (size_t row = system->first_row[other]; row < system->first_row[other + 1]; row++) {
        if (partners(system, row, one) > 1) {
            return false;
        }
    }
    return blank_partners(system, one, other) <= 1 && blank_partners(system, other, one) <= 1;
}

static bool splits_like_trees(const ap_mixed_sums *sums, size_t k) {
    bool alike = sums->mixed_trees[k] == 0 && sums->blank_trees[k] <= 1;
    for (size_t row = sums->first_row[k]; alike && row < sums->first_row[k + 1]; row++) {
        alike = sums->row_trees[row] <= 1;
    }
    return alike;
}

/* M3: who cannot be told apart from whom. */
static void hold_aliases(mixed_system *system, const ap_mixed_sums *sums, const bool *used) {
    double largest = system->sizes ? system->size[system->sizes - 1] : 0;
    size_t of_sums = 0;
    system->held[system->factors] = largest < 2;
    for (size_t k = 0; k < system->factors; k++, of_sums++) {
        while (used && !used[of_sums]) {
            of_sums++;
        }
        system->held[k] = AP_MIXED_TOLD_APART;
        if (system->first_row[k + 1] - system->first_row[k] < 2) {
            system->held[k] = AP_MIXED_TOO_FEW_LEVELS;
        } else if (splits_like_trees(sums, of_sums)) {
            system->held[k] = AP_MIXED_SAME_AS_TREE;
        }
        for (size_t j = 0; j < k && system->held[k] == AP_MIXED_TOLD_APART; j++) {
            if (system->held[j] == AP_MIXED_TOLD_APART && split_alike(system, k, j)) {
                system->held[k] = (int)j;
            }
        }
    }
}

ap_status mixed_system_init(mixed_system *out, const ap_mixed_sums *sums, const bool *used, ap_error *err) {
    mixed_system system = {.picks = (size_t)sums->picks};
    size_t *from = NULL;
    bool made = number_rows(&system, &from, sums, used) && add_plain(&system, sums) && add_sparse(&system, sums) &&
                add_classes(&system, sums, from);
    free(from);
    if (!made) {
        mixed_system_release(&system);
        return ap_sample_no_memory("a mixed model", err);
    }
    hold_aliases(&system, sums, used);
    *out = system;
    return AP_OK;
}
