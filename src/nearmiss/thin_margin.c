#include "nearmiss/detect.h"

/* One finding per crane: the picks past the second band that were not over chart. */
static ap_status one_crane(ap_finding_list *out, const ap_detect_input *in, uint32_t crane, size_t *picks,
                           ap_error *err) {
    const ap_roster *roster = in->roster;
    size_t count = 0;
    double worst = 0;
    for (size_t i = in->first; i < in->end; i++) {
        const ap_fact *fact = &roster->facts[i];
        double share = ap_fact_share_worst(fact);
        if (ap_fact_group(fact, AP_BY_CRANE) == crane && !fact->over_chart &&
            ap_over(share, roster->settings.band_stop)) {
            picks[count++] = i;
            worst = fmax(worst, share);
        }
    }
    if (count == 0) {
        return AP_OK;
    }
    ap_str name = ap_roster_label(roster, AP_BY_CRANE, crane);
    bool says_crane = ap_str_starts(name, AP_STR_LIT("crane"));
    ap_str scope = ap_arena_printf(out->arena, "%s%.*s", says_crane ? "" : "crane ",
                                   AP_STR_ARG(name.ptr ? name : AP_STR_LIT("not recorded")));
    ap_finding finding = {.detector = AP_DETECT_THIN_MARGIN,
                          .class = AP_FINDING_CERTAIN,
                          .scope = scope,
                          .picks = picks,
                          .pick_count = count,
                          .first = roster->facts[picks[0]].date,
                          .last = roster->facts[picks[count - 1]].date,
                          .value = worst,
                          .z = NAN,
                          .rank = 1000 + worst};
    return ap_finding_add(out, &finding, err);
}

ap_status ap_detect_thin_margin(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    size_t *picks = calloc(in->end - in->first + 1, sizeof *picks);
    if (!picks) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the margins of %zu picks", in->end - in->first);
    }
    ap_status status = AP_OK;
    uint32_t cranes = ap_intern_count(in->roster->labels[AP_BY_CRANE]);
    for (uint32_t crane = 0; crane <= cranes && status == AP_OK; crane++) {
        status = one_crane(out, in, crane, picks, err);
    }
    free(picks);
    return status;
}
