/* Everything about a company's wood in one piece: evidence, model, what plans would have been. Pages, the review and the
 * command read it. */
#ifndef AP_ANALYSIS_DENSITY_STUDY_H
#define AP_ANALYSIS_DENSITY_STUDY_H

#include "analysis/reestimate.h"

typedef struct ap_density_study {
    const ap_roster *roster;
    ap_density_picks picks;
    ap_density density;
    ap_reestimate plans;
} ap_density_study;

/* From all picks of the roster. `only`: as ap_reestimate_run(). Release it also after an error. */
AP_MUST_USE ap_status ap_density_study_run(ap_density_study *out, ap_arena *arena, const ap_roster *roster,
                                           uint32_t only, ap_error *err);
void ap_density_study_release(ap_density_study *study);

/* kg/m3 of a shift in ln against the species' handbook figure. */
double ap_density_of(const ap_species *species, double shift);

/* One weighed piece of a species, as `density SPECIES` shows it. */
typedef struct ap_density_row {
    const ap_density_pick *pick;
    double left; /* ln: heavier (+) or lighter (-) than the model's figure for such a piece, its tree left in */
    ap_str site;
    uint8_t place; /* third of the tree's weighed pieces in the order of picks: 1 first, 2, 3 last; 0 = fewer than 3 */
} ap_density_row;

typedef struct ap_density_group {
    ap_str label;
    size_t picks, trees;
    double mean; /* of `left` */
} ap_density_group;

typedef enum ap_density_by {
    AP_DENSITY_BY_PIECE,
    AP_DENSITY_BY_PLACE,
    AP_DENSITY_BY_SEASON,
    AP_DENSITY_BY_SITE,
    AP_DENSITY_BY_TREE,
    AP_DENSITY_BY_COUNT
} ap_density_by;
const char *ap_density_by_name(ap_density_by by);

typedef struct ap_density_evidence {
    ap_density_row *rows; /* in pick order */
    size_t count;
    ap_density_group *groups[AP_DENSITY_BY_COUNT]; /* most picks first */
    size_t group_count[AP_DENSITY_BY_COUNT];
} ap_density_evidence;

/* Reads the sites once more from the book. */
AP_MUST_USE ap_status ap_density_evidence_read(ap_density_evidence *out, ap_arena *arena, ap_book *book,
                                               const ap_density_study *study, uint32_t label, ap_error *err);

#endif
