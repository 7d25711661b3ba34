/* What the piece did against what the mechanics said it would do.
 *
 *   O1 one pick: it went the other way, or farther than AP_PREDICTED_FACTOR times the way worked out, or moved though it was to stay; in
 *      each case by the rule's distance or more. A distance that is not logged counts where the way worked out is that long. A piece that
 *      stayed though it was to move is no finding: fibre, a shelf or a tag line held it. Named by `moved`, with what else it did.
 *   O2 more often in one crew, set-up or cut than on the other picks of the period: the log of slings and leans is wrong there, or the set-up does what
 *      the mechanics do not know. Exact test of two rates (rate_cells.h).
 *
 * The way worked out rests on logged lengths, lean and states; the way seen is a guess by eye. */
#include "analysis/predicted.h"
#include "nearmiss/rate_cells.h"

int ap_moved_otherwise(const ap_fact *fact, const ap_rule_limits *limits) {
    ap_predicted_one it;
    if (!ap_predicted_get(&it, fact)) {
        return 0;
    }
    double least = limits->otherwise_m * (1 - 1e-6); /* kept as float: a tie is at the limit */
    bool same_way = it.logged == it.predicted;
    double worked_out = it.predicted == AP_GOES_STAYS ? 0 : it.predicted_m;
    bool blank = isnan(it.logged_m);
    bool otherwise = false;
    if (it.logged == AP_GOES_STAYS) {
        otherwise = false;
    } else if (same_way) {
        otherwise = ap_over(it.logged_m, AP_PREDICTED_FACTOR * worked_out) && it.logged_m - worked_out >= least;
    } else if (it.predicted == AP_GOES_STAYS) {
        otherwise = it.logged_m >= least;
    } else {
        otherwise = it.logged_m >= least || (blank && worked_out >= least);
    }
    return otherwise ? 2 : 1;
}

static int went_otherwise(const ap_detect_input *in, size_t fact) {
    return ap_moved_otherwise(&in->roster->facts[fact], in->limits);
}

ap_status ap_detect_otherwise(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    static const ap_by by[] = {AP_BY_CREW, AP_BY_SETUP, AP_BY_CUT};
    ap_rate_cells cells = {.least = (size_t)in->limits->otherwise_least};
    ap_status status = ap_rate_cells_count(&cells, in, by, 3, went_otherwise, in->first, err);
    if (status == AP_OK) {
        status = ap_rate_cells_report(out, &cells, in, AP_DETECT_OTHERWISE, err);
    }
    ap_rate_cells_release(&cells);
    return status;
}
