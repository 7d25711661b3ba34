/* Spans: stretches of one group's picks that a rule in time picks out, and which of them rest on the same picks.
 *
 *   S1 run: picks in a row heavier than planned; its strength is their number.
 *   S2 drift: one-sided CUSUM with target 0 on clipped z. A span begins where the sum leaves 0 and ends at its highest point, which
 *      is its strength; the sum is held at eight limits, so that a long drift that ended does not hide the next for long.
 *   S3 own change: the same sum on self-starting scores, not clipped, from a number of earlier picks on.
 *   S4 a span belongs to the period its last pick falls in; it may begin long before.
 *   S5 of two spans that share four of five of the smaller one's picks, the stronger stands and names both groups.
 *
 * Source  Page 1954, Biometrika 41:100-115; Hawkins 1987, The Statistician 36:299-315 (self-starting); the normal score of a t value by
 *         Wallace 1959, Annals of Mathematical Statistics 30:1124-1130, within .004 from 19 degrees of freedom for |u| < 4. */
#ifndef AP_NEARMISS_SPANS_H
#define AP_NEARMISS_SPANS_H

#include "nearmiss/looks.h"

typedef enum ap_span_kind { AP_SPAN_RUN, AP_SPAN_DRIFT, AP_SPAN_CHANGE } ap_span_kind;

typedef struct ap_span_rule {
    ap_span_kind kind;
    double least; /* strength from which a span is kept: a run of this many; a sum above this */
    double k, clip;
    double cap; /* the sum is held at this */
    size_t earlier;
} ap_span_rule;

typedef struct ap_span {
    uint32_t from, to; /* places in looks->order[group]: from..to inclusive */
    uint8_t group;
    bool merged;
    uint8_t groups; /* bit per group it shows in, its own included */
    float strength;
    uint32_t also;    /* 1 + the last span that was merged into this one, 0 = none */
    uint32_t further; /* of a merged span: 1 + the one before it that was merged into the same, 0 = none */
} ap_span;

typedef struct ap_span_list {
    ap_span *items;
    size_t count, cap;
    uint32_t *owner; /* work space of the merging */
    uint32_t *hits;
} ap_span_list;

/* A group's own picks that are not read one by one. */
typedef struct ap_span_past {
    double count, mean;
    double squares; /* about the mean */
} ap_span_past;

/* What the rule reads: the picks' own values, or simulated ones. Picks before `begin` are left out; self-starting scores go on from
 * `past`, by group and value, where it is given. */
typedef struct ap_span_values {
    const float *z;
    const uint8_t *heavy;
    size_t begin;
    size_t first; /* spans that end before it are left out (S4) */
    ap_span_past *const *past;
} ap_span_values;

/* Finds the rule's spans of the period, strongest first, those that rest on the same picks marked as merged.
 * The list is emptied first and may be used again. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_spans_find(ap_span_list *out, const ap_looks *looks, const ap_span_values *values,
                                    const ap_span_rule *rule, ap_error *err);
/* Whether two spans, of any groups, share four of five of the larger one's picks: what the first says need not be said again. */
bool ap_spans_alike(const ap_looks *looks, const ap_span *one, const ap_span *other);
void ap_spans_release(ap_span_list *list);

#endif
