#include "nearmiss/detect.h"

ap_status ap_detect_over_chart(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        bool only_planned = isnan(ap_fact_share_worst(fact)) && fact->planned_over_chart;
        if (fact->over_chart || only_planned) {
            double share = only_planned ? fact->share_planned : ap_fact_share_worst(fact);
            status = ap_finding_add_pick(out, AP_DETECT_OVER_CHART, i, fact->date, share, 2000 + share, err);
        }
    }
    return status;
}
