#include "nearmiss/chance.h"

#include "base/grow.h"
#include "nearmiss/chance_draw.h"
#include "stats/arl.h"
#include "stats/runs.h"

enum {
    SPAN_KINDS = 3,
    STEPS = 2000000, /* simulated picks at the most: some tenths of a second */
    STRETCH = 50000, /* picks of a longer period that are simulated: what chance makes is in proportion */
    REPLICATIONS_MOST = 500,
    REPLICATIONS_LEAST = 4,
    WHOLE = 1500, /* a book of so many weighed picks is simulated from its first one on; */
    PAST = 400,   /* of a larger one so many before the period, or as many as are in it: rows and sums begin there */
    TAIL = 100,   /* K5: the strongest that a tail is drawn from */
    HELD = 8      /* limits that a sum may reach: beyond, how long it lasted says nothing more */
};

/* A simulated span, and the strongest of those before it in the table of detectors that rest on nearly the same picks: where such a one
 * is a finding, this one is not told (K6). */
typedef struct strength {
    float own;
    float run, drift;
    float drift_run; /* the run that would be told in the drift's place */
} strength;

typedef struct strengths {
    strength *items;
    size_t count, cap;
} strengths;

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
                              .cap = HELD * limits->drift_h};
    case AP_SPAN_CHANGE:
        break;
    }
    return (ap_span_rule){.kind = kind,
                          .least = limits->change_h,
                          .k = limits->change_k,
                          .cap = HELD * limits->change_h,
                          .earlier = (size_t)limits->change_earlier};
}

static bool take(strengths *list, const strength *item) {
    if (list->count == list->cap) {
        strength *grown = ap_grown(list->items, &list->cap, 256, sizeof *grown);
        if (!grown) {
            return false;
        }
        list->items = grown;
    }
    list->items[list->count++] = *item;
    return true;
}

static int falling(const void *left, const void *right) {
    float a = ((const strength *)left)->own;
    float b = ((const strength *)right)->own;
    return (a < b) - (a > b);
}

static size_t stronger(const strengths *list, ap_span_kind kind, double limit) {
    size_t count = 0;
    while (count < list->count && (kind == AP_SPAN_RUN ? (double)list->items[count].own >= limit
                                                       : (double)list->items[count].own > limit * (1 + 1e-9))) {
        count++;
    }
    return count;
}

/* K6: those that are told elsewhere at the limits settled so far are dropped; the rest, strongest first. */
static void keep_told(strengths *list, double run_limit, double drift_limit) {
    size_t kept = 0;
    for (size_t i = 0; i < list->count; i++) {
        const strength *item = &list->items[i];
        bool as_drift = (double)item->drift > drift_limit * (1 + 1e-9) && (double)item->drift_run < run_limit;
        if ((double)item->run < run_limit && !as_drift) {
            list->items[kept++] = *item;
        }
    }
    list->count = kept;
    if (kept > 1) {
        qsort(list->items, kept, sizeof *list->items, falling);
    }
}

/* K5: false alarms a period above `limit`, by the tail that the strongest spans make. */
static double tail_rate(const strengths *list, ap_span_kind kind, size_t most, double from, double limit,
                        double periods) {
    double over = 0;
    for (size_t i = 0; i < most; i++) {
        over += (double)list->items[i].own - from;
    }
    double share = 1;
    if (kind == AP_SPAN_RUN) {
        for (size_t i = 0; (double)i < limit - from; i++) {
            share *= (over + 1 + (double)i) / (over + (double)most + 2 + (double)i);
        }
    } else {
        share = pow(1 + (limit - from) / over, -(double)most);
    }
    return share * (double)most / periods;
}

/* K3. Sums rise by tenths, rows by one pick. `periods`: how many of them were simulated, a part where the period is long. */
static void settle(ap_chance_line *line, ap_span_kind kind, const strengths *list, double allowed, double periods) {
    double step = kind == AP_SPAN_RUN ? 1 : 0.1;
    double limit = line->rule_limit;
    double rate = (double)stronger(list, kind, limit) / periods;
    size_t up = 0;
    while (rate > allowed && rate * periods > TAIL) {
        limit = line->rule_limit + step * (double)++up;
        rate = (double)stronger(list, kind, limit) / periods;
    }
    if (rate > allowed) { /* the least that is left are too few to count on */
        double from = up ? limit - step : limit;
        size_t most = stronger(list, kind, from);
        while (rate > allowed) {
            limit = line->rule_limit + step * (double)++up;
            rate = tail_rate(list, kind, most, from, limit, periods);
        }
    }
    line->limit = limit;
    line->expected = rate;
}

/* K4. */
static void set_independent(ap_chance_line *line, ap_span_kind kind, const ap_spread *spread, double heavier,
                            const ap_span_rule *rule) {
    double picks = NAN;
    double share = NAN;
    ap_error none;
    line->independent = NAN;
    if (kind == AP_SPAN_RUN && spread->sd > 0 && ap_runs_share(&share, 1 + heavier, 0, spread->sd, &none) == AP_OK &&
        ap_runs_arl(&picks, share, (unsigned)line->limit, &none) == AP_OK) {
        line->independent = (double)line->looks / picks;
    } else if (kind == AP_SPAN_DRIFT &&
               ap_cusum_arl(&picks, rule->k, line->limit, rule->clip, 0, 0, 1, &none) == AP_OK) {
        line->independent = (double)line->looks / picks;
    }
}

