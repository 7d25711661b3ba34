#include "analysis/share_heavier.h"

#include "analysis/weights.h"

ap_status ap_share_heavier_interval(ap_interval *out, const ap_roster *roster, size_t first, size_t end,
                                    ap_error *err) {
    size_t trees = (size_t)ap_intern_count(roster->labels[AP_BY_TREE]) + 1;
    ap_cluster *clusters = calloc(trees, sizeof *clusters);
    if (!clusters) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for %zu trees", trees);
    }
    size_t with_picks = 0;
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->compared == AP_COMPARED) {
            ap_cluster *tree = &clusters[ap_fact_group(fact, AP_BY_TREE)];
            with_picks += tree->of == 0;
            tree->of++;
            tree->events += ap_over(ap_fact_ratio(fact), 1 + roster->settings.heavier);
        }
    }
    ap_status status = AP_OK;
    *out = (ap_interval){NAN, NAN, AP_WEIGHTS_CONFIDENCE};
    if (with_picks > 1) {
        status = ap_share_interval_clustered(out, clusters, trees, AP_WEIGHTS_CONFIDENCE, err);
    }
    free(clusters);
    return status;
}
