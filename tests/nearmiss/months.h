/* Invented months of picks for tests of chance and power: three crews with an estimator each, six species, three cuts, trees of about
 * seven picks, jobs of two trees; errors with a variance between and within trees; weights written to 2 kg, a tenth not weighed; kerfs,
 * hooks back, drops and near misses by chance alone, in some months kerfs and hooks back alike within a tree (beta-binomial), which then
 * has one set-up. Nothing in them stands for a real job. */
#ifndef AP_TESTS_NEARMISS_MONTHS_H
#define AP_TESTS_NEARMISS_MONTHS_H

#include "nearmiss/detect.h"
#include "stats/prng.h"
#include "stats/runs.h"
#include "support/limits.h"
#include "support/roster.h"

typedef struct month_plan {
    uint64_t seed;
    size_t before; /* picks of earlier days, as many a day as in the month */
    size_t picks;  /* of the month */
    double tree_sd, rest_sd;
    double bias;   /* added to ln(ratio) of estimator E1's picks in the month */
    size_t a_tree; /* picks a tree */
    double alike;  /* intraclass correlation of kerfs, and of hooks back, in a tree; 0: none */
} month_plan;

enum { MONTH_FIRST = 20001, MONTH_DAYS = 30, MONTH_LAST = MONTH_FIRST + MONTH_DAYS - 1 };

enum { TREES_A_JOB = 2 };

/* What the picks of one tree have in common besides their error. */
typedef struct month_tree {
    double kerf, re_rig; /* chance of one that closes, of the hook coming back */
    size_t setup;
} month_tree;

/* A chance of mean `share` that differs from tree to tree: beta, so that two picks of a tree correlate by `alike`. */
static inline double month_share(ap_prng *prng, double share, double alike) {
    double both = 1 / alike - 1;
    double yes = ap_prng_gamma(prng, share * both);
    double no = ap_prng_gamma(prng, (1 - share) * both);
    return yes + no > 0 ? yes / (yes + no) : share;
}

static inline month_tree month_next_tree(ap_prng *prng, double alike) {
    month_tree tree = {.kerf = month_share(prng, 0.08, alike), .re_rig = month_share(prng, 0.10, alike)};
    tree.setup = (size_t)ap_prng_below(prng, 5);
    return tree;
}

static inline void month_make_alike(ap_fact *fact, ap_roster *roster, const month_tree *tree, ap_prng *prng) {
    char setup[8];
    snprintf(setup, sizeof setup, "S%u", (unsigned)tree->setup);
    ap_fact_set_group(fact, AP_BY_SETUP, ap_intern_add(roster->labels[AP_BY_SETUP], ap_str_from(setup)));
    fact->rest->slings = tree->setup < 2 ? AP_SLINGS_EYE : 0;
    fact->kerf = ap_prng_uniform(prng) < tree->kerf ? AP_KERF_CLOSING : AP_KERF_STEADY;
    fact->rest->re_rigs = ap_prng_uniform(prng) < tree->re_rig;
}

