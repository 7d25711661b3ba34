#include "nearmiss/rank.h"

#include "nearmiss/phrases.h"

const char *ap_severity_name(ap_severity severity) {
    static const char *const names[] = {NULL, "catastrophic", "critical", "marginal", "negligible"};
    return names[severity];
}

const char *ap_probability_name(ap_probability probability) {
    static const char *const names[] = {NULL,     "frequent",   "probable",  "occasional",
                                        "remote", "improbable", "eliminated"};
    return names[probability];
}

char ap_probability_letter(ap_probability probability) {
    return " ABCDEF"[probability];
}

const char *ap_risk_name(ap_risk risk) {
    static const char *const names[] = {NULL, "eliminated", "low", "medium", "serious", "high"};
    return names[risk];
}

ap_probability ap_probability_of(double per_pick) {
    return per_pick >= 1e-1   ? AP_PROBABILITY_FREQUENT
           : per_pick >= 1e-2 ? AP_PROBABILITY_PROBABLE
           : per_pick >= 1e-3 ? AP_PROBABILITY_OCCASIONAL
           : per_pick >= 1e-6 ? AP_PROBABILITY_REMOTE
           : per_pick > 0     ? AP_PROBABILITY_IMPROBABLE
                              : AP_PROBABILITY_ELIMINATED;
}

typedef struct harm {
    ap_severity severity;
    ap_harm why;
} harm;

static double mass_of(const ap_fact *fact) {
    return isnan(fact->measured_net_kg) ? fact->planned_net_kg : fact->measured_net_kg;
}

/* K1, K2: a piece that moved. */
static harm of_movement(const ap_fact *fact, const ap_rule_limits *limits) {
    double mass = mass_of(fact);
    bool kills = !(mass < limits->mass_person_kg);
    if (fact->toward_person) {
        return (harm){kills ? AP_SEVERITY_CATASTROPHIC : AP_SEVERITY_CRITICAL, AP_HARM_PERSON};
    }
    if (fact->toward == AP_TOWARD_STRUCTURE) {
        return (harm){!(mass < limits->mass_structure_kg) ? AP_SEVERITY_CRITICAL : AP_SEVERITY_MARGINAL,
                      AP_HARM_STRUCTURE};
    }
    if (fact->toward == AP_TOWARD_CLEAR) {
        return (harm){AP_SEVERITY_MARGINAL, AP_HARM_CLEAR};
    }
    return (harm){kills ? AP_SEVERITY_CRITICAL : AP_SEVERITY_MARGINAL, AP_HARM_DIRECTION_UNKNOWN};
}

static harm of_share(double share, const ap_roster *roster) {
    ap_severity severity = ap_over(share, 1)                            ? AP_SEVERITY_CATASTROPHIC
                           : ap_over(share, roster->settings.band_stop) ? AP_SEVERITY_CRITICAL
                                                                        : AP_SEVERITY_MARGINAL;
    return (harm){severity, AP_HARM_CAPACITY};
}

static double largest_share(const ap_finding *finding, const ap_roster *roster) {
    double share = NAN;
    for (size_t i = 0; i < finding->pick_count; i++) {
        const ap_fact *fact = &roster->facts[finding->picks[i]];
        share = fmax(share, fmax(ap_fact_share_worst(fact), fact->share_planned));
    }
    return share;
}

static harm of_note(ap_reason reason) {
    switch (reason) {
    case AP_REASON_PLACE:
    case AP_REASON_NEAR:
        return (harm){AP_SEVERITY_CATASTROPHIC, AP_HARM_KIND};
    case AP_REASON_WEIGHT:
    case AP_REASON_COMMUNICATION:
    case AP_REASON_UNCLEAR:
        return (harm){AP_SEVERITY_MARGINAL, AP_HARM_KIND};
    default:
        return (harm){AP_SEVERITY_CRITICAL, AP_HARM_KIND};
    }
}

static harm of_finding(const ap_finding *finding, const ap_roster *roster, const ap_rule_limits *limits) {
    const ap_fact *fact = &roster->facts[finding->picks[0]];
    switch (finding->detector) {
    case AP_DETECT_DAMAGE:
        return (harm){AP_SEVERITY_NONE, AP_HARM_HAPPENED};
    case AP_DETECT_TOWARD_PERSON:
    case AP_DETECT_NEAR_MISS:
        return of_movement(fact, limits);
    case AP_DETECT_MOVED:
        return finding->reasons & AP_MOVED_SWEEP ? (harm){AP_SEVERITY_CATASTROPHIC, AP_HARM_PERSON}
                                                 : of_movement(fact, limits);
    case AP_DETECT_LEG:
        return (harm){finding->reasons & AP_LEG_OVER ? AP_SEVERITY_CATASTROPHIC : AP_SEVERITY_CRITICAL, AP_HARM_KIND};
    case AP_DETECT_SHOCK:
        /* The most that could have been says nothing of what was: it is no worse than a peak that was read. */
        return (harm){AP_SEVERITY_CRITICAL, AP_HARM_KIND};
    case AP_DETECT_OVER_CHART:
    case AP_DETECT_THIN_MARGIN:
    case AP_DETECT_MARGIN_LOST:
        return of_share(finding->value, roster);
    case AP_DETECT_HEAVIER_RUN:
    case AP_DETECT_SURPRISE:
    case AP_DETECT_DRIFT:
    case AP_DETECT_OWN_CHANGE:
        return of_share(largest_share(finding, roster), roster);
    case AP_DETECT_KERF:
    case AP_DETECT_CLUSTER:
        return (harm){AP_SEVERITY_CRITICAL, AP_HARM_KIND};
    case AP_DETECT_SAID_SO:
        return of_note((ap_reason)finding->topic);
    case AP_DETECT_RE_RIG:
        return (harm){AP_SEVERITY_MARGINAL, AP_HARM_KIND};
    default:
        return (harm){AP_SEVERITY_NEGLIGIBLE, AP_HARM_BLIND};
    }
}

double ap_rank_gravity(const void *context, const ap_finding *finding) {
    const ap_rank_judge *judge = context;
    harm could = of_finding(finding, judge->roster, judge->limits);
    return finding->rank + (could.severity == AP_SEVERITY_NONE ? 1e8 : 1e6 * (4 - (int)could.severity));
}

void ap_rank_findings(ap_finding_list *list, const ap_roster *roster, const ap_rule_limits *limits, size_t first,
                      size_t end) {
    size_t picks[AP_DETECT_COUNT];
    memcpy(picks, list->left_out_picks, sizeof picks);
    for (size_t i = 0; i < list->count; i++) {
        const ap_finding *finding = &list->items[i];
        for (size_t p = 0; p < finding->pick_count; p++) {
            picks[finding->detector] += finding->picks[p] >= first && finding->picks[p] < end;
        }
    }
    for (size_t i = 0; i < list->count; i++) {
        ap_finding *finding = &list->items[i];
        harm could = of_finding(finding, roster, limits);
        size_t of = end - first ? end - first : 1;
        size_t in = picks[finding->detector] ? picks[finding->detector] : 1;
        in = in > of ? of : in;
        finding->severity = could.severity;
        finding->harm = could.why;
        finding->kind_picks = in;
        finding->kind_of = of;
        if (could.severity == AP_SEVERITY_NONE) {
            finding->rank += 1e8; /* K5 */
            continue;
        }
        finding->probability = ap_probability_of((double)in / (double)of);
        finding->risk = limits->risk[could.severity - 1][finding->probability - 1];
        finding->rank +=
            1e7 * (int)finding->risk + 1e6 * (4 - (int)could.severity) + 1e5 * (6 - (int)finding->probability);
    }
}
