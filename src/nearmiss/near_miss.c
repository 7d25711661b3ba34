#include "nearmiss/detect.h"

ap_status ap_detect_near_miss(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        /* A pick that another certain finding names already is not named twice. */
        if (fact->near_miss == AP_YESNO_YES && !fact->toward_person && !fact->over_chart && !fact->damage_noted) {
            status = ap_finding_add_pick(out, AP_DETECT_NEAR_MISS, i, fact->date, NAN, 1500, err);
        }
    }
    return status;
}
