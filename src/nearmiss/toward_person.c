#include "nearmiss/detect.h"

ap_status ap_detect_toward_person(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        if (fact->toward_person) {
            double distance = fact->rest->movement_distance_m;
            double mass = isnan(fact->measured_net_kg) ? fact->planned_net_kg : fact->measured_net_kg;
            /* People come before the chart; the heavier piece first. */
            status = ap_finding_add_pick(out, AP_DETECT_TOWARD_PERSON, i, fact->date, distance,
                                         3000 + (isnan(mass) ? 0 : mass / 1000), err);
        }
    }
    return status;
}
