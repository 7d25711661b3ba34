#include "analysis/action_effect.h"

#include <gsl/gsl_cdf.h>

#include "stats/summary.h"

#define LEVEL 0.90

static const struct {
    const char *name;
    const char *label;
} figures[AP_EFFECT_COUNT] = {
    [AP_EFFECT_HEAVIER] = {"heavier", "share of picks clearly heavier than planned"},
    [AP_EFFECT_BIAS] = {"bias", "measured against planned, the middle pick"},
    [AP_EFFECT_OVER_CHART] = {"over-chart", "share of picks over chart"},
    [AP_EFFECT_MOVED] = {"moved", "share of pieces that did not stay still"},
    [AP_EFFECT_NEAR_MISS] = {"near-miss", "share of picks logged as a near miss"},
    [AP_EFFECT_RE_RIG] = {"re-rig", "share of picks the hook had to come back for"},
    [AP_EFFECT_UNWEIGHED] = {"unweighed", "share of planned picks not weighed"},
};

const char *ap_effect_figure_name(ap_effect_figure figure) {
    return figures[figure].name;
}

const char *ap_effect_figure_label(ap_effect_figure figure) {
    return figures[figure].label;
}

bool ap_effect_figure_find(ap_effect_figure *out, ap_str name) {
    for (int i = 0; i < AP_EFFECT_COUNT; i++) {
        if (ap_str_equal_word(name, figures[i].name)) {
            *out = (ap_effect_figure)i;
            return true;
        }
    }
    return false;
}

/* Can this pick be judged, and is it one of those counted? */
static bool judge(bool *event, const ap_fact *fact, ap_effect_figure figure, const ap_settings *settings) {
    const uint16_t calm = AP_MOVE_BIT(AP_MOVEMENT_STILL) | AP_MOVE_BIT(AP_MOVEMENT_SETTLED);
    *event = false;
    switch (figure) {
    case AP_EFFECT_HEAVIER:
        *event = fact->compared == AP_COMPARED && ap_over(ap_fact_ratio(fact), 1 + settings->heavier);
        return fact->compared == AP_COMPARED;
    case AP_EFFECT_BIAS:
        return fact->compared == AP_COMPARED;
    case AP_EFFECT_OVER_CHART:
        *event = fact->over_chart;
        return fact->over_chart || !isnan(ap_fact_share_worst(fact));
    case AP_EFFECT_MOVED:
        *event = (fact->rest->movement & ~calm) != 0;
        return fact->rest->movement != 0;
    case AP_EFFECT_NEAR_MISS:
        *event = fact->near_miss == AP_YESNO_YES;
        return fact->near_miss != 0;
    case AP_EFFECT_RE_RIG:
        *event = fact->rest->re_rigs > 0;
        return fact->rest->re_rigs != AP_COUNT_NONE;
    case AP_EFFECT_UNWEIGHED:
        *event = fact->compared == AP_NOT_WEIGHED;
        return fact->compared != AP_NOT_PLANNED;
    default:
        return false;
    }
}

/* One tree's picks on one side. */
typedef struct tree_sum {
    uint32_t tree;
    double picks;
    double sum; /* of events, or of ln(ratio) */
} tree_sum;

typedef struct side_data {
    double *values; /* ln(ratio) of each pick, or 0 and 1 */
    uint32_t *trees;
    size_t count;
    tree_sum *sums;
    size_t tree_count;
} side_data;

static int by_tree(const void *a, const void *b) {
    const tree_sum *x = a;
    const tree_sum *y = b;
    return (x->tree > y->tree) - (x->tree < y->tree);
}

/* Picks whose tree is not known were given one by the roster; tree 0 stands alone all the same. */
static void sum_trees(side_data *side) {
    for (size_t i = 0; i < side->count; i++) {
        side->sums[i] = (tree_sum){side->trees[i], 1, side->values[i]};
    }
    if (side->count) {
        qsort(side->sums, side->count, sizeof *side->sums, by_tree);
    }
    for (size_t i = 0; i < side->count; i++) {
        tree_sum *last = side->tree_count ? &side->sums[side->tree_count - 1] : NULL;
        if (last && last->tree == side->sums[i].tree && last->tree != 0) {
            last->picks += 1;
            last->sum += side->sums[i].sum;
        } else {
            side->sums[side->tree_count++] = side->sums[i];
        }
    }
}

