#include "nearmiss/detect.h"

ap_status ap_detect_damage(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        if (fact->damage_noted) {
            status = ap_finding_add_pick(out, AP_DETECT_DAMAGE, i, fact->date, NAN, 4000, err);
        }
    }
    return status;
}
