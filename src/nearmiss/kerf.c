/* A kerf that closed or opened while the cut was finished, more often in one job or crew than on other picks: the piece settles onto
 * the saw, or is pulled. One alone is in the pick's own page; here it is the rate that speaks. */
#include "nearmiss/rate_cells.h"

static int closed_or_opened(const ap_detect_input *in, size_t fact) {
    uint8_t kerf = in->roster->facts[fact].kerf;
    return kerf == 0 ? 0 : kerf == AP_KERF_STEADY ? 1 : 2;
}

ap_status ap_detect_kerf(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    static const ap_by by[] = {AP_BY_JOB, AP_BY_CREW};
    ap_rate_cells cells = {.least = (size_t)in->limits->kerf_least};
    ap_status status = ap_rate_cells_count(&cells, in, by, 2, closed_or_opened, 0, err);
    if (status == AP_OK) {
        status = ap_rate_cells_report(out, &cells, in, AP_DETECT_KERF, err);
    }
    ap_rate_cells_release(&cells);
    return status;
}