typedef struct filter {
    uint32_t species, cut, crew;
    bool none; /* a name that no pick has */
} filter;

static uint32_t label_of(bool *none, const ap_roster *roster, ap_by by, ap_str name) {
    uint32_t number = name.ptr ? ap_intern_find(roster->labels[by], name) : 0;
    *none = *none || (name.ptr && number == 0);
    return number;
}

static ap_status take_side(side_data *side, const ap_roster *roster, const filter *want, ap_effect_figure figure,
                           ap_date since, ap_date until, ap_error *err) {
    size_t first;
    size_t end;
    ap_roster_slice(roster, since, until, &first, &end);
    size_t most = want->none || until < since ? 0 : end - first;
    side->values = calloc(most + 1, sizeof *side->values);
    side->trees = calloc(most + 1, sizeof *side->trees);
    side->sums = calloc(most + 1, sizeof *side->sums);
    if (!side->values || !side->trees || !side->sums) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for an action's figure");
    }
    for (size_t i = first; i < first + most; i++) {
        const ap_fact *fact = &roster->facts[i];
        bool fits = (!want->species || ap_fact_group(fact, AP_BY_SPECIES) == want->species) &&
                    (!want->cut || ap_fact_group(fact, AP_BY_CUT) == want->cut) &&
                    (!want->crew || ap_fact_group(fact, AP_BY_CREW) == want->crew);
        bool event;
        if (fits && judge(&event, fact, figure, &roster->settings)) {
            side->values[side->count] = figure == AP_EFFECT_BIAS ? fact->log_error : (double)event;
            side->trees[side->count++] = ap_fact_group(fact, AP_BY_TREE);
        }
    }
    sum_trees(side);
    return AP_OK;
}

static void release(side_data *side) {
    free(side->values);
    free(side->trees);
    free(side->sums);
}

static ap_status share_side(ap_effect_side *out, const side_data *side, ap_error *err) {
    *out = (ap_effect_side){.picks = side->count, .trees = side->tree_count, .value = NAN, .low = NAN, .high = NAN};
    for (size_t i = 0; i < side->count; i++) {
        out->events += side->values[i] > 0;
    }
    if (side->count == 0) {
        return AP_OK;
    }
    ap_interval interval;
    ap_status status = ap_share_interval(&interval, out->events, side->count, LEVEL, err);
    if (status == AP_OK) {
        out->value = (double)out->events / (double)side->count;
        out->low = interval.low;
        out->high = interval.high;
    }
    return status;
}

/* Variance of the share over trees by what it would be were picks independent; at least 1. */
static double design_effect(const side_data *side, double share) {
    double n = (double)side->count;
    double trees = (double)side->tree_count;
    double plain = share * (1 - share) / n;
    double sum = 0;
    for (size_t i = 0; i < side->tree_count; i++) {
        double off = side->sums[i].sum - share * side->sums[i].picks;
        sum += off * off;
    }
    if (side->tree_count < 2 || !(plain > 0)) {
        return 1;
    }
    return fmax(1, sum / (n * n) * trees / (trees - 1) / plain);
}

static ap_status share_difference(ap_effect *out, const side_data sides[2], ap_error *err) {
    ap_interval interval;
    if (out->before.trees < AP_EFFECT_TREES_LEAST || out->after.trees < AP_EFFECT_TREES_LEAST) {
        return AP_OK;
    }
    double before = out->before.value;
    double after = out->after.value;
    ap_status status =
        ap_share_difference(&interval, after, (double)out->after.picks / design_effect(&sides[1], after), before,
                            (double)out->before.picks / design_effect(&sides[0], before), LEVEL, err);
    if (status == AP_OK) {
        out->has_difference = true;
        out->difference = after - before;
        out->low = interval.low;
        out->high = interval.high;
    }
    return status;
}

/* Fleiss 1981, equation 3.14 with equal groups, one-sided 5 %, power 80 %. */
static size_t needed_to_see_half(double share) {
    if (!(share > 0)) {
        return 0;
    }
    double half = share / 2;
    double mean = (share + half) / 2;
    double a = gsl_cdf_ugaussian_Pinv(0.95) * sqrt(2 * mean * (1 - mean));
    double b = gsl_cdf_ugaussian_Pinv(0.80) * sqrt(share * (1 - share) + half * (1 - half));
    return (size_t)ceil((a + b) * (a + b) / ((share - half) * (share - half)));
}

