/* Weighed picks in a row heavier than planned by more than the setting, per estimator, crew, species, species and cut.
 *
 * R1  a pick that cannot be compared, or is suspect, is skipped and counted: it neither ends nor lengthens a run;
 * R2  a blank estimator, crew or species forms no group;
 * R3  runs span jobs and months; a finding belongs to the period its last pick falls in;
 * R4  runs that rest on the same picks (four of five of the shorter) are one finding that names every group it shows in;
 * R5  the least length rises until chance makes few enough (chance.h). */
#include "nearmiss/detect.h"

ap_status ap_detect_heavier_run(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    return ap_detect_spans(out, in, AP_SPAN_RUN, err);
}
