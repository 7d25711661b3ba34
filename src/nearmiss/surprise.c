/* One pick far heavier than planned. Likely: too far above the middle of its kind for the spread. Certain: the log says that it was
 * heavier by more than the setting with the hook past the company's first band. Reviewed alone, never averaged.
 *
 * Chance counts whatever the trees do: the expected number is picks times the tail of the distance; that rises until it is small
 * enough. The spread is that of all kinds about their own middles: a kind's own would take more picks than it has. The robust one is too
 * small where middles are fitted from few trees, so the variances of trees and rest bound it from below. */
#include "nearmiss/detect.h"

static double settle(ap_chance_line *line, const ap_detect_input *in) {
    size_t looks = 0;
    for (size_t i = in->first; i < in->end; i++) {
        looks += in->roster->facts[i].compared == AP_COMPARED;
    }
    *line = (ap_chance_line){.looked = looks > 0, .looks = looks, .rule_limit = in->limits->surprise_z};
    double limit = line->rule_limit;
    while ((double)looks * ap_spread_chance_above(in->spread, limit) > in->allowed && limit < 12) {
        limit += 0.1;
    }
    line->limit = limit;
    line->expected = line->independent = (double)looks * ap_spread_chance_above(in->spread, limit);
    return limit;
}

ap_status ap_detect_surprise(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    const ap_settings *settings = &in->roster->settings;
    double limit = settle(&in->chance->line[AP_DETECT_SURPRISE], in);
    ap_status status = AP_OK;
    for (size_t i = in->first; i < in->end && status == AP_OK; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        if (fact->compared != AP_COMPARED) {
            continue;
        }
        if (fact->log_error < 0) { /* most picks: nothing to be asked of them */
            continue;
        }
        double z = ap_spread_distance(in->spread, fact, i, in->limits->suspect_z);
        bool far_out = z > limit && fact->log_error > 0;
        double ratio = ap_fact_ratio(fact);
        bool loaded =
            ap_over(ratio, 1 + settings->surprise) && ap_over(ap_fact_share_worst(fact), settings->band_watch);
        if (far_out || loaded) {
            ap_finding finding = {.detector = AP_DETECT_SURPRISE,
                                  .class = loaded ? AP_FINDING_CERTAIN : AP_FINDING_LIKELY,
                                  .picks = &i,
                                  .pick_count = 1,
                                  .first = fact->date,
                                  .last = fact->date,
                                  .value = ratio,
                                  .z = z,
                                  .p = NAN,
                                  .rank = (loaded ? 900 : 0) + ratio};
            status = ap_finding_add(out, &finding, err);
        }
    }
    return status;
}
