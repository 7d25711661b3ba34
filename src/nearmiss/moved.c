/* A piece that moved far when it parted, or otherwise than worked out (otherwise.c), or whose butt was to move past where the climber
 * stood, even when it went well. What went
 * toward a person, what the log calls a near miss, and a slack leg with what followed have their own detectors: they are not named
 * twice. */
#include "nearmiss/detect.h"

ap_status ap_detect_moved(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_status status = AP_OK;
    size_t place = 0;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        const ap_hung *hung = ap_hung_get(in->hung, &place, i);
        double far = (double)fact->rest->movement_distance_m;
        bool swept = hung && hung->flags & AP_HUNG_IN_SWEEP;
        bool told = fact->near_miss == AP_YESNO_YES || fact->damage_noted || ap_fact_leg_slack(fact);
        bool moved = far >= in->limits->moved_m * (1 - 1e-6) && (swept || !told);
        bool otherwise = ap_moved_otherwise(fact, in->limits) == 2 && (swept || !told);
        if ((moved || swept || otherwise) && !fact->toward_person) {
            ap_finding finding = {.detector = AP_DETECT_MOVED,
                                  .class = AP_FINDING_CERTAIN,
                                  .picks = &i,
                                  .pick_count = 1,
                                  .first = fact->date,
                                  .last = fact->date,
                                  .reasons = (moved ? AP_MOVED_FAR : 0u) | (swept ? AP_MOVED_SWEEP : 0u) |
                                             (otherwise ? AP_MOVED_OTHERWISE : 0u),
                                  .value = far,
                                  .z = hung ? (double)hung->butt_move_m : NAN,
                                  .p = NAN,
                                  .rank = (swept ? 1700 : 600) + (moved || otherwise ? fmax(far, 0) : 0)};
            status = ap_finding_add(out, &finding, err);
        }
    }
    return status;
}
