#include "nearmiss/detect.h"
#include "stats/summary.h"

/* What the log says of a span's group; "species beech, step cut". */
static void name_group(ap_buf *scope, const ap_detect_input *in, const ap_span *span) {
    const ap_fact *fact = &in->roster->facts[in->looks->fact[in->looks->order[span->group][span->from]]];
    const ap_run_group *by = &ap_run_groups[span->group];
    if (scope->len) {
        ap_buf_append_cstr(scope, "; ");
    }
    ap_scope_append(scope, in->roster, by->by[0], ap_fact_group(fact, by->by[0]));
    if (by->by_count == 2) {
        ap_str cut = ap_roster_label(in->roster, by->by[1], ap_fact_group(fact, by->by[1]));
        ap_buf_appendf(scope, ", %.*s cut", AP_STR_ARG(cut));
    }
}

/* Whether an earlier one of the chain is of the same group and value: its rows are named once. */
static bool named_before(const ap_detect_input *in, const ap_span_list *spans, uint32_t at) {
    const ap_span *span = &spans->items[at - 1];
    const ap_slotting how = ap_looks_slotting(in->roster, span->group);
    const uint32_t *order = in->looks->order[span->group];
    const size_t slot = ap_looks_slot(&how, &in->roster->facts[in->looks->fact[order[span->from]]]);
    for (uint32_t other = span->further; other; other = spans->items[other - 1].further) {
        const ap_span *it = &spans->items[other - 1];
        if (it->group == span->group &&
            ap_looks_slot(&how, &in->roster->facts[in->looks->fact[order[it->from]]]) == slot) {
            return true;
        }
    }
    return false;
}

/* The span's own group first, then those of the spans merged into it, each by its own picks: a row of one crew may hold a row of a
 * species that its first pick is not of. */
static void name_scope(ap_buf *scope, const ap_detect_input *in, const ap_span_list *spans, const ap_span *span) {
    name_group(scope, in, span);
    for (size_t group = 0; group < AP_RUN_GROUPS; group++) {
        for (uint32_t at = span->groups >> group & 1 ? span->also : 0; at; at = spans->items[at - 1].further) {
            if (spans->items[at - 1].group == group && !named_before(in, spans, at)) {
                name_group(scope, in, &spans->items[at - 1]);
            }
        }
    }
}

static void count_skipped(ap_finding *finding, const ap_detect_input *in, size_t group, size_t first, size_t last) {
    const ap_slotting how = ap_looks_slotting(in->roster, group);
    const size_t slot = ap_looks_slot(&how, &in->roster->facts[first]);
    for (size_t i = first; i <= last; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        if (ap_looks_slot(&how, fact) != slot) {
            continue;
        }
        if (fact->compared != AP_COMPARED) {
            finding->unweighed++;
        } else if (ap_spread_suspects(in->spread, fact, i, in->limits->suspect_z)) {
            finding->suspects++;
        }
    }
}

static ap_status report(ap_finding_list *out, const ap_detect_input *in, ap_span_kind kind, const ap_span_list *spans,
                        const ap_span *span, ap_error *err) {
    const ap_roster *roster = in->roster;
    const uint32_t *order = in->looks->order[span->group];
    size_t count = span->to - span->from + 1;
    double *errors = malloc(count * sizeof *errors);
    size_t *picks = malloc(count * sizeof *picks);
    ap_buf scope;
    ap_buf_init(&scope, 1u << 16);
    ap_status status = AP_OK;
    if (!errors || !picks) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for a row of %zu picks", count);
        goto done;
    }
    for (size_t i = 0; i < count; i++) {
        picks[i] = in->looks->fact[order[span->from + i]];
        errors[i] = roster->facts[picks[i]].log_error;
    }
    double median = NAN;
    status = ap_stats_median(&median, errors, count, err);
    const ap_fact *first = &roster->facts[picks[0]];
    name_scope(&scope, in, spans, span);
    ap_finding finding = {.detector = ap_span_detector(kind),
                          .class = AP_FINDING_LIKELY,
                          .kind = ap_run_groups[span->group].name,
                          .scope = ap_buf_str(&scope),
                          .groups = span->groups,
                          .picks = picks,
                          .pick_count = count,
                          .first = first->date,
                          .last = roster->facts[picks[count - 1]].date,
                          .value = exp(median),
                          .z = kind == AP_SPAN_RUN ? NAN : (double)span->strength,
                          .p = NAN,
                          .rank = (kind == AP_SPAN_RUN ? 100 : 80) + (double)span->strength};
    count_skipped(&finding, in, span->group, picks[0], picks[count - 1]);
    if (status == AP_OK) {
        status = ap_finding_add(out, &finding, err);
    }
done:
    free(errors);
    free(picks);
    ap_buf_release(&scope);
    return status;
}

/* The findings over time that were told before: few among the many of a large book. */
typedef struct told_list {
    size_t *items;
    size_t count;
} told_list;

static bool collect_told(told_list *told, const ap_finding_list *out) {
    told->items = malloc((out->count + 1) * sizeof *told->items);
    for (size_t f = 0; f < out->count && told->items; f++) {
        ap_detector_id detector = out->items[f].detector;
        if (detector == AP_DETECT_HEAVIER_RUN || detector == AP_DETECT_DRIFT) {
            told->items[told->count++] = f;
        }
    }
    return told->items != NULL;
}

/* Whether one of them rests on nearly the same picks: a row says more plainly what a sum says too. */
static bool told_already(const ap_finding_list *out, const told_list *told, const ap_detect_input *in,
                         const ap_span *span) {
    const uint32_t *order = in->looks->order[span->group];
    size_t count = span->to - span->from + 1;
    for (size_t f = 0; f < told->count; f++) {
        const ap_finding *other = &out->items[told->items[f]];
        size_t larger = other->rests_on > count ? other->rests_on : count;
        bool apart = other->picks[other->pick_count - 1] < in->looks->fact[order[span->from]] ||
                     other->picks[0] > in->looks->fact[order[span->to]];
        if (apart || larger > AP_FINDING_PICKS_MAX) {
            continue;
        }
        size_t shared = 0;
        size_t at = 0;
        for (size_t i = span->from; i <= span->to; i++) {
            size_t pick = in->looks->fact[order[i]];
            while (at < other->pick_count && other->picks[at] < pick) {
                at++;
            }
            shared += at < other->pick_count && other->picks[at] == pick;
        }
        if (5 * shared >= 4 * larger) {
            return true;
        }
    }
    return false;
}

ap_status ap_detect_spans(ap_finding_list *out, const ap_detect_input *in, ap_span_kind kind, ap_error *err) {
    const ap_span_values values = {.z = in->looks->z, .heavy = in->looks->heavy, .first = in->looks->first};
    ap_span_rule rule = ap_span_rule_of(kind, in->limits);
    rule.least = in->chance->line[ap_span_detector(kind)].limit;
    ap_span_list spans = {0};
    told_list told = {0};
    ap_status status = ap_spans_find(&spans, in->looks, &values, &rule, err);
    if (status == AP_OK && !collect_told(&told, out)) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for rows of picks");
    }
    for (size_t i = 0; i < spans.count && status == AP_OK; i++) {
        bool again = spans.items[i].merged || (kind != AP_SPAN_RUN && told_already(out, &told, in, &spans.items[i]));
        if (!again) {
            status = report(out, in, kind, &spans, &spans.items[i], err);
        }
    }
    ap_spans_release(&spans);
    free(told.items);
    return status;
}
