/* What the slings were asked: a slack leg and a piece that moved, a leg too flat, a leg past its limit, a centre of gravity outside the
 * legs, a missing leg. What is worked out says so; one finding a pick, with every reason.
 *
 * A log cannot show a leg that nobody rigged; the mechanics show where one is missing:
 *   L1 a leg that hangs slack at rest by the reconstruction: the others carry what it was rigged for;
 *   L2 one leg alone, and the centre of gravity above its attach point before the cut: nothing holds the end that turns over.
 *
 * Source  statics: a body hung from one point comes to rest with its centre of gravity plumb below that point. The limits are
 *         rows of the book. */
#include "nearmiss/detect.h"

static uint32_t reasons_of(const ap_fact *fact, const ap_hung *hung, const ap_rule_limits *limits) {
    uint32_t still = AP_MOVE_BIT(AP_MOVEMENT_STILL) | AP_MOVE_BIT(AP_MOVEMENT_SETTLED);
    bool moved = (fact->rest->movement & ~still) != 0;
    uint32_t reasons = ap_fact_leg_slack(fact) && moved ? AP_LEG_SLACK : 0u;
    if (hung) {
        double flat = (double)hung->flattest_deg * (1 + 1e-6); /* kept as float: a tie is not below */
        reasons |= (flat < limits->leg_angle_deg ? AP_LEG_FLAT : 0u) |
                   ((double)hung->worst_use > 1 + 1e-6 ? AP_LEG_OVER : 0u) |
                   (hung->flags & AP_HUNG_CG_OUTSIDE ? AP_LEG_CG : 0u);
        if (ap_leg_is_missing(hung, limits)) {
            reasons |= ap_leg_hangs_slack(hung, limits) ? AP_LEG_UNLOADED : AP_LEG_ALONE;
        }
    }
    return reasons;
}

ap_status ap_detect_leg(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_status status = AP_OK;
    size_t place = 0;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        const ap_hung *hung = ap_hung_get(in->hung, &place, i);
        uint32_t reasons = reasons_of(fact, hung, in->limits);
        if (reasons) {
            double use = hung ? (double)hung->worst_use : (double)NAN;
            ap_finding finding = {.detector = AP_DETECT_LEG,
                                  .class = AP_FINDING_CERTAIN,
                                  .picks = &i,
                                  .pick_count = 1,
                                  .first = fact->date,
                                  .last = fact->date,
                                  .reasons = reasons,
                                  .value = use,
                                  .z = hung ? (double)hung->flattest_deg : (double)NAN,
                                  .p = NAN,
                                  .rank = (reasons & AP_LEG_OVER ? 1800 : 700) + (isnan(use) ? 0 : use)};
            if (hung && reasons & AP_LEG_UNLOADED) {
                finding.among = hung->slack_leg;
                finding.rate_else = (double)hung->slack_m;
            } else if (hung && reasons & AP_LEG_ALONE) {
                finding.rate_else = (double)hung->above_m;
            }
            status = ap_finding_add(out, &finding, err);
        }
    }
    return status;
}
