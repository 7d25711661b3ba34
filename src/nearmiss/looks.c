#include "nearmiss/looks.h"

const ap_run_group ap_run_groups[AP_RUN_GROUPS] = {
    {{AP_BY_ESTIMATOR, AP_BY_ESTIMATOR}, 1, "estimator"},
    {{AP_BY_CREW, AP_BY_CREW}, 1, "crew"},
    {{AP_BY_SPECIES, AP_BY_SPECIES}, 1, "species"},
    {{AP_BY_SPECIES, AP_BY_CUT}, 2, "species and cut"},
};

ap_slotting ap_looks_slotting(const ap_roster *roster, size_t group) {
    const ap_run_group *by = &ap_run_groups[group];
    return (ap_slotting){by->by[0], by->by[1], by->by_count == 1,
                         (size_t)ap_intern_count(roster->labels[by->by[1]]) + 1};
}

static size_t slots_of(const ap_roster *roster, size_t group) {
    const ap_run_group *by = &ap_run_groups[group];
    size_t one = (size_t)ap_intern_count(roster->labels[by->by[0]]) + 1;
    return by->by_count == 1 ? one : one * ((size_t)ap_intern_count(roster->labels[by->by[1]]) + 1);
}

/* Counting sort by group value, all groups in two passes over the picks; the order within a value stays that of the picks. */
static bool sort_groups(ap_looks *looks, const ap_roster *roster) {
    ap_slotting how[AP_RUN_GROUPS];
    bool fine = true;
    for (size_t g = 0; g < AP_RUN_GROUPS; g++) {
        how[g] = ap_looks_slotting(roster, g);
        looks->slots[g] = slots_of(roster, g);
        looks->start[g] = calloc(looks->slots[g] + 2, sizeof *looks->start[g]);
        looks->order[g] = malloc((looks->count + 1) * sizeof *looks->order[g]);
        fine = fine && looks->start[g] && looks->order[g];
    }
    for (size_t i = 0; i < looks->count && fine; i++) {
        const ap_fact *fact = &roster->facts[looks->fact[i]];
        for (size_t g = 0; g < AP_RUN_GROUPS; g++) {
            size_t slot = ap_looks_slot(&how[g], fact);
            looks->start[g][slot + 1] += slot != 0;
            looks->looks += slot != 0 && i >= looks->first;
        }
    }
    for (size_t g = 0; g < AP_RUN_GROUPS && fine; g++) {
        for (size_t s = 1; s <= looks->slots[g]; s++) {
            looks->start[g][s] += looks->start[g][s - 1];
        }
    }
    for (size_t i = 0; i < looks->count && fine; i++) {
        const ap_fact *fact = &roster->facts[looks->fact[i]];
        for (size_t g = 0; g < AP_RUN_GROUPS; g++) {
            size_t slot = ap_looks_slot(&how[g], fact);
            if (slot != 0) {
                looks->order[g][looks->start[g][slot]++] = (uint32_t)i;
            }
        }
    }
    for (size_t g = 0; g < AP_RUN_GROUPS && fine; g++) {
        /* Every start has moved to the next one's place. */
        memmove(looks->start[g] + 1, looks->start[g], looks->slots[g] * sizeof *looks->start[g]);
        looks->start[g][0] = 0;
        looks->ordered[g] = looks->start[g][looks->slots[g]];
    }
    return fine;
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
    fine = fine && sort_groups(out, roster);
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
