#include "nearmiss/detect.h"

#include "nearmiss/rank.h"

/* `share` of the false alarms that the likely findings of a review may expect together; 0: what is certain has none. The split is a
 * choice of ours: most to the patterns that point at plans, little to each comparison of rates. Together at most 1. */
static const struct {
    ap_detector_fn run;
    double share;
} detectors[AP_DETECT_COUNT] = {
    [AP_DETECT_DAMAGE] = {ap_detect_damage, 0},
    [AP_DETECT_NEAR_MISS] = {ap_detect_near_miss, 0},
    [AP_DETECT_OVER_CHART] = {ap_detect_over_chart, 0},
    [AP_DETECT_TOWARD_PERSON] = {ap_detect_toward_person, 0},
    [AP_DETECT_LEG] = {ap_detect_leg, 0},
    [AP_DETECT_MOVED] = {ap_detect_moved, 0},
    [AP_DETECT_SHOCK] = {ap_detect_shock, 0},
    [AP_DETECT_THIN_MARGIN] = {ap_detect_thin_margin, 0},
    [AP_DETECT_MARGIN_LOST] = {ap_detect_margin_lost, 0},
    [AP_DETECT_HEAVIER_RUN] = {ap_detect_heavier_run, 0.25},
    [AP_DETECT_DRIFT] = {ap_detect_drift, 0.20},
    [AP_DETECT_OWN_CHANGE] = {ap_detect_own_change, 0.10},
    [AP_DETECT_SURPRISE] = {ap_detect_surprise, 0.10},
    [AP_DETECT_KERF] = {ap_detect_kerf, 0.05},
    [AP_DETECT_RE_RIG] = {ap_detect_re_rig, 0.05},
    [AP_DETECT_CLUSTER] = {ap_detect_cluster, 0.10},
    [AP_DETECT_SAID_SO] = {ap_detect_said_so, 0},
    [AP_DETECT_PENCIL] = {ap_detect_pencil, 0.05},
    [AP_DETECT_SILENCE] = {ap_detect_silence, 0.05},
    [AP_DETECT_OTHERWISE] = {ap_detect_otherwise, 0.05},
};

void ap_scope_append(ap_buf *scope, const ap_roster *roster, ap_by by, uint32_t label) {
    ap_str text = ap_roster_label(roster, by, label);
    const char *what = ap_by_label(by);
    bool said = ap_str_starts(text, ap_str_from(what)); /* "crew B" is not "crew crew B" */
    text = text.len ? text : AP_STR_LIT("not recorded");
    ap_buf_appendf(scope, "%s%s%.*s", said ? "" : what, said ? "" : " ", AP_STR_ARG(text));
}

bool ap_fact_leg_slack(const ap_fact *fact) {
    return fact->rest->slings & AP_SLINGS_SLACK && (fact->rest->slings & AP_SLINGS_LEGS) > 1;
}

static ap_status run_all(ap_finding_list *out, ap_detect_input *in, ap_error *err) {
    const double most = in->limits->expected_most;
    double allowed[3];
    for (int kind = 0; kind < 3; kind++) {
        allowed[kind] = most * detectors[ap_span_detector((ap_span_kind)kind)].share;
    }
    ap_status status = ap_chance_of_spans(in->chance, in->roster, in->looks, in->limits, allowed, err);
    for (size_t d = 0; d < AP_DETECT_COUNT && status == AP_OK; d++) {
        in->allowed = most * detectors[d].share;
        status = detectors[d].run(out, in, err);
        in->chance->expected += in->chance->line[d].looked ? in->chance->line[d].expected : 0;
    }
    return status;
}

ap_status ap_detect_all(ap_finding_list *out, ap_chance *chance, const ap_detect_given *given, ap_date since,
                        ap_date until, ap_error *err) {
    const ap_roster *roster = given->roster;
    const ap_rule_limits *limits = given->limits;
    ap_spread spread = {0};
    ap_looks looks = {0};
    ap_chance own = {0};
    ap_detect_input in = {.roster = roster,
                          .limits = limits,
                          .spread = &spread,
                          .looks = &looks,
                          .hung = given->hung,
                          .said = given->said,
                          .chance = &own};
    const ap_rank_judge judge = {roster, limits};
    ap_finding_list_judge(out, ap_rank_gravity, &judge);
    ap_roster_slice(roster, since, until, &in.first, &in.end);
    ap_status status = ap_spread_fit(&spread, roster, in.end, limits->suspect_z, err);
    if (status == AP_OK) {
        own.spread = spread;
        own.spread.middle = NULL; /* the tables stay here */
        own.spread.kind = NULL;
        own.spread.kinds_known = NULL;
        status = ap_looks_make(&looks, roster, in.first, in.end, &spread, limits->suspect_z, err);
    }
    if (status == AP_OK) {
        status = run_all(out, &in, err);
    }
    if (status == AP_OK) {
        ap_finding_bound(out);
        ap_rank_findings(out, roster, limits, in.first, in.end);
        ap_finding_sort(out);
    }
    ap_finding_list_judge(out, NULL, NULL);
    if (chance) {
        *chance = own;
    }
    ap_looks_release(&looks);
    ap_spread_release(&spread);
    return status;
}
