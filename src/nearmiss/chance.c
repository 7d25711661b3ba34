#include "nearmiss/chance.h"

#include "stats/arl.h"
#include "stats/prng.h"
#include "stats/runs.h"

enum {
    SPAN_KINDS = 3,
    STEPS = 2000000, /* simulated picks at the most: some tenths of a second */
    STRETCH = 50000, /* picks of a longer period that are simulated: what chance makes is in proportion */
    REPLICATIONS_MOST = 500,
    REPLICATIONS_LEAST = 4,
    PAST = 400 /* weighed picks before the period that are simulated too: rows and sums begin there */
};
static const uint64_t seed = 0x41664c6f6f6b73; /* K2: any number, kept */

typedef struct strengths {
    float *items;
    size_t count, cap;
} strengths;

typedef struct world {
    const ap_looks *looks;
    const ap_roster *roster;
    const ap_spread *spread;
    size_t begin, first; /* simulated from, counted from */
    float *z;            /* by look; those before `begin` are not used */
    uint8_t *heavy;
    float *tree_effect; /* by tree label */
    uint32_t *tree_in;  /* the replication it was drawn in */
    double heavy_z;
} world;

ap_detector_id ap_span_detector(ap_span_kind kind) {
    static const ap_detector_id detectors[SPAN_KINDS] = {AP_DETECT_HEAVIER_RUN, AP_DETECT_DRIFT, AP_DETECT_OWN_CHANGE};
    return detectors[kind];
}

ap_span_rule ap_span_rule_of(ap_span_kind kind, const ap_rule_limits *limits) {
    switch (kind) {
    case AP_SPAN_RUN:
        return (ap_span_rule){.kind = kind, .least = limits->run_length};
    case AP_SPAN_DRIFT:
        return (ap_span_rule){.kind = kind,
                              .least = limits->drift_h,
                              .k = limits->drift_k,
                              .clip = limits->drift_clip,
                              .cap = 4 * limits->drift_h};
    case AP_SPAN_CHANGE:
        break;
    }
    return (ap_span_rule){.kind = kind,
                          .least = limits->change_h,
                          .k = limits->change_k,
                          .cap = 4 * limits->change_h,
                          .earlier = (size_t)limits->change_earlier};
}

static void draw(world *w, uint32_t replication) {
    ap_prng prng;
    ap_prng_init(&prng, seed, replication);
    double tree_share = w->spread->tree_sd / w->spread->sd;
    double rest_share = sqrt(fmax(0, 1 - tree_share * tree_share));
    for (size_t i = w->begin; i < w->looks->count; i++) {
        uint32_t tree = ap_fact_group(&w->roster->facts[w->looks->fact[i]], AP_BY_TREE);
        if (tree_share > 0 && w->tree_in[tree] != replication) {
            w->tree_in[tree] = replication;
            w->tree_effect[tree] = (float)(tree_share * ap_prng_normal(&prng));
        }
        double z = (double)w->tree_effect[tree] + rest_share * ap_prng_normal(&prng);
        w->z[i] = (float)z;
        w->heavy[i] = z > w->heavy_z;
    }
}

static bool take(strengths *list, const ap_span_list *spans) {
    for (size_t i = 0; i < spans->count; i++) {
        if (spans->items[i].merged) {
            continue;
        }
        if (list->count == list->cap) {
            size_t cap = list->cap ? list->cap * 2 : 256;
            float *grown = realloc(list->items, cap * sizeof *grown);
            if (!grown) {
                return false;
            }
            list->items = grown;
            list->cap = cap;
        }
        list->items[list->count++] = spans->items[i].strength;
    }
    return true;
}

static int falling(const void *left, const void *right) {
    float a = *(const float *)left;
    float b = *(const float *)right;
    return (a < b) - (a > b);
}

static size_t stronger(const strengths *list, ap_span_kind kind, double limit) {
    size_t count = 0;
    while (count < list->count && (kind == AP_SPAN_RUN ? (double)list->items[count] >= limit
                                                       : (double)list->items[count] > limit * (1 + 1e-9))) {
        count++;
    }
    return count;
}

/* K3. Sums rise by tenths, rows by one pick. `periods`: how many of them were simulated, a part where the period is long. */
static void settle(ap_chance_line *line, ap_span_kind kind, strengths *list, double allowed, double periods) {
    double step = kind == AP_SPAN_RUN ? 1 : 0.1;
    double limit = line->rule_limit;
    if (list->count > 1) {
        qsort(list->items, list->count, sizeof *list->items, falling);
    }
    for (size_t up = 1; (double)stronger(list, kind, limit) > allowed * periods; up++) {
        limit = line->rule_limit + step * (double)up;
    }
    line->limit = limit;
    line->expected = (double)stronger(list, kind, limit) / periods;
}

