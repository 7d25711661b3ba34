/* The model's view of the roster: compared picks only. */
#include "analysis/pooled.h"

#include "base/wide.h"

enum { WEIGHED_KINDS = AP_WEIGHED_BY_SCALE + 1 };

ap_status ap_pooled_picks_take(ap_pooled_picks *out, const ap_roster *roster, size_t first, size_t end, ap_error *err) {
    *out = (ap_pooled_picks){.cut_labels = ap_intern_count(roster->labels[AP_BY_CUT])};
    out->items = ap_wide_array(end - first + 1, sizeof *out->items); /* what is not compared is never touched */
    if (!out->items || end > UINT32_MAX / 2) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the errors of %zu picks", end - first);
    }
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->compared == AP_COMPARED) {
            out->items[out->count++] = (ap_pooled_pick){
                .e = fact->log_error - (double)fact->replanned_log,
                .fact = (uint32_t)i,
                .tree = ap_fact_group(fact, AP_BY_TREE),
                .job = ap_fact_group(fact, AP_BY_JOB),
                .species = fact->label_species,
                .cut = fact->label_cut,
                .estimator = ap_fact_group(fact, AP_BY_ESTIMATOR),
                .instrument = ap_fact_group(fact, AP_BY_CRANE) * WEIGHED_KINDS + fact->weighed_by,
                .above_ceiling = (fact->wood & AP_FACT_ABOVE_CEILING) != 0,
            };
        }
    }
    return AP_OK;
}

void ap_pooled_picks_release(ap_pooled_picks *picks) {
    free(picks->items);
    *picks = (ap_pooled_picks){0};
}
