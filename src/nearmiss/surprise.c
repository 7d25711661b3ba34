#include "nearmiss/detect.h"

/* How far out a pick is before it is one: chance gives about 1 in 4,300 for a normal spread. The number is a choice of
 * ours (methods: "heavy surprise"). */
#define SURPRISE_Z 3.5

ap_status ap_detect_surprise(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    const ap_settings *settings = &in->roster->settings;
    ap_status status = AP_OK;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        if (fact->compared != AP_COMPARED) {
            continue;
        }
        double ratio = ap_fact_ratio(fact);
        double z = (fact->log_error - in->cell_middle[i]) / in->surprise_sd;
        bool far_out = z > SURPRISE_Z && fact->log_error > 0;
        bool loaded =
            ap_over(ratio, 1 + settings->surprise) && ap_over(ap_fact_share_worst(fact), settings->band_watch);
        if (far_out || loaded) {
            ap_finding finding = {.detector = AP_DETECT_SURPRISE,
                                  .class = AP_FINDING_LIKELY,
                                  .picks = &i,
                                  .pick_count = 1,
                                  .first = fact->date,
                                  .last = fact->date,
                                  .value = ratio,
                                  .z = z,
                                  .rank = (loaded ? 10 : 0) + ratio};
            status = ap_finding_add(out, &finding, err);
        }
    }
    return status;
}
