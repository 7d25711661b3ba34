#include "nearmiss/looks.h"

const ap_run_group ap_run_groups[AP_RUN_GROUPS] = {
    {{AP_BY_ESTIMATOR, AP_BY_ESTIMATOR}, 1, "estimator"},
    {{AP_BY_CREW, AP_BY_CREW}, 1, "crew"},
    {{AP_BY_SPECIES, AP_BY_SPECIES}, 1, "species"},
    {{AP_BY_SPECIES, AP_BY_CUT}, 2, "species and cut"},
};

/* 0 when blank: a blank forms no group. */
static size_t slot_of(const ap_roster *roster, const ap_fact *fact, size_t group) {
    const ap_run_group *by = &ap_run_groups[group];
    uint32_t one = ap_fact_group(fact, by->by[0]);
    if (by->by_count == 1 || one == 0) {
        return one;
    }
    uint32_t two = ap_fact_group(fact, by->by[1]);
    size_t width = (size_t)ap_intern_count(roster->labels[by->by[1]]) + 1;
    return two ? one * width + two : 0;
}

static size_t slots_of(const ap_roster *roster, size_t group) {
    const ap_run_group *by = &ap_run_groups[group];
    size_t one = (size_t)ap_intern_count(roster->labels[by->by[0]]) + 1;
    return by->by_count == 1 ? one : one * ((size_t)ap_intern_count(roster->labels[by->by[1]]) + 1);
}

bool ap_looks_same_group(const ap_roster *roster, size_t group, size_t pick, size_t other) {
    size_t slot = slot_of(roster, &roster->facts[pick], group);
    return slot != 0 && slot == slot_of(roster, &roster->facts[other], group);
}

/* Counting sort by group value; the order within one stays that of the picks. */
static bool sort_group(ap_looks *looks, const ap_roster *roster, size_t group) {
    size_t slots = slots_of(roster, group);
    uint32_t *start = calloc(slots + 2, sizeof *start);
    uint32_t *order = malloc((looks->count + 1) * sizeof *order);
    looks->start[group] = start;
    looks->order[group] = order;
    looks->slots[group] = slots;
    if (!start || !order) {
        return false;
    }
    for (size_t i = 0; i < looks->count; i++) {
        size_t slot = slot_of(roster, &roster->facts[looks->fact[i]], group);
        start[slot + 1] += slot != 0;
        looks->looks += slot != 0 && i >= looks->first;
    }
    for (size_t s = 1; s <= slots; s++) {
        start[s] += start[s - 1];
    }
    for (size_t i = 0; i < looks->count; i++) {
        size_t slot = slot_of(roster, &roster->facts[looks->fact[i]], group);
        if (slot != 0) {
            order[start[slot]++] = (uint32_t)i;
        }
    }
    /* Every start has moved to the next one's place. */
    for (size_t s = slots; s > 0; s--) {
        start[s] = start[s - 1];
    }
    start[0] = 0;
    looks->ordered[group] = start[slots];
    return true;
}

ap_status ap_looks_make(ap_looks *out, const ap_roster *roster, size_t first, size_t end, const ap_spread *spread,
                        double suspect_z, ap_error *err) {
    *out = (ap_looks){0};
    out->fact = calloc(end + 1, sizeof *out->fact);
    out->z = malloc((end + 1) * sizeof *out->z);
    out->heavy = malloc(end + 1);
    bool fine = out->fact && out->z && out->heavy;
    double limit = 1 + roster->settings.heavier;
    for (size_t i = 0; i < end && fine; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (i == first) {
            out->first = out->count;
        }
        if (fact->compared == AP_COMPARED && !ap_spread_suspects(spread, fact, i, suspect_z)) {
            out->fact[out->count] = (uint32_t)i;
            out->heavy[out->count] = ap_over(ap_fact_ratio(fact), limit);
            out->z[out->count++] = (float)(fact->log_error / spread->sd);
        }
    }
    out->first = first >= end ? out->count : out->first;
    for (size_t group = 0; group < AP_RUN_GROUPS && fine; group++) {
        fine = sort_group(out, roster, group);
    }
    return fine ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the groups of %zu picks", end);
}

void ap_looks_release(ap_looks *looks) {
    free(looks->fact);
    free(looks->z);
    free(looks->heavy);
    for (size_t group = 0; group < AP_RUN_GROUPS; group++) {
        free(looks->order[group]);
        free(looks->start[group]);
    }
    *looks = (ap_looks){0};
}
