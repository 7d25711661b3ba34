/* Plans that run light for a time: a clipped one-sided CUSUM of ln(ratio) in spreads, target 0, in the groups of heavier_run.c
 * and under its R1 to R5. Source: Page 1954; clipping as in Lucas & Crosier 1982 (stats/control.h). */
#include "nearmiss/detect.h"

ap_status ap_detect_drift(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    return ap_detect_spans(out, in, AP_SPAN_DRIFT, err);
}