/* K4. */
static void set_independent(ap_chance_line *line, ap_span_kind kind, const world *w, const ap_span_rule *rule) {
    double picks = NAN;
    double share = NAN;
    ap_error none;
    line->independent = NAN;
    if (kind == AP_SPAN_RUN && w->spread->sd > 0 &&
        ap_runs_share(&share, 1 + w->roster->settings.heavier, 0, w->spread->sd, &none) == AP_OK &&
        ap_runs_arl(&picks, share, (unsigned)line->limit, &none) == AP_OK) {
        line->independent = (double)line->looks / picks;
    } else if (kind == AP_SPAN_DRIFT &&
               ap_cusum_arl(&picks, rule->k, line->limit, rule->clip, 0, 0, 1, &none) == AP_OK) {
        line->independent = (double)line->looks / picks;
    }
}

static ap_status replicate(strengths lists[SPAN_KINDS], world *w, const ap_rule_limits *limits, size_t replications,
                           ap_error *err) {
    ap_span_list spans = {0};
    ap_status status = AP_OK;
    const ap_span_values values = {
        .z = w->z, .heavy = w->heavy, .begin = w->begin, .first = w->first, .past_known = true};
    for (size_t r = 1; r <= replications && status == AP_OK; r++) {
        draw(w, (uint32_t)r);
        for (size_t kind = 0; kind < SPAN_KINDS && status == AP_OK; kind++) {
            ap_span_rule rule = ap_span_rule_of((ap_span_kind)kind, limits);
            status = ap_spans_find(&spans, w->looks, &values, &rule, err);
            if (status == AP_OK && !take(&lists[kind], &spans)) {
                status = ap_error_set(err, AP_E_MEMORY, "out of memory for what chance makes");
            }
        }
    }
    ap_spans_release(&spans);
    return status;
}

static size_t replications_for(size_t picks) {
    size_t many = STEPS / (picks + 1);
    return many > REPLICATIONS_MOST ? REPLICATIONS_MOST : many < REPLICATIONS_LEAST ? REPLICATIONS_LEAST : many;
}

ap_status ap_chance_of_spans(ap_chance *out, const ap_roster *roster, const ap_looks *looks,
                             const ap_rule_limits *limits, const double allowed[3], ap_error *err) {
    world w = {.looks = looks, .roster = roster, .spread = &out->spread};
    strengths lists[SPAN_KINDS] = {0};
    size_t period = looks->count - looks->first;
    size_t stretch = period < STRETCH ? period : STRETCH;
    size_t past = stretch > PAST ? stretch : PAST;
    double scale = stretch ? (double)period / (double)stretch : 0;
    size_t trees = (size_t)ap_intern_count(roster->labels[AP_BY_TREE]) + 1;
    w.first = looks->count - stretch;
    w.begin = w.first > past ? w.first - past : 0;
    w.heavy_z = log1p(roster->settings.heavier) / out->spread.sd;
    w.z = calloc(looks->count + 1, sizeof *w.z);
    w.heavy = calloc(looks->count + 1, 1);
    w.tree_effect = calloc(trees, sizeof *w.tree_effect);
    w.tree_in = calloc(trees, sizeof *w.tree_in);
    ap_status status = AP_OK;
    if (!w.z || !w.heavy || !w.tree_effect || !w.tree_in) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for what chance makes of %zu picks", looks->count);
        goto done;
    }
    out->replications = period ? replications_for(looks->count - w.begin) : 0;
    status = replicate(lists, &w, limits, out->replications, err);
    for (size_t k = 0; k < SPAN_KINDS && status == AP_OK; k++) {
        ap_span_kind kind = (ap_span_kind)k;
        ap_span_rule rule = ap_span_rule_of(kind, limits);
        ap_chance_line *line = &out->line[ap_span_detector(kind)];
        *line = (ap_chance_line){.looked = looks->looks > 0, .looks = looks->looks, .rule_limit = rule.least};
        settle(line, kind, &lists[k], allowed[k], (double)(out->replications ? out->replications : 1) / fmax(scale, 1));
        set_independent(line, kind, &w, &rule);
    }
done:
    for (size_t k = 0; k < SPAN_KINDS; k++) {
        free(lists[k].items);
    }
    free(w.z);
    free(w.heavy);
    free(w.tree_effect);
    free(w.tree_in);
    return status;
}
