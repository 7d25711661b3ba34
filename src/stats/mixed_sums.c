#include "base/grow.h"
#include "stats/mixed_private.h"
#include "stats/sample.h"

/* With W the precision of the picks once the tree effect is integrated out, every sum of products is
 *     A'WA = A'A - sum over trees c s s',   s = sum of A over the tree,   c = theta^2 / (1 + n theta^2),
 * and c depends on the tree's size n only: the products s s' are added up once per size, and an evaluation costs no pass
 * over the trees. Sizes that would need too much memory stay sparse and are added at each evaluation. A'A follows from
 * the sums of each kind. */

enum { FIRST_ROOM = 64 };
static const size_t dense_bytes = (size_t)96 << 20;

static bool number_rows(ap_mixed_sums *sums, const ap_mixed_kind *kind) {
    for (size_t k = 0; k < sums->factors; k++) {
        size_t levels = 0;
        for (size_t i = 0; i < sums->kinds; i++) {
            levels = kind[i].level[k] > levels ? kind[i].level[k] : levels;
        }
        sums->first_row[k + 1] = sums->first_row[k] + levels;
        if (sums->first_row[k + 1] > AP_MIXED_LEVELS_MAX) {
            return false;
        }
    }
    sums->rows = sums->first_row[sums->factors];
    sums->order = sums->rows + 2;
    return true;
}

static bool allocate(ap_mixed_sums *sums) {
    sums->kind = calloc(sums->kinds + 1, sizeof *sums->kind);
    sums->total = calloc(sums->kinds + 1, sizeof *sums->total);
    sums->row_trees = calloc(sums->rows + 1, sizeof *sums->row_trees);
    sums->sum = ap_sample_array(sums->order);
    sums->touched = calloc(sums->order + 1, sizeof *sums->touched);
    sums->value_of = ap_sample_array(sums->order);
    sums->met = calloc(sums->rows / 64 + 1, sizeof *sums->met);
    return sums->kind && sums->total && sums->row_trees && sums->sum && sums->touched && sums->value_of && sums->met;
}

ap_status ap_mixed_sums_new(ap_mixed_sums **out, size_t factors, const ap_mixed_kind *kind, size_t kinds,
                            ap_error *err) {
    *out = NULL;
    ap_mixed_sums *sums = factors <= AP_MIXED_FACTORS_MAX ? calloc(1, sizeof *sums) : NULL;
    if (!sums) {
        return ap_sample_no_memory("a mixed model", err);
    }
    sums->factors = factors;
    sums->kinds = kinds;
    sums->dense_bytes = dense_bytes;
    if (!number_rows(sums, kind)) {
        ap_mixed_sums_free(sums);
        return ap_error_set(err, AP_E_LIMIT, "a mixed model takes %d levels of all factors together, there are more",
                            AP_MIXED_LEVELS_MAX);
    }
    if (!allocate(sums)) {
        ap_mixed_sums_free(sums);
        return ap_sample_no_memory("a mixed model", err);
    }
    for (size_t i = 0; i < kinds; i++) {
        for (size_t k = 0; k < factors; k++) {
            uint32_t level = kind[i].level[k];
            sums->kind[i].row[k] = level ? (uint32_t)(sums->first_row[k] + level - 1) : MIXED_NO_ROW;
        }
    }
    *out = sums;
    return AP_OK;
}

void ap_mixed_sums_free(ap_mixed_sums *sums) {
    if (sums) {
        for (size_t c = 0; c < sums->sizes; c++) {
            free(sums->size[c].product);
        }
        free(sums->size);
        free(sums->kind);
        free(sums->total);
        free(sums->row_trees);
        free(sums->sum);
        free(sums->touched);
        free(sums->value_of);
        free(sums->met);
        free(sums->tree);
        free(sums->at);
        free(sums->value);
        free(sums);
    }
}

/* The entry of trees of n picks, made when there is none; NULL when memory is out. Sizes are kept ascending. */
static mixed_size *find_size(ap_mixed_sums *sums, size_t n) {
    size_t low = 0;
    size_t high = sums->sizes;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (sums->size[middle].n < n) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    if (low < sums->sizes && sums->size[low].n == n) {
        return &sums->size[low];
    }
    if (sums->sizes == sums->size_room) {
        mixed_size *grown = ap_grown(sums->size, &sums->size_room, FIRST_ROOM, sizeof *grown);
        if (!grown) {
            return NULL;
        }
        sums->size = grown;
    }
    size_t bytes = sums->order * sums->order * sizeof(double);
    double *product = bytes <= sums->dense_bytes ? calloc(1, bytes) : NULL; /* NULL: these trees stay sparse */
    sums->dense_bytes -= product ? bytes : 0;
    memmove(sums->size + low + 1, sums->size + low, (sums->sizes - low) * sizeof *sums->size);
    sums->sizes++;
    sums->size[low] = (mixed_size){.n = n, .product = product};
    return &sums->size[low];
}

static bool room_for_tree(ap_mixed_sums *sums, size_t entries) {
    if (sums->trees == sums->tree_room) {
        mixed_tree *grown = ap_grown(sums->tree, &sums->tree_room, FIRST_ROOM, sizeof *grown);
        if (!grown) {
            return false;
        }
        sums->tree = grown;
    }
    if (sums->entries + entries > sums->entry_room) {
        size_t room = 2 * sums->entry_room + entries + FIRST_ROOM;
        uint32_t *at = realloc(sums->at, room * sizeof *at);
        sums->at = at ? at : sums->at;
        double *value = realloc(sums->value, room * sizeof *value);
        sums->value = value ? value : sums->value;
        if (!at || !value) {
            return false;
        }
        sums->entry_room = room;
    }
    return true;
}

