/* Did the figure move that an action was meant to move? The picks of the year before it was agreed against those since it
 * was done.
 *
 * Shape    before = the AP_EFFECT_MONTHS months up to the day before it was agreed; after = from the day behind the one it was
 *          done on up to `until`; only picks of the species, cut and crew that the action names.
 * Method   shares: each with its exact interval (Clopper & Pearson 1934), their difference after Newcombe 1998, Statistics
 *          in Medicine 17:873-890, method 10, on counts divided by the design effect, since picks of one tree hang
 *          together (ratio estimator over trees, Cochran 1977, Sampling Techniques, section 9.7).
 *          "bias": median ratio; the difference of mean ln(ratio) over trees with Welch's interval (Welch 1947, Biometrika
 *          34:28-35).
 *          Needed: picks for 80 % power at a one-sided 5 % to see the share halved (Fleiss 1981, Statistical Methods for
 *          Rates and Proportions, section 3.2).
 * Errors   AP_E_MEMORY; AP_E_DOMAIN for a figure that is none. Too little data is no error: has_* say what there is. */
#ifndef AP_ANALYSIS_ACTION_EFFECT_H
#define AP_ANALYSIS_ACTION_EFFECT_H

#include "analysis/roster.h"
#include "book/actions.h"
#include "stats/rates.h"

enum { AP_EFFECT_MONTHS = 12, AP_EFFECT_TREES_LEAST = 3 };

typedef enum ap_effect_figure {
    AP_EFFECT_HEAVIER,
    AP_EFFECT_BIAS,
    AP_EFFECT_OVER_CHART,
    AP_EFFECT_MOVED,
    AP_EFFECT_NEAR_MISS,
    AP_EFFECT_RE_RIG,
    AP_EFFECT_UNWEIGHED,
    AP_EFFECT_COUNT
} ap_effect_figure;

typedef struct ap_effect_side {
    size_t picks; /* that can be judged */
    size_t trees;
    size_t events; /* of a share */
    double value;  /* share, or median ratio; NaN when there is no pick */
    double low, high;
} ap_effect_side;

typedef struct ap_effect {
    ap_effect_figure figure;
    ap_effect_side before, after;
    bool has_difference; /* enough on both sides for an interval */
    double difference;   /* after - before: of shares, or of ln(ratio) */
    double low, high;    /* its 90 % interval */
    bool moved_down;     /* the interval lies below 0 */
    bool moved_up;
    size_t needed; /* picks after for a halved share to be seen; 0 = cannot be said */
} ap_effect;

const char *ap_effect_figure_label(ap_effect_figure figure); /* "share heavier than planned by more than 10 %" */
const char *ap_effect_figure_name(ap_effect_figure figure); /* "over-chart": the word of --figure */
bool ap_effect_figure_find(ap_effect_figure *out, ap_str name);

AP_MUST_USE ap_status ap_effect_read(ap_effect *out, const ap_roster *roster, const ap_action *action, ap_date until,
                                     ap_error *err);

#endif
