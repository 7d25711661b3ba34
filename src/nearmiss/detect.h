/* Detectors: each a small file that reads the roster and returns findings; all are listed in one table (detect.c). */
#ifndef AP_NEARMISS_DETECT_H
#define AP_NEARMISS_DETECT_H

#include "analysis/roster.h"
#include "followup/finding.h"

/* How often chance alone fires the run rule, at the spread fitted to all picks up to the period's end. */
typedef struct ap_run_chance {
    double sd;              /* of ln(ratio) between picks of one kind; NaN when it cannot be fitted */
    double share;           /* chance that one pick is heavier by more than 10 % when plans are right on average */
    double picks_per_alarm; /* average number of picks to a false alarm */
    size_t looks;           /* weighed picks of the period, counted in every group they were looked at in */
    double expected;        /* false alarms to expect in this period: looks / picks_per_alarm */
} ap_run_chance;

typedef struct ap_detect_input {
    const ap_roster *roster;
    size_t first, end;         /* the period's slice; a run may begin before it */
    double sd;                 /* fitted spread of ln(ratio) within species and cut; NaN when unknown */
    double surprise_sd;        /* the same with a floor, and an assumed one where none can be fitted: never NaN */
    const double *cell_middle; /* per fact of the roster: the median ln(ratio) of its species and cut; NaN if unknown */
    unsigned run_length;
} ap_detect_input;

typedef ap_status (*ap_detector_fn)(ap_finding_list *out, const ap_detect_input *in, ap_error *err);

ap_status ap_detect_damage(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_near_miss(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_over_chart(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_toward_person(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_thin_margin(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_heavier_run(ap_finding_list *out, const ap_detect_input *in, ap_error *err);
ap_status ap_detect_surprise(ap_finding_list *out, const ap_detect_input *in, ap_error *err);

/* Groups that runs are looked for in: estimator, crew, species, species x cut. */
typedef struct ap_run_group {
    ap_by by[2];
    size_t by_count;
} ap_run_group;
enum { AP_RUN_GROUPS = 4 };
extern const ap_run_group ap_run_groups[AP_RUN_GROUPS];

/* Runs every detector over the picks dated since..until (either may be AP_DATE_NONE), in reading order. `chance` may be
 * NULL. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_detect_all(ap_finding_list *out, ap_run_chance *chance, const ap_roster *roster, ap_date since,
                                    ap_date until, ap_error *err);

#endif