/* The spans of one replication that stand, by kind. */
typedef struct standing {
    ap_span *items;
    size_t count, cap;
} standing;

static bool keep_standing(standing *out, const ap_span_list *spans) {
    if (spans->count > out->cap) {
        ap_span *grown = realloc(out->items, 2 * spans->count * sizeof *grown);
        if (!grown) {
            return false;
        }
        out->items = grown;
        out->cap = 2 * spans->count;
    }
    out->count = 0;
    for (size_t i = 0; i < spans->count; i++) {
        if (!spans->items[i].merged) {
            out->items[out->count++] = spans->items[i];
        }
    }
    return true;
}

/* The strongest that is alike: spans stand strongest first. NULL: none. */
static const ap_span *alike(const ap_looks *looks, const standing *others, const ap_span *span) {
    for (size_t i = 0; i < others->count; i++) {
        if (ap_spans_alike(looks, span, &others->items[i])) {
            return &others->items[i];
        }
    }
    return NULL;
}

typedef struct replications {
    ap_draw draw;
    ap_span_list spans; /* of the kind at hand */
    standing standing[SPAN_KINDS];
    strengths found[SPAN_KINDS];
} replications;

static bool take_standing(replications *r, ap_span_kind kind) {
    const ap_looks *looks = r->draw.looks;
    const standing *here = &r->standing[kind];
    bool fine = true;
    for (size_t i = 0; i < here->count && fine; i++) {
        const ap_span *span = &here->items[i];
        strength item = {.own = span->strength};
        if (kind != AP_SPAN_RUN) {
            const ap_span *run = alike(looks, &r->standing[AP_SPAN_RUN], span);
            item.run = run ? run->strength : 0;
        }
        const ap_span *drift = kind == AP_SPAN_CHANGE ? alike(looks, &r->standing[AP_SPAN_DRIFT], span) : NULL;
        if (drift) {
            const ap_span *run = alike(looks, &r->standing[AP_SPAN_RUN], drift);
            item.drift = drift->strength;
            item.drift_run = run ? run->strength : 0;
        }
        fine = take(&r->found[kind], &item);
    }
    return fine;
}

static ap_status replicate(replications *r, size_t first, const ap_rule_limits *limits, size_t count, ap_error *err) {
    ap_status status = AP_OK;
    const ap_span_values values = {
        .z = r->draw.z, .heavy = r->draw.heavy, .begin = r->draw.begin, .first = first, .past = r->draw.past};
    for (size_t turn = 1; turn <= count && status == AP_OK; turn++) {
        ap_draw_next(&r->draw, (uint32_t)turn);
        for (size_t k = 0; k < SPAN_KINDS && status == AP_OK; k++) {
            ap_span_kind kind = (ap_span_kind)k;
            ap_span_rule rule = ap_span_rule_of(kind, limits);
            status = ap_spans_find(&r->spans, r->draw.looks, &values, &rule, err);
            if (status == AP_OK && !(keep_standing(&r->standing[kind], &r->spans) && take_standing(r, kind))) {
                status = ap_error_set(err, AP_E_MEMORY, "out of memory for what chance makes");
            }
        }
    }
    return status;
}

static void release(replications *r) {
    ap_draw_release(&r->draw);
    ap_spans_release(&r->spans);
    for (size_t k = 0; k < SPAN_KINDS; k++) {
        free(r->standing[k].items);
        free(r->found[k].items);
    }
}

static size_t replications_for(size_t picks) {
    size_t many = STEPS / (picks + 1);
    return many > REPLICATIONS_MOST ? REPLICATIONS_MOST : many < REPLICATIONS_LEAST ? REPLICATIONS_LEAST : many;
}

ap_status ap_chance_of_spans(ap_chance *out, const ap_roster *roster, const ap_looks *looks,
                             const ap_rule_limits *limits, const double allowed[3], ap_error *err) {
    replications r = {.spans = {0}};
    size_t period = looks->count - looks->first;
    size_t stretch = period < STRETCH ? period : STRETCH;
    size_t past = stretch > PAST ? stretch : PAST;
    double scale = stretch ? (double)period / (double)stretch : 1;
    size_t first = looks->count - stretch;
    size_t begin = first > past && looks->count > WHOLE ? first - past : 0;
    out->replications = period ? replications_for(looks->count - begin) : 0;
    double periods = (double)(out->replications ? out->replications : 1) / scale;
    ap_status status = ap_draw_init(&r.draw, roster, looks, &out->spread, begin, err);
    if (status == AP_OK) {
        status = replicate(&r, first, limits, out->replications, err);
    }
    double settled[SPAN_KINDS] = {INFINITY, INFINITY, INFINITY};
    for (size_t k = 0; k < SPAN_KINDS && status == AP_OK; k++) {
        ap_span_kind kind = (ap_span_kind)k;
        ap_span_rule rule = ap_span_rule_of(kind, limits);
        ap_chance_line *line = &out->line[ap_span_detector(kind)];
        *line = (ap_chance_line){.looked = looks->looks > 0, .looks = looks->looks, .rule_limit = rule.least};
        keep_told(&r.found[kind], settled[AP_SPAN_RUN], settled[AP_SPAN_DRIFT]);
        settle(line, kind, &r.found[kind], allowed[k], periods);
        set_independent(line, kind, &out->spread, roster->settings.heavier, &rule);
        settled[kind] = line->limit;
    }
    release(&r);
    return status;
}
