#include "nearmiss/chance_draw.h"

enum { PAST_KNOWN = 2000 }; /* so many earlier picks of a group are as good as a known mean and spread */

/* FNV-1a over what the draws rest on: another book draws other numbers, so that what one draw happens to make too few of is not left
 * out of every review. */
static uint64_t seed_of(const ap_looks *looks, const ap_spread *spread) {
    const double parts[] = {spread->within, spread->between, spread->sd, (double)looks->count, (double)looks->first};
    uint64_t hash = 0xcbf29ce484222325;
    unsigned char bytes[sizeof parts];
    memcpy(bytes, parts, sizeof parts);
    for (size_t i = 0; i < sizeof bytes; i++) {
        hash = (hash ^ bytes[i]) * 0x100000001b3;
    }
    return hash;
}

/* D4: how many earlier picks each group value has, and in what trees. */
static void count_slot(ap_draw *draw, const ap_roster *roster, uint32_t *of_tree, size_t group, size_t slot) {
    const uint32_t *order = draw->looks->order[group];
    size_t from = draw->looks->start[group][slot];
    size_t to = draw->looks->start[group][slot + 1];
    double *squares = &draw->past_clusters[group][slot];
    size_t at = from;
    for (; at < to && order[at] < draw->begin; at++) {
        uint32_t tree = ap_fact_group(&roster->facts[draw->looks->fact[order[at]]], AP_BY_TREE);
        *squares += 2.0 * of_tree[tree] + 1;
        of_tree[tree]++;
    }
    draw->past[group][slot].count = (double)(at - from);
    while (at-- > from) {
        of_tree[ap_fact_group(&roster->facts[draw->looks->fact[order[at]]], AP_BY_TREE)] = 0;
    }
}

static bool count_past(ap_draw *draw, const ap_roster *roster) {
    uint32_t *of_tree = calloc((size_t)ap_intern_count(roster->labels[AP_BY_TREE]) + 1, sizeof *of_tree);
    bool fine = of_tree != NULL;
    for (size_t group = 0; group < AP_RUN_GROUPS && draw->begin > 0 && fine; group++) {
        size_t slots = draw->looks->slots[group];
        draw->past[group] = calloc(slots + 1, sizeof *draw->past[group]);
        draw->past_clusters[group] = calloc(slots + 1, sizeof *draw->past_clusters[group]);
        fine = draw->past[group] && draw->past_clusters[group];
        for (size_t slot = 1; slot < slots && fine; slot++) {
            count_slot(draw, roster, of_tree, group, slot);
        }
    }
    free(of_tree);
    return fine;
}

ap_status ap_draw_init(ap_draw *out, const ap_roster *roster, const ap_looks *looks, const ap_spread *spread,
                       size_t begin, ap_error *err) {
    *out = (ap_draw){.looks = looks,
                     .spread = spread,
                     .begin = begin,
                     .seed = seed_of(looks, spread),
                     .heavy_log = log1p(roster->settings.heavier)};
    out->z = calloc(looks->count + 1, sizeof *out->z);
    out->heavy = calloc(looks->count + 1, 1);
    if (!out->z || !out->heavy || !count_past(out, roster)) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for what chance makes of %zu picks", looks->count);
    }
    return ap_fit_init(&out->fit, roster, looks, begin, err);
}

/* Variances of a tree's mean, shared + alone / size, and the standard deviation about it. */
typedef struct scales {
    double mean; /* of what trees[].effect holds */
    double own;
    double shared, alone;
} scales;

static double tree_ratio(const ap_spread *spread) {
    return spread->trees_told_apart && spread->rest_sd > 0 ? pow(spread->tree_sd / spread->rest_sd, 2) : 0;
}

/* The noise drawn into z becomes two parts of standard size: each tree's mean (D3), and what is left about it. */
static void part(ap_draw *draw) {
    ap_fit *fit = &draw->fit;
    double ratio = tree_ratio(draw->spread);
    for (size_t t = 0; t < fit->tree_count; t++) {
        fit->trees[t].own = 0;
    }
    for (size_t i = draw->begin; i < draw->looks->count; i++) {
        fit->trees[fit->tree[i - draw->begin]].own += (double)draw->z[i];
    }
    for (size_t t = 0; t < fit->tree_count; t++) {
        ap_fit_tree *tree = &fit->trees[t];
        tree->own /= tree->size;
        tree->effect = (float)(tree->own * sqrt(ratio * tree->size + 1));
    }
    for (size_t i = draw->begin; i < draw->looks->count; i++) {
        draw->z[i] -= (float)fit->trees[fit->tree[i - draw->begin]].own;
    }
}

