/* A note that speaks of a near miss, on a pick that is not logged as one. A question, not a verdict: rules misread notes too.
 *
 *   N1 A person in the wrong place, the crane, a house or line near: each pick alone.
 *   N2 The other classes: the picks of one job are one finding, with the first note, so that a crew's habit of words does not fill the
 *      page.
 *   N3 Weight alone is passed over where the pick was weighed and stayed within the second band: the weighing has said it already. */
#include "nearmiss/detect.h"

typedef struct group {
    const ap_said *first;
    uint32_t job;
    uint32_t reasons;
    size_t count;
} group;

static bool stands_alone(ap_reason reason) {
    return reason == AP_REASON_PLACE || reason == AP_REASON_CRANE || reason == AP_REASON_NEAR;
}

static bool weighing_says_it(const ap_said *said, const ap_detect_input *in) {
    const ap_fact *fact = &in->roster->facts[said->fact];
    return said->reasons == 1u << AP_REASON_WEIGHT && fact->compared == AP_COMPARED &&
           !ap_over(ap_fact_share_worst(fact), in->roster->settings.band_stop);
}

static ap_status report(ap_finding_list *out, const ap_detect_input *in, group *g, ap_reason reason, size_t *picks,
                        ap_error *err) {
    if (g->count == 0) {
        return AP_OK;
    }
    const ap_fact *facts = in->roster->facts;
    const ap_finding finding = {.detector = AP_DETECT_SAID_SO,
                                .class = AP_FINDING_CERTAIN,
                                .kind = ap_reason_name(reason),
                                .picks = picks,
                                .pick_count = g->count,
                                .first = facts[picks[0]].date,
                                .last = facts[picks[g->count - 1]].date,
                                .reasons = g->reasons,
                                .topic = (uint8_t)reason,
                                .note = g->first->note,
                                .note_at = g->first->at,
                                .note_len = g->first->len,
                                .value = NAN,
                                .z = NAN,
                                .p = NAN,
                                .rank = 900 - reason};
    g->count = 0;
    return ap_finding_add(out, &finding, err);
}

ap_status ap_detect_said_so(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    size_t hits = in->said ? in->said->count : 0;
    group groups[AP_REASON_COUNT] = {{0}};
    size_t *picks = calloc(AP_REASON_COUNT * (hits + 1), sizeof *picks); /* one row a class */
    ap_status status = AP_OK;
    if (!picks) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for %zu notes", hits);
    }
    for (size_t i = 0; i < hits && status == AP_OK; i++) {
        const ap_said *said = &in->said->items[i];
        const ap_fact *fact = &in->roster->facts[said->fact];
        if (said->fact < in->first || said->fact >= in->end || fact->near_miss == AP_YESNO_YES ||
            weighing_says_it(said, in)) {
            continue;
        }
        group *g = &groups[said->reason];
        size_t *row = picks + said->reason * (hits + 1);
        if (g->count && (stands_alone(said->reason) || g->job != ap_fact_group(fact, AP_BY_JOB))) {
            status = report(out, in, g, said->reason, row, err);
        }
        if (g->count == 0) {
            *g = (group){.first = said, .job = ap_fact_group(fact, AP_BY_JOB)};
        }
        g->reasons |= said->reasons;
        row[g->count++] = said->fact;
    }
    for (size_t r = 0; r < AP_REASON_COUNT && status == AP_OK; r++) {
        status = report(out, in, &groups[r], (ap_reason)r, picks + r * (hits + 1), err);
    }
    free(picks);
    return status;
}
