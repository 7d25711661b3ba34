/* Invented months of picks for tests of chance and power: three crews with an estimator each, six species, three cuts, trees of about
 * seven picks; errors with a variance between and within trees. Nothing in them stands for a real job. */
#ifndef AP_TESTS_NEARMISS_MONTHS_H
#define AP_TESTS_NEARMISS_MONTHS_H

#include "stats/prng.h"
#include "support/limits.h"
#include "support/roster.h"

typedef struct month_plan {
    uint64_t seed;
    size_t before; /* picks of earlier days: day 1 on */
    size_t picks;  /* of the month: day 101 on */
    double tree_sd, rest_sd;
    double bias;   /* added to ln(ratio) of estimator E1's picks in the month */
    size_t a_tree; /* picks a tree */
} month_plan;

enum { MONTH_FIRST = 101, MONTH_LAST = 130 };

static inline void month_add(ap_roster *roster, const month_plan *plan) {
    static const char *const species[] = {"beech",        "white oak", "red maple",
                                          "silver maple", "white ash", "Norway spruce"};
    static const char *const cuts[] = {"through", "step", "hinge"};
    static const char *const crews[] = {"A", "B", "C"};
    static const char *const estimators[] = {"E1", "E2", "E3"};
    ap_prng prng;
    ap_prng_init(&prng, plan->seed, 0);
    double tree = 0;
    size_t kind = 0;
    size_t crew = 0;
    size_t in_tree = 0;
    for (size_t i = 0; i < plan->before + plan->picks; i++) {
        char name[24];
        char tree_name[24];
        bool in_month = i >= plan->before;
        if (in_tree == 0) {
            tree = plan->tree_sd * ap_prng_normal(&prng);
            kind = (size_t)ap_prng_below(&prng, 6);
            crew = (size_t)ap_prng_below(&prng, 3);
            in_tree = plan->a_tree;
        }
        in_tree--;
        snprintf(name, sizeof name, "J/%zu", i + 1);
        snprintf(tree_name, sizeof tree_name, "T%zu", i / plan->a_tree);
        double e = tree + plan->rest_sd * ap_prng_normal(&prng) + (in_month && crew == 0 ? plan->bias : 0);
        ap_date date = in_month ? (ap_date)(MONTH_FIRST + (i - plan->before) * 30 / plan->picks)
                                : (ap_date)(1 + i * 100 / (plan->before + 1));
        ap_fact *fact = check_roster_add(roster, name, date, exp(e), species[kind], cuts[ap_prng_below(&prng, 3)],
                                         estimators[crew], tree_name);
        ap_fact_set_group(fact, AP_BY_CREW, ap_intern_add(roster->labels[AP_BY_CREW], ap_str_from(crews[crew])));
        ap_fact_set_group(fact, AP_BY_JOB, ap_intern_add(roster->labels[AP_BY_JOB], ap_str_from(tree_name)));
        char setup[8];
        snprintf(setup, sizeof setup, "S%u", (unsigned)ap_prng_below(&prng, 5));
        ap_fact_set_group(fact, AP_BY_SETUP, ap_intern_add(roster->labels[AP_BY_SETUP], ap_str_from(setup)));
        fact->kerf = ap_prng_uniform(&prng) < 0.08 ? AP_KERF_CLOSING : AP_KERF_STEADY;
        fact->re_rigs = ap_prng_uniform(&prng) < 0.10;
        fact->near_miss = ap_prng_uniform(&prng) < 0.02 ? AP_YESNO_YES : AP_YESNO_NO;
    }
}

#endif