/* Solves for the scales of both parts at which the sums are the fitted ones. Each sum is nearly of one part only, so that a few turns
 * settle it. */
static void solve(scales *s, const ap_spread *spread, const ap_fit_sums *within, const ap_fit_sums *between) {
    enum { TURNS = 20 };
    double own = spread->within / within->own;
    double mean = spread->between / between->mean;
    double own_least = own / 100;
    double mean_least = mean / 100;
    for (int turn = 0; turn < TURNS; turn++) {
        double both = sqrt(own * mean);
        double before = own;
        own = fmax((spread->within - both * within->both - mean * within->mean) / within->own, own_least);
        both = sqrt(own * mean);
        mean = fmax((spread->between - both * between->both - own * between->own) / between->mean, mean_least);
        if (fabs(own - before) < 1e-6 * before) {
            break;
        }
    }
    s->own = sqrt(own);
    s->mean = sqrt(mean);
}

/* D1, D2, D4. */
static scales scale(ap_draw *draw, ap_prng *prng) {
    const ap_spread *spread = draw->spread;
    ap_fit *fit = &draw->fit;
    double drawn = (double)(draw->looks->count - draw->begin);
    double trees = (double)fit->tree_count;
    bool all = draw->begin == 0;
    if (spread->trees_told_apart) {
        scales s = {0};
        double ratio = tree_ratio(spread);
        ap_fit_take(fit, draw->z);
        ap_fit_sums within = fit->within;
        ap_fit_sums between = fit->between;
        double older = (double)spread->trees - trees;
        if (!all) {
            double size = older > 0 ? ((double)draw->looks->count - drawn) / older : 0;
            within.own += ap_prng_chi_square(prng, spread->within_df - (drawn - trees));
            between.mean += (ratio * size + 1) * ap_prng_chi_square(prng, spread->between_df - trees);
        }
        solve(&s, spread, &within, &between);
        s.shared = ratio * s.mean * s.mean;
        s.alone = s.mean * s.mean;
        return s;
    }
    double variance = spread->sd * spread->sd; /* an assumed spread is taken as it is */
    if (spread->within_df > 0) {
        ap_fit_take(fit, draw->z);
        double squares = fit->within.own + fit->within.both + fit->within.mean + fit->between.own + fit->between.both +
                         fit->between.mean;
        squares += all ? 0 : ap_prng_chi_square(prng, spread->within_df - drawn);
        variance = spread->within / squares;
    }
    return (scales){sqrt(variance), sqrt(variance), 0, variance};
}

/* D4. */
static void draw_past(ap_draw *draw, ap_prng *prng, const scales *s) {
    double unit = 1 / (draw->spread->sd * draw->spread->sd);
    double variance = unit * (s->shared + s->own * s->own);
    for (size_t group = 0; group < AP_RUN_GROUPS && draw->past[group]; group++) {
        for (size_t slot = 1; slot < draw->looks->slots[group]; slot++) {
            ap_span_past *past = &draw->past[group][slot];
            double n = past->count;
            past->mean = 0;
            past->squares = variance * (n - 1);
            if (n >= 2 && n < PAST_KNOWN) {
                double of_mean = unit * (s->shared * draw->past_clusters[group][slot] + s->alone * n) / (n * n);
                past->mean = sqrt(of_mean) * ap_prng_normal(prng);
                past->squares = variance * ap_prng_chi_square(prng, n - 1);
            } else if (n < 2) {
                past->count = past->squares = 0;
            }
        }
    }
}

void ap_draw_next(ap_draw *draw, uint32_t replication) {
    ap_prng prng;
    ap_prng_init(&prng, draw->seed, replication);
    size_t count = draw->looks->count;
    for (size_t i = draw->begin; i < count; i++) {
        draw->z[i] = (float)ap_prng_normal(&prng);
    }
    part(draw);
    const scales s = scale(draw, &prng);
    double unit = 1 / draw->spread->sd;
    for (size_t i = draw->begin; i < count; i++) {
        double effect = (double)draw->fit.trees[draw->fit.tree[i - draw->begin]].effect;
        double e = s.mean * effect + s.own * (double)draw->z[i];
        draw->heavy[i] = e > draw->heavy_log;
        draw->z[i] = (float)(e * unit);
    }
    draw_past(draw, &prng, &s);
}

void ap_draw_release(ap_draw *draw) {
    free(draw->z);
    free(draw->heavy);
    ap_fit_release(&draw->fit);
    for (size_t group = 0; group < AP_RUN_GROUPS; group++) {
        free(draw->past[group]);
        free(draw->past_clusters[group]);
    }
    *draw = (ap_draw){0};
}
