#include "analysis/between.h"

/* The inverse of Nelson's transform. */
static double as_picks(double score) {
    return score > 0 ? pow(score, 3.6) : 0;
}

bool ap_between_is_event(const ap_fact *fact) {
    return fact->near_miss == AP_YESNO_YES || fact->toward_person;
}

static ap_status set_limits(ap_between *b, ap_arena *arena, ap_error *err) {
    double *z = ap_arena_alloc_array(arena, b->count, sizeof *z);
    ap_nelson_mark *marks = ap_arena_alloc_array(arena, b->count, sizeof *marks);
    if (!z || !marks) {
        return ap_arena_check(arena, "the gaps between near misses", err);
    }
    for (size_t i = 0; i < b->count; i++) {
        z[i] = b->gaps[i].score;
    }
    ap_error equal; /* all gaps the same: a figure without limits */
    if (ap_individuals_limits(&b->limits, z, b->count, &equal) != AP_OK) {
        return AP_OK;
    }
    double sd = (b->limits.high - b->limits.center) / 3;
    for (size_t i = 0; i < b->count; i++) {
        z[i] = (z[i] - b->limits.center) / sd;
    }
    ap_status status = ap_nelson_marks(marks, z, b->count, AP_NELSON_NINE, err);
    for (size_t i = 0; i < b->count && status == AP_OK; i++) {
        b->gaps[i].mark = marks[i];
    }
    double low = as_picks(b->limits.low);
    b->has_limits = true;
    b->center_picks = as_picks(b->limits.center);
    b->high_picks = as_picks(b->limits.high);
    b->low_picks = low < 1 ? 0 : low;
    b->open_long = (double)b->open_picks > b->high_picks * (1 + 1e-9);
    return status;
}

ap_status ap_between_count(ap_between *out, ap_arena *arena, const ap_roster *roster, size_t first, size_t end,
                           ap_error *err) {
    ap_between b = {.picks = end - first, .center_picks = NAN, .low_picks = NAN, .high_picks = NAN};
    size_t last = first;
    for (size_t i = first; i < end; i++) {
        b.events += ap_between_is_event(&roster->facts[i]);
    }
    b.gaps = ap_arena_alloc_array(arena, b.events + 1, sizeof *b.gaps);
    ap_status status = ap_arena_check(arena, "the gaps between near misses", err);
    bool begun = false;
    for (size_t i = first; i < end && status == AP_OK; i++) {
        if (!ap_between_is_event(&roster->facts[i])) {
            continue;
        }
        if (begun) {
            ap_between_gap *gap = &b.gaps[b.count++];
            *gap = (ap_between_gap){.fact = i, .picks = i - last};
            status = ap_between_events_score(&gap->score, (double)gap->picks, err);
        }
        begun = true;
        last = i;
    }
    b.open_picks = begun ? end - 1 - last : b.picks;
    if (status == AP_OK && b.count >= AP_BETWEEN_LEAST) {
        status = set_limits(&b, arena, err);
    }
    if (status == AP_OK) {
        *out = b;
    }
    return status;
}
