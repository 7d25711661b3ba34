/* What could have happened, not what did: severity and probability by the categories of MIL-STD-882E (2012, a public standard of the US
 * Department of Defense), and its matrix, kept as rows of the book (rule risk-matrix).
 *
 *   K1 Severity (table I, 1 catastrophic to 4 negligible) follows from where the piece went and what it weighs, from the share of capacity, or from
 *      the kind of finding. Height above ground is not a field of the log: a fall is judged by mass and direction alone.
 *   K2 A weight that is not known counts as heavy, a direction that is not logged as near somebody: the cautious reading.
 *   K3 Probability (table II, levels by the quantities of appendix A) is how many of the period's picks are in findings of that kind: per pick.
 *   K4 The matrix (table III) gives the risk; findings are read by risk, then severity, then probability, within their class.
 *   K5 Damage or injury that is noted has happened: it is not ranked and stays in front.
 *
 * The standard's words are for the loss of a system; the limits of mass are ours. A rank orders the reading; it decides nothing. */
#ifndef AP_NEARMISS_RANK_H
#define AP_NEARMISS_RANK_H

#include "analysis/roster.h"
#include "followup/finding.h"
#include "nearmiss/limits.h"

/* Gives every finding its severity, probability, risk and rank; `first`..`end` are the period's picks. */
void ap_rank_findings(ap_finding_list *list, const ap_roster *roster, const ap_rule_limits *limits, size_t first,
                      size_t end);

typedef struct ap_rank_judge {
    const ap_roster *roster;
    const ap_rule_limits *limits;
} ap_rank_judge;
/* How grave a finding is among those of its detector; `context` is an ap_rank_judge (ap_finding_gravity). */
double ap_rank_gravity(const void *context, const ap_finding *finding);

/* Table II by the quantities of appendix A: A at 10^-1 and more, B 10^-2, C 10^-3, D 10^-6, E below, F none. */
ap_probability ap_probability_of(double per_pick);

const char *ap_severity_name(ap_severity severity);          /* "catastrophic"; NULL for AP_SEVERITY_NONE */
const char *ap_probability_name(ap_probability probability); /* "frequent" */
char ap_probability_letter(ap_probability probability);      /* 'A' */
const char *ap_risk_name(ap_risk risk);                      /* "high" */

#endif
