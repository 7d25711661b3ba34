/* Whether the likely findings announce honestly what chance makes of them: calibrate MONTHS DESIGN SEED...
 * From each SEED a batch of MONTHS invented months without a pattern, in seven designs (DESIGN 0: all): found against announced, with
 * Garwood's 99 % interval of the count (Garwood 1936), both sides, for each batch and for all. Then months in which one estimator's
 * plans run light (designs 8 and 9): the share found against the computed power, with Clopper & Pearson's 99 % interval. */
#include "nearmiss/months.h"
#include "stats/rates.h"

typedef struct design {
    const char *words;
    month_plan plan;
} design;

static const design designs[] = {
    {"110 picks after 300, trees of 7", {.before = 300, .picks = 110, .tree_sd = 0.08, .rest_sd = 0.13, .a_tree = 7}},
    {"a small book: 50 picks after 60, trees of 5",
     {.before = 60, .picks = 50, .tree_sd = 0.10, .rest_sd = 0.10, .a_tree = 5}},
    {"a long past: 110 picks after 1,800, trees of 7",
     {.before = 1800, .picks = 110, .tree_sd = 0.08, .rest_sd = 0.13, .a_tree = 7}},
    {"alike within trees: 110 picks after 300, trees of 12",
     {.before = 300, .picks = 110, .tree_sd = 0.12, .rest_sd = 0.10, .a_tree = 12}},
    {"every pick a tree of its own: 110 picks after 300", {.before = 300, .picks = 110, .rest_sd = 0.15, .a_tree = 1}},
    {"as 1, kerfs and hooks back alike within a tree (.3)",
     {.before = 300, .picks = 110, .tree_sd = 0.08, .rest_sd = 0.13, .a_tree = 7, .alike = 0.3}},
    {"a small book, trees of 10, kerfs and hooks back much alike (.6)",
     {.before = 60, .picks = 80, .tree_sd = 0.10, .rest_sd = 0.10, .a_tree = 10, .alike = 0.6}},
};
enum { DESIGNS = sizeof designs / sizeof designs[0] };

static bool told(const char *what, size_t found, double announced) {
    ap_interval interval;
    ap_error err;
    check_ok(ap_rate_interval(&interval, found, 0.99, &err), &err);
    bool inside = announced >= interval.low && announced <= interval.high;
    printf("  %-16s %5zu found %8.2f announced, 99 %% interval of the count %7.1f to %7.1f%s\n", what, found, announced,
           interval.low, interval.high, inside ? "" : "  OUTSIDE");
    return inside;
}

static void add(month_tally *all, const month_tally *one) {
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        all->found[d] += one->found[d];
        all->announced[d] += one->announced[d];
    }
    all->most = fmax(all->most, one->most);
}

static bool told_together(const char *what, const month_tally *tally) {
    size_t found = 0;
    double announced = 0;
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        found += tally->found[d];
        announced += tally->announced[d];
    }
    return told(what, found, announced);
}

static bool told_by_detector(const month_tally *tally) {
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        if (tally->announced[d] > 0) {
            told(ap_detector_name((ap_detector_id)d), tally->found[d], tally->announced[d]);
        }
    }
    return told_together("together", tally);
}

/* The seed of a month: no two of a call are the same while the seeds given are 10,000 apart. */
static uint64_t seed_of(uint64_t seed, size_t number, size_t month) {
    return seed + (uint64_t)number * UINT64_C(1000000000000) + month;
}

static bool pattern_free(size_t number, const uint64_t *seeds, size_t batches, size_t months) {
    const design *of = &designs[number - 1];
    bool fine = true;
    month_tally all = {.most = 0};
    printf("%zu. %s\n", number, of->words);
    for (size_t b = 0; b < batches; b++) {
        month_tally batch = {.most = 0};
        char what[32];
        for (size_t m = 0; m < months; m++) {
            month_plan plan = of->plan;
            plan.seed = seed_of(seeds[b], number, m);
            month_run(&batch, &plan);
        }
        snprintf(what, sizeof what, "seed %llu", (unsigned long long)seeds[b]);
        fine = told_together(what, &batch) && fine;
        add(&all, &batch);
        fflush(stdout);
    }
    fine = told_by_detector(&all) && fine;
    printf("  the most that one month announced: %.2f\n", all.most);
    return fine && all.most <= check_limits()->expected_most;
}

static bool planted(size_t number, const uint64_t *seeds, size_t batches, size_t months, double bias) {
    month_tally tally = {.most = 0};
    for (size_t b = 0; b < batches; b++) {
        for (size_t m = 0; m < months; m++) {
            const month_plan plan = {.seed = seed_of(seeds[b], number, m),
                                     .before = 300,
                                     .picks = 110,
                                     .rest_sd = 0.13,
                                     .bias = bias,
                                     .a_tree = 1};
            month_run(&tally, &plan);
        }
    }
    size_t all = batches * months;
    double power = tally.e1_power / (double)all;
    ap_interval interval;
    ap_error err;
    check_ok(ap_share_interval(&interval, tally.e1_rows, all, 0.99, &err), &err);
    bool inside = power >= interval.low && power <= interval.high;
    printf("%zu. plans of one estimator %.0f %% light, every pick a tree of its own\n"
           "  found in %zu of %zu months, computed power %.3f, 99 %% interval of the share %.3f to %.3f%s\n",
           number, 100 * expm1(bias), tally.e1_rows, all, power, interval.low, interval.high,
           inside ? "" : "  OUTSIDE");
    return inside;
}

int main(int argc, char **argv) {
    enum { SEEDS_MOST = 100, FIRST_SEED = 3 };
    uint64_t seeds[SEEDS_MOST];
    size_t batches = 0;
    if (argc <= FIRST_SEED || argc > FIRST_SEED + SEEDS_MOST) {
        fputs("use: calibrate MONTHS DESIGN SEED...   (DESIGN 1 to 9, 0: all; at most 100 seeds)\n", stderr);
        return 2;
    }
    size_t months = strtoull(argv[1], NULL, 10);
    size_t only = strtoull(argv[2], NULL, 10);
    for (int i = FIRST_SEED; i < argc; i++) {
        seeds[batches++] = strtoull(argv[i], NULL, 10);
    }
    bool fine = true;
    for (size_t d = 1; d <= DESIGNS; d++) {
        fine = (only && only != d) || pattern_free(d, seeds, batches, months) ? fine : false;
    }
    static const double light[] = {0.12, 0.16};
    for (size_t p = 0; p < 2; p++) {
        size_t number = DESIGNS + 1 + p;
        fine = (only && only != number) || planted(number, seeds, batches, months, light[p]) ? fine : false;
    }
    return fine ? 0 : 1;
}
