/* What chance alone makes of the likely detectors: how many picks or groups were looked at, and how many findings they would give if
 * nothing were wrong.
 *
 *   K1 Rows and sums (heavier-run, drift, own-change) are simulated: plans right on average, the variances between and within trees as
 *      uncertain as their fit left them (chance_draw.h), the logged trees, groups and order; the very code of the detectors reads the
 *      simulated picks.
 *   K2 The same picks always draw the same numbers: a review written twice says the same.
 *   K3 The share of the allowed false alarms that each detector may take is fixed; its limit rises until it keeps it.
 *   K4 The rate for independent picks stands beside it and is shown only as such.
 *   K5 Where the simulated periods are too few to count those above a limit, the tail of the strongest is taken as geometric (rows) or
 *      exponential (sums), its parameter as uncertain as so many leave it: the predictive distributions under the priors 1 and 1 / rate.
 *   K6 What a row says is not said again by a sum on the same picks, so that it is not counted again either.
 *
 * Source  K5 Geisser 1993, Predictive Inference, chapter 3 (from memory); the rest is ours. */
#ifndef AP_NEARMISS_CHANCE_H
#define AP_NEARMISS_CHANCE_H

#include "followup/finding.h"
#include "nearmiss/limits.h"
#include "nearmiss/spans.h"
#include "nearmiss/spread.h"

typedef struct ap_chance_line {
    bool looked;        /* the detector is one that chance can set off, and it had something to look at */
    size_t looks;       /* picks times the groups they were looked at in, or groups compared */
    double rule_limit;  /* the rule's own limit; NaN when it has none that rises */
    double limit;       /* the limit taken: risen where chance asked for it */
    double expected;    /* false alarms to expect in this period at that limit */
    double independent; /* the same if picks were independent; NaN when not worked out */
    size_t one_tree;    /* groups that would be found, were the picks of one tree independent: all of one tree, not told */
} ap_chance_line;

typedef struct ap_chance {
    ap_spread spread; /* without its table of middles */
    size_t replications;
    ap_chance_line line[AP_DETECT_COUNT];
    double expected; /* all lines together */
} ap_chance;

/* Works out limits and expectations of heavier-run, drift and own-change; `allowed[kind]` is the share of each, by
 * ap_span_kind. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_chance_of_spans(ap_chance *out, const ap_roster *roster, const ap_looks *looks,
                                         const ap_rule_limits *limits, const double allowed[3], ap_error *err);

/* The rule of one kind at the book's limit. */
ap_span_rule ap_span_rule_of(ap_span_kind kind, const ap_rule_limits *limits);
ap_detector_id ap_span_detector(ap_span_kind kind);

#endif
