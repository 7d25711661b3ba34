/* Lifts are to be static: a peak well above the hanging load, or a worked-out peak past the capacity at the cut. The latter only where a
 * preload is logged or a drop onto a leg of known stiffness: without them the bracket reaches twice the weight of any pick. Its upper end is what a stiff
 * sling and no give would make: a bound, ranked below every peak that was read. */
#include "nearmiss/detect.h"

ap_status ap_detect_shock(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t at = 0; in->hung && at < in->hung->count && status == AP_OK; at++) {
        const ap_hung *hung = &in->hung->items[at];
        const size_t i = hung->fact;
        if (i < in->first || i >= in->end) {
            continue;
        }
        const ap_fact *fact = &in->roster->facts[i];
        double ratio = (double)hung->peak_ratio;
        bool seen = ratio > in->limits->shock_ratio * (1 + 1e-6);        /* kept as float */
        bool read_lower = ratio <= in->limits->shock_ratio * (1 + 1e-6); /* a reading says more than a bound */
        bool worked_out =
            !read_lower && hung->flags & AP_HUNG_PEAK_KNOWN && (double)hung->peak_share > 1 + 1e-6 && !fact->over_chart;
        if (seen || worked_out) {
            ap_finding finding = {.detector = AP_DETECT_SHOCK,
                                  .class = AP_FINDING_CERTAIN,
                                  .picks = &i,
                                  .pick_count = 1,
                                  .first = fact->date,
                                  .last = fact->date,
                                  .reasons = (seen ? AP_SHOCK_SEEN : 0u) | (worked_out ? AP_SHOCK_WORKED_OUT : 0u),
                                  .value = ratio,
                                  .z = (double)hung->peak_share,
                                  .p = NAN,
                                  .rank = (seen ? 1600 + ratio : 500 + (double)hung->peak_share)};
            status = ap_finding_add(out, &finding, err);
        }
    }
    return status;
}