static bool keep_sparse(ap_mixed_sums *sums, const uint32_t *at, const double *value, size_t count, size_t n,
                        int sign) {
    if (!room_for_tree(sums, count)) {
        return false;
    }
    sums->tree[sums->trees++] = (mixed_tree){sums->entries, count, n, sign};
    for (size_t i = 0; i < count; i++) {
        sums->at[sums->entries] = at[i];
        sums->value[sums->entries++] = value[i];
    }
    return true;
}

static unsigned lowest_bit(uint64_t bits) {
#if defined __GNUC__
    return (unsigned)__builtin_ctzll(bits);
#else
    unsigned at = 0;
    while (!(bits >> at & 1)) {
        at++;
    }
    return at;
#endif
}

/* For M3: in how many trees a factor has several levels, and in how many each level is. "Not logged" is a level here. */
static void count_levels(ap_mixed_sums *sums, size_t touched, const bool *blank, int sign) {
    size_t at = 0;
    for (size_t k = 0; k < sums->factors; k++) {
        size_t first = at;
        for (; at < touched && sums->touched[at] < sums->first_row[k + 1]; at++) {
            sums->row_trees[sums->touched[at]] += sign;
        }
        sums->blank_trees[k] += blank[k] ? sign : 0;
        sums->mixed_trees[k] += at - first + blank[k] > 1 ? sign : 0;
    }
}

/* The sums of one tree's design: sums->touched lists the rows, ascending, the mean and e last, sums->value_of their values. */
static size_t sum_tree(ap_mixed_sums *sums, const uint32_t *kind, const double *e, size_t count, int sign) {
    size_t touched = 0;
    double total = 0;
    bool blank[AP_MIXED_FACTORS_MAX] = {false};
    for (size_t i = 0; i < count; i++) {
        mixed_total *of_kind = &sums->total[kind[i]];
        const uint32_t *rows = sums->kind[kind[i]].row;
        of_kind->n += sign;
        of_kind->e += sign * e[i];
        of_kind->square += sign * (e[i] * e[i]);
        total += e[i];
        for (size_t k = 0; k < sums->factors; k++) {
            if (rows[k] == MIXED_NO_ROW) {
                blank[k] = true;
            } else {
                sums->sum[rows[k]] += 1;
                sums->met[rows[k] / 64] |= UINT64_C(1) << rows[k] % 64;
            }
        }
    }
    for (size_t word = 0; word <= sums->rows / 64; word++) {
        for (uint64_t bits = sums->met[word]; bits; bits &= bits - 1) {
            size_t row = word * 64 + lowest_bit(bits);
            sums->touched[touched] = (uint32_t)row;
            sums->value_of[touched++] = sums->sum[row];
            sums->sum[row] = 0;
        }
        sums->met[word] = 0;
    }
    count_levels(sums, touched, blank, sign);
    sums->touched[touched] = (uint32_t)sums->rows;
    sums->value_of[touched++] = (double)count;
    sums->touched[touched] = (uint32_t)sums->rows + 1;
    sums->value_of[touched++] = total;
    return touched;
}

ap_status ap_mixed_sums_add(ap_mixed_sums *sums, const uint32_t *kind, const double *e, size_t count, int sign,
                            ap_error *err) {
    mixed_size *size = count ? find_size(sums, count) : NULL;
    if (!size) {
        return count ? ap_sample_no_memory("a mixed model", err) : AP_OK;
    }
    size_t touched = sum_tree(sums, kind, e, count, sign);
    const uint32_t *at = sums->touched;
    const double *value = sums->value_of;
    size->trees += sign;
    sums->picks += sign * (int64_t)count;
    if (!size->product) {
        return keep_sparse(sums, at, value, touched, count, sign) ? AP_OK : ap_sample_no_memory("a mixed model", err);
    }
    for (size_t a = 0; a < touched; a++) {
        double *row = size->product + at[a] * sums->order;
        double by = sign * value[a];
        for (size_t b = 0; b <= a; b++) {
            row[at[b]] += by * value[b];
        }
    }
    return AP_OK;
}

/* Products of one size; a dense one that finds no room here cannot be kept. */
static bool merge_sizes(ap_mixed_sums *sums, const ap_mixed_sums *other) {
    for (size_t c = 0; c < other->sizes; c++) {
        const mixed_size *from = &other->size[c];
        mixed_size *to = find_size(sums, from->n);
        if (to && from->product && !to->product) {
            to->product = ap_sample_array(sums->order * sums->order);
        }
        if (!to || (from->product && !to->product)) {
            return false;
        }
        to->trees += from->trees;
        for (size_t i = 0; from->product && i < sums->order * sums->order; i++) {
            to->product[i] += from->product[i];
        }
    }
    return true;
}

ap_status ap_mixed_sums_merge(ap_mixed_sums *sums, const ap_mixed_sums *other, ap_error *err) {
    bool merged = merge_sizes(sums, other);
    for (size_t t = 0; merged && t < other->trees; t++) {
        const mixed_tree *tree = &other->tree[t];
        merged =
            keep_sparse(sums, other->at + tree->first, other->value + tree->first, tree->count, tree->n, tree->sign);
    }
    if (!merged) {
        return ap_sample_no_memory("a mixed model", err);
    }
    for (size_t i = 0; i < sums->kinds; i++) {
        sums->total[i].n += other->total[i].n;
        sums->total[i].e += other->total[i].e;
        sums->total[i].square += other->total[i].square;
    }
    for (size_t row = 0; row < sums->rows; row++) {
        sums->row_trees[row] += other->row_trees[row];
    }
    for (size_t k = 0; k < sums->factors; k++) {
        sums->mixed_trees[k] += other->mixed_trees[k];
        sums->blank_trees[k] += other->blank_trees[k];
    }
    sums->picks += other->picks;
    return AP_OK;
}
