#include "nearmiss/detect.h"

ap_status ap_detect_damage(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        if (fact->damage_noted) {
            ap_finding finding = {.detector = AP_DETECT_DAMAGE,
                                  .class = AP_FINDING_CERTAIN,
                                  .picks = &i,
                                  .pick_count = 1,
                                  .first = fact->date,
                                  .last = fact->date,
                                  .value = NAN,
                                  .z = NAN,
                                  .rank = 4000};
            status = ap_finding_add(out, &finding, err);
        }
    }
    return status;
}
