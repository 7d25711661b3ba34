#include "nearmiss/detect.h"

ap_status ap_detect_over_chart(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        bool only_planned = isnan(ap_fact_share_worst(fact)) && fact->planned_over_chart;
        if (fact->over_chart || only_planned) {
            double share = only_planned ? fact->share_planned : ap_fact_share_worst(fact);
            ap_finding finding = {.detector = AP_DETECT_OVER_CHART,
                                  .class = AP_FINDING_CERTAIN,
                                  .picks = &i,
                                  .pick_count = 1,
                                  .first = fact->date,
                                  .last = fact->date,
                                  .value = share,
                                  .z = NAN,
                                  .rank = 2000 + share};
            status = ap_finding_add(out, &finding, err);
        }
    }
    return status;
}
