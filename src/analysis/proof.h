/* The proof of the planning factors: what they would have done on picks they had not seen.
 *
 * Rolling origin: at the first day of each month the model is fitted to all picks before it, and the jobs that begin in that
 * month are planned with these factors: every pick is planned from earlier jobs only. Leave-one-job-out: every job planned
 * from all the others, later ones too; a second line, because it knows the future.
 *
 * Source   Tashman 2000, International Journal of Forecasting 16:437-450 (rolling origin); Stone 1974, JRSS B 36:111-147;
 *          exact interval of a share: Clopper & Pearson 1934. Picks of one tree are not independent, so that the interval
 *          of coverage is somewhat too narrow; the page says so.
 * Limits   a refit waits until the picks have grown by 1 % (50 % above 20,000 picks); above 60 jobs they are left out in
 *          groups, no more than 60 and fewer with very many picks. */
#ifndef AP_ANALYSIS_PROOF_H
#define AP_ANALYSIS_PROOF_H

#include "analysis/pooled.h"

typedef struct ap_proof_line {
    size_t held_out;    /* picks planned without having been seen */
    size_t within;      /* of these, not heavier than plan x factor */
    size_t within_plan; /* not heavier than the plan itself */
    double added;       /* sum of factor - 1 */
    size_t no_factor;   /* picks for which there was no factor yet */
} ap_proof_line;

typedef struct ap_proof_group {
    uint32_t key[AP_WEIGHTS_BY_MAX];
    ap_proof_line rolling;
    ap_proof_line left_out;
} ap_proof_group;

typedef struct ap_proof {
    ap_proof_line rolling;
    ap_proof_line left_out;
    ap_proof_group *groups; /* by the key of the grouping, in order of first appearance */
    size_t group_count;
    size_t jobs;
    size_t folds; /* groups of jobs left out in turn; = jobs when one at a time */
} ap_proof;

const ap_proof_group *ap_proof_find(const ap_proof *proof, const uint32_t key[AP_WEIGHTS_BY_MAX]);

/* Share within, with its exact 95 % interval; false when nothing was held out. */
bool ap_proof_coverage(double *share, ap_interval *interval, const ap_proof_line *line);

#endif
