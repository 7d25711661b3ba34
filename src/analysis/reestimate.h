/* What plans would have been with the figure that the company's own wood gives, and whether that may be recommended.
 *
 *   R1 Only weighed picks planned by chart, table or worked are planned anew: plan x figure / figure of the plan's day.
 *      A plan by eye does not move; it is counted apart. So are butt pieces whose middle was not taped (the figure is for
 *      wood above the butt) and dead, decayed or hollow wood.
 *   R2 Held out: each tree planned from the others (leave one tree out, variances kept), and each job from what was weighed
 *      before the month in which it began (rolling origin, everything fitted anew).
 *   R3 A figure is recommended only when the squared error of ln(measured / planned) falls on trees left out, the 90 %
 *      interval of the paired difference (trees counting once each) clear of zero, and does not rise on later jobs.
 *   R4 A figure that makes plans lighter needs AP_LIGHTER_TREES_LEAST weighed trees, and is refused when the share heavier
 *      than plan x factor rises on trees left out: when the upper end of the 90 % interval of the paired difference is
 *      above zero. The factor after is fitted to the plans after, so that no correction counts twice. Trees are left
 *      out in up to 30 groups, in fewer (5 at least) above 20,000 picks.
 *
 * Source   Stone 1974, JRSS B 36:111-147; Tashman 2000, International Journal of Forecasting 16:437-450; clusters: Snedecor &
 *          Cochran 1989, chapter 21. R3's interval and R4 are rules of ours (no source), on the side of heavier plans. */
#ifndef AP_ANALYSIS_REESTIMATE_H
#define AP_ANALYSIS_REESTIMATE_H

#include "analysis/density.h"

#define AP_SAME_FIGURE_LOG 0.01 /* figures within a percent are one figure */
enum { AP_LIGHTER_TREES_LEAST = 10, AP_ROLLING_TREES_LEAST = 5 };

/* ln(measured / planned) of some picks; NaN where there is none. */
typedef struct ap_held_line {
    size_t picks;
    size_t trees;
    double bias;
    double sd;
    double heavier; /* share of picks heavier than planned by more than the setting */
} ap_held_line;

typedef struct ap_held_out {
    ap_held_line before, after;
    bool has_gain;                    /* two trees or more */
    double gain, gain_low, gain_high; /* squared error before minus after, mean over trees */
} ap_held_out;

/* R4, on trees left out. */
typedef struct ap_lighter_guard {
    bool told; /* a factor was there before and after on two trees or more */
    size_t picks;
    size_t trees;
    double share_before, share_after;   /* heavier than plan x factor */
    double rise, rise_low, rise_high;   /* paired, trees counting once each */
    double factor_before, factor_after; /* of the species from all picks; NaN when there is none */
} ap_lighter_guard;

typedef enum ap_density_verdict {
    AP_DENSITY_HEAVIER,    /* recommended, plans become heavier */
    AP_DENSITY_LIGHTER,    /* recommended, LOWERS PLANNED WEIGHT */
    AP_DENSITY_AS_IS,      /* the figure in force stands */
    AP_DENSITY_ONLY_BUTTS, /* all picks are butt pieces whose middle was not taped */
    AP_DENSITY_ONE_TREE,   /* one weighed tree */
    AP_DENSITY_FEW_TREES,  /* lighter on fewer than AP_LIGHTER_TREES_LEAST trees */
    AP_DENSITY_NO_PLANS,   /* nothing planned by chart, table or worked to prove it on */
    AP_DENSITY_NOT_BETTER, /* trees left out */
    AP_DENSITY_NOT_LATER,  /* later jobs */
    AP_DENSITY_SHARE_RISES /* R4 */
} ap_density_verdict;
bool ap_density_is_recommended(ap_density_verdict verdict);

typedef struct ap_reestimate_species {
    uint32_t label;
    double in_force; /* ln of the figure in force now over the handbook's */
    double change;   /* ln of the own figure over the one in force */
    ap_held_out tree;
    ap_held_out rolling;
    ap_held_line by_eye; /* not planned anew */
    ap_held_line butts;  /* as planned */
    size_t other;        /* not sound, or the basis of the estimate not recorded */
    ap_lighter_guard guard;
    ap_density_verdict verdict;
} ap_reestimate_species;

typedef struct ap_reestimate {
    ap_reestimate_species *species; /* in the order of density->species */
    size_t count;
    ap_reestimate_species all; /* every species with its own figure; no guard, no verdict */
} ap_reestimate;

/* `only` a species label: the guard and the factors are worked out for it alone; 0: the guard for each species that would
 * become lighter, and no factors. `density` is fitted and judged from `picks`, all picks of the roster up to its end. */
AP_MUST_USE ap_status ap_reestimate_run(ap_reestimate *out, ap_arena *arena, const ap_roster *roster,
                                        const ap_density_picks *picks, const ap_density *density,
                                        const ap_density_priors *priors, uint32_t only, ap_error *err);

/* R4 for one species whose figure is the handbook's times exp(shift), shift = density's plus `add`. */
AP_MUST_USE ap_status ap_lighter_guard_run(ap_lighter_guard *out, const ap_roster *roster, const ap_density *density,
                                           uint32_t label, double add, bool factors_only, ap_error *err);

#endif
