/* A group against its own past: a self-starting one-sided CUSUM, so that it says "heavier than it used to be" whatever the level was;
 * only from a number of earlier picks on. Source: Hawkins 1987, The Statistician 36:299-315. */
#include "nearmiss/detect.h"

ap_status ap_detect_own_change(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    return ap_detect_spans(out, in, AP_SPAN_CHANGE, err);
}