static ap_status bias_side(ap_effect_side *out, const side_data *side, ap_error *err) {
    *out = (ap_effect_side){.picks = side->count, .trees = side->tree_count, .value = NAN, .low = NAN, .high = NAN};
    if (side->count == 0) {
        return AP_OK;
    }
    double median = NAN;
    ap_status status = ap_stats_median(&median, side->values, side->count, err);
    out->value = exp(median);
    return status;
}

static void mean_over_trees(double *mean, double *variance, const side_data *side) {
    *mean = 0;
    *variance = 0;
    double n = (double)side->tree_count;
    for (size_t i = 0; i < side->tree_count; i++) {
        *mean += side->sums[i].sum / side->sums[i].picks / n;
    }
    for (size_t i = 0; i < side->tree_count; i++) {
        double off = side->sums[i].sum / side->sums[i].picks - *mean;
        *variance += off * off / (n - 1) / n;
    }
}

static void bias_difference(ap_effect *out, const side_data sides[2]) {
    if (out->before.trees < AP_EFFECT_TREES_LEAST || out->after.trees < AP_EFFECT_TREES_LEAST) {
        return;
    }
    double mean[2];
    double variance[2];
    for (int i = 0; i < 2; i++) {
        mean_over_trees(&mean[i], &variance[i], &sides[i]);
    }
    double sum = variance[0] + variance[1];
    double df = sum * sum /
                (variance[0] * variance[0] / ((double)sides[0].tree_count - 1) +
                 variance[1] * variance[1] / ((double)sides[1].tree_count - 1));
    if (!(sum > 0)) {
        return;
    }
    double half = gsl_cdf_tdist_Pinv((1 + LEVEL) / 2, df) * sqrt(sum);
    out->has_difference = true;
    out->difference = mean[1] - mean[0];
    out->low = out->difference - half;
    out->high = out->difference + half;
}

static ap_status read_sides(ap_effect *out, const side_data sides[2], ap_error *err) {
    bool bias = out->figure == AP_EFFECT_BIAS;
    ap_status status = bias ? bias_side(&out->before, &sides[0], err) : share_side(&out->before, &sides[0], err);
    if (status == AP_OK) {
        status = bias ? bias_side(&out->after, &sides[1], err) : share_side(&out->after, &sides[1], err);
    }
    if (status == AP_OK && bias) {
        bias_difference(out, sides);
    } else if (status == AP_OK) {
        status = share_difference(out, sides, err);
        out->needed = needed_to_see_half(out->before.value);
    }
    out->moved_down = out->has_difference && out->high < 0;
    out->moved_up = out->has_difference && out->low > 0;
    return status;
}

ap_status ap_effect_read(ap_effect *out, const ap_roster *roster, const ap_action *action, ap_date until,
                         ap_error *err) {
    ap_effect effect = {0};
    side_data sides[2] = {{0}};
    filter want = {0};
    if (!ap_effect_figure_find(&effect.figure, action->measure.figure)) {
        return ap_error_set(err, AP_E_DOMAIN, "'%.*s' is not a figure that is followed",
                            AP_STR_ARG(action->measure.figure));
    }
    want.species = label_of(&want.none, roster, AP_BY_SPECIES, action->measure.species);
    want.cut = label_of(&want.none, roster, AP_BY_CUT, action->measure.cut);
    want.crew = label_of(&want.none, roster, AP_BY_CREW, action->measure.crew);
    ap_date closed = action->closed == AP_DATE_NONE ? until : action->closed;
    ap_status status = take_side(&sides[0], roster, &want, effect.figure,
                                 ap_date_add_months(action->opened, -AP_EFFECT_MONTHS), action->opened - 1, err);
    if (status == AP_OK) {
        status = take_side(&sides[1], roster, &want, effect.figure, closed + 1, until, err);
    }
    if (status == AP_OK) {
        status = read_sides(&effect, sides, err);
    }
    release(&sides[0]);
    release(&sides[1]);
    if (status == AP_OK) {
        *out = effect;
    }
    return status;
}
