#include "nearmiss/spans.h"

#include "base/grow.h"

enum { SHARED = 4, SHARED_OF = 5 }; /* S5 */

typedef struct scan {
    ap_span_list *out;
    const ap_looks *looks;
    const ap_span_values *values;
    const ap_span_rule *rule;
    size_t group;
    bool fine;
} scan;

static void keep(scan *s, size_t from, size_t to, double strength) {
    bool enough = s->rule->kind == AP_SPAN_RUN ? strength >= s->rule->least : strength > s->rule->least * (1 + 1e-9);
    if (!enough || s->looks->order[s->group][to] < s->values->first) {
        return; /* S4 */
    }
    ap_span_list *list = s->out;
    if (list->count == list->cap) {
        ap_span *grown = ap_grown(list->items, &list->cap, 64, sizeof *grown);
        if (!grown) {
            s->fine = false;
            return;
        }
        list->items = grown;
    }
    list->items[list->count++] = (ap_span){.from = (uint32_t)from,
                                           .to = (uint32_t)to,
                                           .group = (uint8_t)s->group,
                                           .groups = (uint8_t)(1u << s->group),
                                           .strength = (float)strength};
}

/* S1 over one group value's places. */
static void scan_runs(scan *s, size_t from, size_t to) {
    const uint32_t *order = s->looks->order[s->group];
    size_t length = 0;
    for (size_t at = from; at < to; at++) {
        if (s->values->heavy[order[at]]) {
            length++;
        } else if (length) {
            keep(s, at - length, at - 1, (double)length);
            length = 0;
        }
    }
    if (length) {
        keep(s, to - length, to - 1, (double)length);
    }
}

typedef struct rising {
    double sum, peak;
    size_t start, peak_at;
} rising;

static void rise(scan *s, rising *r, size_t at, double step) {
    double sum = r->sum + step - s->rule->k;
    if (sum <= 0) {
        if (r->peak > 0) {
            keep(s, r->start, r->peak_at, r->peak);
        }
        *r = (rising){0};
        return;
    }
    if (r->sum <= 0) {
        r->start = at;
    }
    r->sum = sum < s->rule->cap ? sum : s->rule->cap;
    if (r->sum >= r->peak) {
        r->peak = r->sum;
        r->peak_at = at;
    }
}

/* S2. */
static void scan_drift(scan *s, size_t from, size_t to) {
    const uint32_t *order = s->looks->order[s->group];
    double clip = s->rule->clip;
    rising r = {0};
    for (size_t at = from; at < to; at++) {
        double z = (double)s->values->z[order[at]];
        rise(s, &r, at, z > clip ? clip : z < -clip ? -clip : z);
    }
    keep(s, r.start, r.peak_at, r.peak);
}

/* Wallace's normal score of a t value. */
static double normal_score(double t, double df) {
    double u = (8 * df + 1) / (8 * df + 3) * sqrt(df * log1p(t * t / df));
    return t < 0 ? -u : u;
}

/* S3: each value against the mean and sd of those before it (Welford's recursion). */
static void scan_change(scan *s, size_t from, size_t to, const ap_span_past *past) {
    const uint32_t *order = s->looks->order[s->group];
    double n = past ? past->count : 0;
    double mean = past ? past->mean : 0;
    double squares = past ? past->squares : 0;
    rising r = {0};
    for (size_t at = from; at < to; at++) {
        double z = (double)s->values->z[order[at]];
        if (n >= (double)s->rule->earlier && squares > 0) {
            double t = (z - mean) / sqrt(squares / (n - 1) * (n + 1) / n);
            /* The score of a positive t is never above t: a sum at rest stays there, and needs no logarithm. */
            if (r.sum > 0 || t > s->rule->k) {
                rise(s, &r, at, normal_score(t, n - 1));
            }
        }
        n++;
        double delta = z - mean;
        mean += delta / n;
        squares += delta * (z - mean);
    }
    keep(s, r.start, r.peak_at, r.peak);
}

static int strongest_first(const void *left, const void *right) {
    const ap_span *a = left;
    const ap_span *b = right;
    if (a->strength < b->strength || a->strength > b->strength) {
        return a->strength < b->strength ? 1 : -1;
    }
    if (a->group != b->group) {
        return a->group < b->group ? -1 : 1;
    }
    return (a->from > b->from) - (a->from < b->from);
}

/* The picks of a list's spans, numbered without gaps: of a large book few are in one. */
typedef struct numbering {
    size_t first; /* pick */
    size_t count; /* picks that are in a span */
    uint64_t *bits;
    uint32_t *before; /* by word of bits */
} numbering;

static size_t number_of(const numbering *n, uint32_t pick) {
    size_t at = pick - n->first;
    uint64_t below = n->bits[at / 64] & ((UINT64_C(1) << at % 64) - 1);
    return n->before[at / 64] + (size_t)__builtin_popcountll(below);
}

static void release_numbering(numbering *n) {
    free(n->bits);
    free(n->before);
}

static bool number_picks(numbering *n, const ap_span_list *list, const ap_looks *looks) {
    size_t last = 0;
    n->first = SIZE_MAX;
    for (size_t i = 0; i < list->count; i++) {
        const ap_span *span = &list->items[i];
        const uint32_t *order = looks->order[span->group];
        n->first = order[span->from] < n->first ? order[span->from] : n->first;
        last = order[span->to] > last ? order[span->to] : last;
    }
    size_t words = (last - n->first) / 64 + 1;
    n->bits = calloc(words, sizeof *n->bits);
    n->before = calloc(words, sizeof *n->before);
    if (!n->bits || !n->before) {
        return false;
    }
    for (size_t i = 0; i < list->count; i++) {
        const ap_span *span = &list->items[i];
        for (size_t at = span->from; at <= span->to; at++) {
            size_t pick = looks->order[span->group][at] - n->first;
            n->bits[pick / 64] |= UINT64_C(1) << pick % 64;
        }
    }
    for (size_t w = 0; w < words; w++) {
        n->before[w] = (uint32_t)n->count;
        n->count += (size_t)__builtin_popcountll(n->bits[w]);
    }
    return true;
}

