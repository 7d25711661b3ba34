#include "nearmiss/detect.h"

/* The picks past the second band that were not over chart, crane by crane. */
typedef struct crane_picks {
    size_t count, at; /* at: where its picks end so far */
    double worst;
} crane_picks;

static bool is_thin(const ap_roster *roster, const ap_fact *fact) {
    return !fact->over_chart && ap_over(ap_fact_share_worst(fact), roster->settings.band_stop);
}

/* One finding per crane. */
static ap_status report(ap_finding_list *out, const ap_roster *roster, uint32_t crane, const crane_picks *its,
                        const size_t *picks, ap_error *err) {
    ap_str name = ap_roster_label(roster, AP_BY_CRANE, crane);
    bool says_crane = ap_str_starts(name, AP_STR_LIT("crane"));
    ap_str scope = ap_arena_printf(out->arena, "%s%.*s", says_crane ? "" : "crane ",
                                   AP_STR_ARG(name.ptr ? name : AP_STR_LIT("not recorded")));
    ap_finding finding = {.detector = AP_DETECT_THIN_MARGIN,
                          .class = AP_FINDING_CERTAIN,
                          .scope = scope,
                          .picks = picks,
                          .pick_count = its->count,
                          .first = roster->facts[picks[0]].date,
                          .last = roster->facts[picks[its->count - 1]].date,
                          .value = its->worst,
                          .z = NAN,
                          .rank = 1000 + its->worst};
    return ap_finding_add(out, &finding, err);
}

ap_status ap_detect_thin_margin(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    const ap_roster *roster = in->roster;
    size_t cranes = (size_t)ap_intern_count(roster->labels[AP_BY_CRANE]) + 1;
    crane_picks *by_crane = calloc(cranes, sizeof *by_crane);
    size_t thin = 0;
    for (size_t i = in->first; by_crane && i < in->end; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (is_thin(roster, fact)) {
            crane_picks *its = &by_crane[ap_fact_group(fact, AP_BY_CRANE)];
            its->worst = fmax(its->worst, ap_fact_share_worst(fact));
            its->count++;
            thin++;
        }
    }
    size_t *picks = malloc((thin + 1) * sizeof *picks);
    ap_status status = AP_OK;
    if (!by_crane || !picks) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the margins of %zu picks", in->end - in->first);
        goto done;
    }
    for (size_t crane = 1; crane < cranes; crane++) {
        by_crane[crane].at = by_crane[crane - 1].at + by_crane[crane - 1].count;
    }
    for (size_t i = in->first; i < in->end && thin; i++) {
        if (is_thin(roster, &roster->facts[i])) {
            picks[by_crane[ap_fact_group(&roster->facts[i], AP_BY_CRANE)].at++] = i;
        }
    }
    for (size_t crane = 0; crane < cranes && status == AP_OK; crane++) {
        const crane_picks *its = &by_crane[crane];
        if (its->count) {
            status = report(out, roster, (uint32_t)crane, its, picks + its->at - its->count, err);
        }
    }
done:
    free(by_crane);
    free(picks);
    return status;
}
