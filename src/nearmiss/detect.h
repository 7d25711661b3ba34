/* Detectors: each a small file that reads the roster and returns findings; all are listed in one table (detect.c). */
#ifndef AP_NEARMISS_DETECT_H
#define AP_NEARMISS_DETECT_H

#include "nearmiss/chance.h"
#include "nearmiss/hung.h"
#include "nearmiss/said.h"

typedef struct ap_detect_given {
    const ap_roster *roster;
    const ap_rule_limits *limits;
    const ap_hung_list *hung; /* may be NULL */
    const ap_said_list *said; /* may be NULL */
} ap_detect_given;

typedef struct ap_detect_input {
    const ap_roster *roster;
    const ap_rule_limits *limits;
    size_t first, end;       /* the period's slice; a pattern may begin before it */
    const ap_spread *spread; /* of all picks up to the period's end, with the middle of each pick's kind */
    const ap_looks *looks;
    const ap_hung_list *hung; /* of the period's picks; NULL: the reconstruction is not judged */
    const ap_said_list *said; /* of the period's notes; NULL: not read */
    ap_chance *chance;        /* a likely detector writes its own line */
    double allowed;           /* false alarms that the running detector may expect */
} ap_detect_input;

typedef ap_status (*ap_detector_fn)(ap_finding_list *out, const ap_detect_input *in, ap_error *err);

ap_status ap_detect_damage(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_near_miss(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_over_chart(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_toward_person(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_thin_margin(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_margin_lost(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_leg(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_moved(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_shock(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_heavier_run(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_drift(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_own_change(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_surprise(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_kerf(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_re_rig(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_cluster(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_said_so(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_pencil(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_silence(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_otherwise(ap_finding_list *out, const ap_detect_input *in, ap_error *err);

/* One of two or more legs that carry was logged slack at the cut. */
bool ap_fact_leg_slack(const ap_fact *fact);

/* How the piece moved against how it was to move by the mechanics (otherwise.c, O1): 0 cannot be compared, 1 as worked out, 2 not. */
int ap_moved_otherwise(const ap_fact *fact, const ap_rule_limits *limits);

/* What the three detectors over time share: their spans as findings (spans.h). */
AP_MUST_USE ap_status ap_detect_spans(ap_finding_list *out, const ap_detect_input *in, ap_span_kind kind,
                                      ap_error *err);

/* "crew B", "species silver maple": the group's word in front unless the label says it already; "crew not recorded". */
void ap_scope_append(ap_buf *scope, const ap_roster *roster, ap_by by, uint32_t label);

/* Runs every detector over the picks dated since..until (either may be AP_DATE_NONE), in reading order. `chance` may be
 * NULL. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_detect_all(ap_finding_list *out, ap_chance *chance, const ap_detect_given *given,
                                    ap_date since, ap_date until, ap_error *err);

#endif
