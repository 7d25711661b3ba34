/* Margin lost between plan and pick: far more of the rated capacity used than planned, or a radius that crept out, on a pick that
 * passed the company's first band. What is over chart has its own detector. One finding a pick. */
#include "nearmiss/detect.h"

ap_status ap_detect_margin_lost(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    const double band = in->roster->settings.band_watch;
    ap_status status = AP_OK;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        double worst = ap_fact_share_worst(fact);
        double lost = worst - (double)fact->share_planned;
        double crept = fmax((double)fact->rest->cut_radius_m, (double)fact->rest->set_down_radius_m) -
                       (double)fact->rest->planned_radius_m;
        bool less = lost >= in->limits->lost_share * (1 - 1e-6);
        bool longer = crept >= in->limits->lost_radius_m * (1 - 1e-6);
        if (fact->over_chart || !ap_over(worst, band) || (!less && !longer)) {
            continue;
        }
        ap_finding finding = {.detector = AP_DETECT_MARGIN_LOST,
                              .class = AP_FINDING_CERTAIN,
                              .picks = &i,
                              .pick_count = 1,
                              .first = fact->date,
                              .last = fact->date,
                              .reasons = (less ? AP_MARGIN_LESS : 0u) | (longer ? AP_MARGIN_LONGER : 0u),
                              .value = worst,
                              .z = crept,
                              .p = NAN,
                              .rank = 800 + worst};
        status = ap_finding_add(out, &finding, err);
    }
    return status;
}
