/* Set-ups that need the hook back: each against the other picks of the period, and eye slings on leaning pieces as a set-up of their
 * own, because a leg of fixed length seldom fits a lean. */
#include "nearmiss/rate_cells.h"

static int hook_came_back(const ap_detect_input *in, size_t fact) {
    int8_t re_rigs = in->roster->facts[fact].rest->re_rigs;
    return re_rigs < 0 ? 0 : re_rigs == 0 ? 1 : 2;
}

ap_status ap_detect_re_rig(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    static const ap_by by[] = {AP_BY_SETUP};
    ap_rate_cells cells = {.least = (size_t)in->limits->re_rig_least};
    ap_status status = ap_rate_cells_count(&cells, in, by, 1, hook_came_back, in->first, err);
    if (status == AP_OK) {
        /* ap_rate_cells_count() leaves room for one more. */
        ap_rate_cell *eye = &cells.items[cells.count++];
        *eye =
            (ap_rate_cell){.grouping = cells.groupings++, .by = AP_BY_SETUP, .words = "eye slings on leaning pieces"};
        for (size_t i = in->first; i < in->end; i++) {
            int what = ap_rate_cell_has(eye, in, i) ? hook_came_back(in, i) : 0;
            eye->of += what > 0;
            eye->events += what == 2;
        }
        status = ap_rate_cells_report(out, &cells, in, AP_DETECT_RE_RIG, err);
    }
    ap_rate_cells_release(&cells);
    return status;
}