/* S5 for one span against the stronger ones of the other groups: owner[g * picks + number] is 1 + the number of the span that holds the
 * pick there. */
static size_t merge_into(const ap_span_list *list, const ap_looks *looks, const numbering *n, size_t number) {
    const ap_span *span = &list->items[number];
    const uint32_t *order = looks->order[span->group];
    uint32_t size = span->to - span->from + 1;
    size_t found = SIZE_MAX;
    for (size_t group = 0; group < AP_RUN_GROUPS && found == SIZE_MAX; group++) {
        const uint32_t *owner = list->owner + group * n->count;
        if (group == span->group) {
            continue;
        }
        for (size_t at = span->from; at <= span->to; at++) {
            uint32_t other = owner[number_of(n, order[at])];
            if (other) {
                const ap_span *outer = &list->items[other - 1];
                uint32_t outer_size = outer->to - outer->from + 1;
                uint32_t hits = ++list->hits[other - 1];
                uint32_t smaller = size < outer_size ? size : outer_size;
                found = SHARED_OF * (uint64_t)hits >= SHARED * (uint64_t)smaller ? other - 1 : found;
            }
        }
        for (size_t at = span->from; at <= span->to; at++) {
            uint32_t other = owner[number_of(n, order[at])];
            if (other) {
                list->hits[other - 1] = 0;
            }
        }
    }
    return found;
}

static bool merge(ap_span_list *list, const ap_looks *looks) {
    numbering n = {0};
    if (list->count < 2) {
        return true;
    }
    qsort(list->items, list->count, sizeof *list->items, strongest_first);
    free(list->owner);
    free(list->hits);
    list->owner = NULL;
    list->hits = calloc(list->count, sizeof *list->hits);
    bool made = number_picks(&n, list, looks) && list->hits;
    if (made) {
        list->owner = calloc(n.count * AP_RUN_GROUPS + 1, sizeof *list->owner);
        made = list->owner != NULL;
    }
    for (size_t i = 0; i < list->count && made; i++) {
        ap_span *span = &list->items[i];
        size_t into = merge_into(list, looks, &n, i);
        if (into != SIZE_MAX) {
            span->merged = true;
            span->further = list->items[into].also;
            list->items[into].also = (uint32_t)(i + 1);
            list->items[into].groups = (uint8_t)(list->items[into].groups | span->groups);
            continue;
        }
        for (size_t at = span->from; at <= span->to; at++) {
            size_t number = number_of(&n, looks->order[span->group][at]);
            list->owner[span->group * n.count + number] = (uint32_t)(i + 1);
        }
    }
    release_numbering(&n);
    return made;
}

/* The first place from `from` on whose pick is not before `begin`. */
static size_t place_from(const uint32_t *order, size_t from, size_t to, size_t begin) {
    while (from < to) {
        size_t middle = from + (to - from) / 2;
        if (order[middle] < begin) {
            from = middle + 1;
        } else {
            to = middle;
        }
    }
    return from;
}

ap_status ap_spans_find(ap_span_list *out, const ap_looks *looks, const ap_span_values *values,
                        const ap_span_rule *rule, ap_error *err) {
    scan s = {out, looks, values, rule, 0, true};
    out->count = 0;
    for (s.group = 0; s.group < AP_RUN_GROUPS; s.group++) {
        const uint32_t *start = looks->start[s.group];
        for (size_t slot = 1; slot < looks->slots[s.group] && s.fine; slot++) {
            size_t from = place_from(looks->order[s.group], start[slot], start[slot + 1], values->begin);
            if (from == start[slot + 1]) {
                continue;
            }
            if (rule->kind == AP_SPAN_RUN) {
                scan_runs(&s, from, start[slot + 1]);
            } else if (rule->kind == AP_SPAN_DRIFT) {
                scan_drift(&s, from, start[slot + 1]);
            } else {
                const ap_span_past *past = values->past ? values->past[s.group] : NULL;
                scan_change(&s, from, start[slot + 1], past ? past + slot : NULL);
            }
        }
    }
    return s.fine && merge(out, looks) ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for rows of picks");
}

bool ap_spans_alike(const ap_looks *looks, const ap_span *one, const ap_span *other) {
    const uint32_t *a = looks->order[one->group];
    const uint32_t *b = looks->order[other->group];
    if (a[one->to] < b[other->from] || b[other->to] < a[one->from]) {
        return false;
    }
    uint32_t size = one->to - one->from + 1;
    uint32_t other_size = other->to - other->from + 1;
    uint64_t larger = size > other_size ? size : other_size;
    uint64_t shared = 0;
    size_t at = other->from;
    for (size_t i = one->from; i <= one->to; i++) {
        while (at <= other->to && b[at] < a[i]) {
            at++;
        }
        shared += at <= other->to && b[at] == a[i];
    }
    return SHARED_OF * shared >= SHARED * larger;
}

void ap_spans_release(ap_span_list *list) {
    free(list->items);
    free(list->owner);
    free(list->hits);
    *list = (ap_span_list){0};
}