static inline void month_add(ap_roster *roster, const month_plan *plan) {
    static const char *const species[] = {"beech",        "white oak", "red maple",
                                          "silver maple", "white ash", "Norway spruce"};
    static const char *const cuts[] = {"through", "step", "hinge"};
    static const char *const crews[] = {"A", "B", "C"};
    static const char *const estimators[] = {"E1", "E2", "E3"};
    ap_prng prng;
    ap_prng more;
    ap_prng_init(&prng, plan->seed, 0);
    ap_prng_init(&more, plan->seed, 1);
    struct {
        double tree;
        size_t kind, in_tree, trees;
        month_tree alike;
    } at[3] = {{0}}; /* the crews work side by side, each on a tree of its own */
    for (size_t i = 0; i < plan->before + plan->picks; i++) {
        char name[24];
        char tree_name[24];
        char job[24];
        bool in_month = i >= plan->before;
        size_t crew = (size_t)ap_prng_below(&prng, 3);
        if (at[crew].in_tree == 0) {
            at[crew].tree = plan->tree_sd * ap_prng_normal(&prng);
            at[crew].kind = (size_t)ap_prng_below(&prng, 6);
            at[crew].in_tree = plan->a_tree;
            at[crew].trees++;
            at[crew].alike = plan->alike > 0 ? month_next_tree(&more, plan->alike) : at[crew].alike;
        }
        at[crew].in_tree--;
        size_t kind = at[crew].kind;
        double tree = at[crew].tree;
        snprintf(name, sizeof name, "J/%zu", i + 1);
        snprintf(tree_name, sizeof tree_name, "%sT%zu", crews[crew], at[crew].trees);
        snprintf(job, sizeof job, "%sJ%zu", crews[crew], (at[crew].trees - 1) / TREES_A_JOB);
        double e = tree + plan->rest_sd * ap_prng_normal(&prng) + (in_month && crew == 0 ? plan->bias : 0);
        ap_date date = in_month ? (ap_date)(MONTH_FIRST + (i - plan->before) * MONTH_DAYS / plan->picks)
                                : (ap_date)(MONTH_FIRST - 1 - (plan->before - 1 - i) * MONTH_DAYS / plan->picks);
        ap_fact *fact = check_roster_add(roster, name, date, exp(e), species[kind], cuts[ap_prng_below(&prng, 3)],
                                         estimators[crew], tree_name);
        ap_fact_set_group(fact, AP_BY_CREW, ap_intern_add(roster->labels[AP_BY_CREW], ap_str_from(crews[crew])));
        ap_fact_set_group(fact, AP_BY_JOB, ap_intern_add(roster->labels[AP_BY_JOB], ap_str_from(job)));
        char setup[8];
        snprintf(setup, sizeof setup, "S%u", (unsigned)ap_prng_below(&prng, 5));
        ap_fact_set_group(fact, AP_BY_SETUP, ap_intern_add(roster->labels[AP_BY_SETUP], ap_str_from(setup)));
        double planned_kg = 50 * floor(exp(6.8 + 0.5 * ap_prng_normal(&prng)) / 50 + 1);
        double measured_kg = 2 * floor(planned_kg * exp(e) / 2 + 0.5);
        bool weighed = plan->a_tree == 1 || ap_prng_uniform(&prng) < 0.9;
        fact->planned_net_kg = planned_kg;
        fact->measured_net_kg = weighed ? measured_kg : NAN;
        fact->hook_kg = weighed ? measured_kg + 62 : NAN;
        fact->log_error = weighed ? log(measured_kg / planned_kg) : NAN;
        fact->compared = weighed ? AP_COMPARED : AP_NOT_WEIGHED;
        fact->marks = weighed && measured_kg == planned_kg ? AP_MARK_REPEATS_PLAN : 0; /* both are whole numbers */
        fact->rest->slings = ap_prng_uniform(&prng) < 0.3 ? AP_SLINGS_EYE : 0;
        fact->rest->lean_deg = (float)(60 * ap_prng_uniform(&prng));
        bool drop = ap_prng_uniform(&prng) < 0.03;
        fact->rest->movement = drop ? AP_MOVE_BIT(AP_MOVEMENT_DROP) : 0;
        fact->kerf = ap_prng_uniform(&prng) < 0.08 ? AP_KERF_CLOSING : AP_KERF_STEADY;
        fact->rest->re_rigs = ap_prng_uniform(&prng) < 0.10;
        fact->near_miss = ap_prng_uniform(&prng) < (drop ? 0.3 : 0.01) ? AP_YESNO_YES : AP_YESNO_NO;
        if (plan->alike > 0) {
            month_make_alike(fact, roster, &at[crew].alike, &more);
        }
    }
}

/* What the detectors make of months: likely findings and what was announced, by detector; those that name estimator E1's row. */
typedef struct month_tally {
    size_t found[AP_DETECT_COUNT];
    double announced[AP_DETECT_COUNT];
    double most;    /* announced of one month together */
    size_t e1_rows; /* months in which E1's row was found */
    double e1_power;
} month_tally;

/* Power by the exact chance of a run (Feller 1968, XIII.7; ap_runs_chance) at the limit that the review took, for the picks that
 * estimator E1 weighed in the month; for independent picks only. */
static inline double month_power(const ap_roster *roster, const month_plan *plan, double limit) {
    size_t weighed = 0;
    double share = NAN;
    double power = NAN;
    ap_error err;
    for (size_t i = plan->before; i < roster->count; i++) {
        ap_str who = ap_roster_label(roster, AP_BY_ESTIMATOR, ap_fact_group(&roster->facts[i], AP_BY_ESTIMATOR));
        weighed += ap_str_equal_word(who, "E1");
    }
    check_ok(ap_runs_share(&share, 1.1, plan->bias, plan->rest_sd, &err), &err);
    check_ok(ap_runs_chance(&power, share, (unsigned)limit, weighed, &err), &err);
    return power;
}

static inline void month_run(month_tally *tally, const month_plan *plan) {
    ap_roster roster;
    ap_arena arena;
    ap_finding_list findings;
    ap_chance chance;
    ap_error err;
    check_roster_init(&roster);
    ap_arena_init(&arena, 64u << 20);
    ap_finding_list_init(&findings, &arena);
    month_add(&roster, plan);
    const ap_detect_given given = {.roster = &roster, .limits = check_limits()};
    check_ok(ap_detect_all(&findings, &chance, &given, MONTH_FIRST, MONTH_LAST, &err), &err);
    bool row = false;
    for (size_t f = 0; f < findings.count; f++) {
        const ap_finding *finding = &findings.items[f];
        bool run = finding->detector == AP_DETECT_HEAVIER_RUN && finding->groups & 1;
        tally->found[finding->detector] += finding->class == AP_FINDING_LIKELY;
        row = row || (run && strstr(finding->scope.ptr, "estimator E1"));
    }
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        tally->announced[d] += chance.line[d].looked ? chance.line[d].expected : 0;
    }
    tally->most = fmax(tally->most, chance.expected);
    tally->e1_rows += row;
    tally->e1_power += plan->a_tree == 1 ? month_power(&roster, plan, chance.line[AP_DETECT_HEAVIER_RUN].limit) : NAN;
    ap_arena_release(&arena);
    ap_roster_release(&roster);
}

#endif
