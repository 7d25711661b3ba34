#include <gsl/gsl_cdf.h>

#include "stats/rates.h"
#include "stats/shuffle.h"

#include "stats/numbers.h"

enum { STEPS = 2000000, MOST = 2000 };

static ap_error err;

/* Fisher's tea: four cups of eight, three of them right (The Design of Experiments 1935, section 5 onward: 17 of 70 divisions as good). */
static void clusters_of_one_case_are_fishers_test(void **state) {
    (void)state;
    ap_cluster cups[8] = {{1, 1}, {1, 1}, {1, 1}, {1, 0}, {1, 1}, {1, 0}, {1, 0}, {1, 0}};
    ap_clusters all;
    ap_clusters_start(&all, cups, 8);
    assert_int_equal((int)all.events, 4);
    ap_shuffled got = ap_clusters_test(&all, 4, 4, 3, STEPS);
    check_close(got.p, 17.0 / 70, 4 * got.error, "Fisher 1935, 1 + 16 of 70 divisions");
    got = ap_clusters_test(&all, 4, 4, 4, STEPS);
    check_close(got.p, 1.0 / 70, 4 * got.error, "Fisher 1935, 1 of 70 divisions");
    assert_true(got.error < 0.11 * got.p);
}

static bool distance_of(double *distance, uint32_t *n, uint32_t *k, const ap_cluster trees[9], int chosen) {
    int count = 0;
    for (int t = 0; t < 9; t++) {
        bool in = chosen >> t & 1;
        count += in;
        *n += in ? trees[t].of : 0;
        *k += in ? trees[t].events : 0;
    }
    const double of = 55; /* of all nine, */
    const double events = 10;
    *distance = (*k * of - *n * events) / sqrt(*n * (of - *n));
    return count == 3;
}

/* Every choice of three clusters of nine, one by one: the definition of H1 and H2. */
static void few_clusters_agree_with_every_division(void **state) {
    (void)state;
    static const ap_cluster trees[9] = {{7, 5}, {6, 1}, {5, 0}, {8, 0}, {4, 1}, {9, 2}, {3, 0}, {6, 0}, {7, 1}};
    for (int chosen = 0; chosen < 512; chosen++) {
        double seen = NAN;
        uint32_t of_chosen = 0;
        uint32_t events_chosen = 0;
        int as_far = 0;
        int divisions = 0;
        if (!distance_of(&seen, &of_chosen, &events_chosen, trees, chosen)) {
            continue;
        }
        for (int other = 0; other < 512; other++) {
            double distance = NAN;
            uint32_t n = 0;
            uint32_t k = 0;
            bool three = distance_of(&distance, &n, &k, trees, other);
            divisions += three;
            as_far += three && distance >= seen - 1e-9;
        }
        assert_int_equal(divisions, 84);
        ap_cluster copy[9];
        memcpy(copy, trees, sizeof copy);
        ap_clusters all;
        ap_clusters_start(&all, copy, 9);
        ap_shuffled got = ap_clusters_test(&all, 3, of_chosen, events_chosen, STEPS);
        check_close(got.p, as_far / 84.0, 4.5 * got.error + 1e-5, "all 84 divisions counted");
    }
}

/* The worst of 50 trees is the worst of 50: one tree is no evidence about a rate elsewhere. Fisher's test says 1 in millions. */
static void one_cluster_is_never_less_than_one_in_all(void **state) {
    (void)state;
    ap_cluster trees[50];
    for (int t = 0; t < 50; t++) {
        trees[t] = (ap_cluster){7, t == 0 ? 7u : t % 10 == 0 ? 1u : 0u};
    }
    ap_clusters all;
    ap_clusters_start(&all, trees, 50);
    ap_shuffled got = ap_clusters_test(&all, 1, 7, 7, STEPS);
    check_close(got.p, 1.0 / 50, 4 * got.error, "by definition");
    assert_true(ap_hypergeometric_more(7, 7, 350, 11) < 1e-6);
    /* Every tree inside but one: what is outside is dealt out. */
    got = ap_clusters_test(&all, 49, 343, 4, STEPS);
    assert_true(got.p > 0.9);
    /* Nothing can be paid for: no evidence. */
    got = ap_clusters_test(&all, 10, 70, 11, 5);
    assert_true(got.p >= 1);
    assert_int_equal((int)got.dealings, 0);
}

/* Beta-binomial trees: a share of mean .1 that differs from tree to tree, so that two picks of one correlate by .3. */
static void draw_trees(ap_cluster *trees, size_t count, ap_prng *prng) {
    const double both = 1 / 0.3 - 1;
    for (size_t t = 0; t < count; t++) {
        double yes = ap_prng_gamma(prng, 0.1 * both);
        double no = ap_prng_gamma(prng, 0.9 * both);
        trees[t] = (ap_cluster){4 + (uint32_t)ap_prng_below(prng, 9), 0};
        for (uint32_t i = 0; i < trees[t].of; i++) {
            trees[t].events += ap_prng_uniform(prng) * (yes + no) < yes;
        }
    }
}

/* If nothing is wrong, p <= .05 in at most .05 of cases (Fisher 1935: what a p is). Taken as independent, much more often: the variance of
 * a share is 1 + (8 - 1) .3 = 3.1 times larger (Kish 1965, 5.4, from memory). */
static void alike_picks_make_no_more_false_alarms(void **state) {
    (void)state;
    enum { TURNS = 1500, TREES = 60, INSIDE = 6 };
    ap_prng prng;
    ap_prng_init(&prng, 20261126, 0);
    size_t found = 0;
    size_t by_picks = 0;
    for (int turn = 0; turn < TURNS; turn++) {
        ap_cluster trees[TREES];
        draw_trees(trees, TREES, &prng);
        uint64_t of = 0;
        uint64_t events = 0;
        for (int t = 0; t < INSIDE; t++) {
            of += trees[t].of;
            events += trees[t].events;
        }
        ap_clusters all;
        ap_clusters_start(&all, trees, TREES);
        by_picks += ap_hypergeometric_more(events, of, all.of, all.events) <= 0.05;
        found += ap_clusters_test(&all, INSIDE, of, events, 20000).p <= 0.05;
    }
    ap_interval interval;
    check_ok(ap_share_interval(&interval, found, TURNS, 0.99, &err), &err);
    print_message("p <= .05 in %zu of %d cases without a difference, by picks in %zu\n", found, TURNS, by_picks);
    assert_true(interval.low <= 0.05);
    assert_true(interval.high >= 0.03); /* nor is it deaf: counts are whole numbers, so less than .05 is reached */
    assert_true((double)by_picks > 0.12 * TURNS);
}

/* H4: with many clusters inside the normal law and dealings agree. */
static void many_clusters_are_normal(void **state) {
    (void)state;
    enum { INSIDE = 500 };
    static ap_cluster trees[MOST];
    ap_prng prng;
    ap_prng_init(&prng, 7, 0);
    draw_trees(trees, MOST, &prng);
    uint64_t of = 0;
    uint64_t events = 0;
    for (int t = 0; t < INSIDE; t++) {
        trees[t].events += trees[t].events < trees[t].of && t % 10 == 0;
        of += trees[t].of;
        events += trees[t].events;
    }
    ap_clusters all;
    ap_clusters_start(&all, trees, MOST);
    ap_shuffled normal = ap_clusters_test(&all, INSIDE, of, events, INSIDE * 100);
    assert_int_equal((int)normal.dealings, 0);
    ap_shuffled dealt = ap_clusters_test(&all, INSIDE, of, events, INSIDE * 20000);
    print_message("normal %.4f, dealt out %.4f (%.4f)\n", normal.p, dealt.p, dealt.error);
    assert_true(dealt.dealings >= 2000 && dealt.p > 0.001 && dealt.p < 0.2);
    check_close(normal.p / dealt.p, 1, 0.1 + 4 * dealt.error / dealt.p, "first term of the expansion for such draws");
}

/* One case a cluster: the level that Fisher's test reaches, which is known exactly. */
static void what_is_reached_is_what_whole_numbers_reach(void **state) {
    (void)state;
    static const struct {
        size_t all, hits, inside;
        double level;
    } cases[] = {{60, 6, 12, 0.05}, {100, 12, 20, 0.01}, {300, 20, 37, 0.02}};
    for (size_t c = 0; c < sizeof cases / sizeof cases[0]; c++) {
        ap_cluster ones[300];
        for (size_t i = 0; i < cases[c].all; i++) {
            ones[i] = (ap_cluster){1, i < cases[c].hits};
        }
        ap_clusters all;
        ap_clusters_start(&all, ones, cases[c].all);
        uint64_t least = ap_hypergeometric_least(cases[c].level, cases[c].inside, cases[c].all, cases[c].hits);
        double exact = ap_hypergeometric_more(least, cases[c].inside, cases[c].all, cases[c].hits);
        double reached = 0;
        check_ok(ap_clusters_reach(&reached, &all, cases[c].inside, cases[c].level, 1, STEPS, &err), &err);
        double dealings = 50 / cases[c].level;
        print_message("reached %.4f, exactly %.4f\n", reached, exact);
        check_close(reached, exact, 4 * sqrt(exact / dealings), "Fisher's test, the tail of whole numbers");
        /* Too few steps to say. */
        check_ok(ap_clusters_reach(&reached, &all, cases[c].inside, cases[c].level, 1, 1000, &err), &err);
        check_close(reached, -1, 0, "refused");
    }
}

/* Every tree all or nothing: the trees alone count. d = 5 T / (T - 1), so n* = (T - 1) (t(5 T - 1) / t(T - 1))^2; t by printed tables:
 * t.95 of 99 is 1.6604, of 19 is 1.7291 (NIST/SEMATECH e-Handbook 1.3.6.7.2). */
static void alike_cases_count_as_their_clusters(void **state) {
    (void)state;
    ap_cluster trees[20];
    for (int t = 0; t < 20; t++) {
        trees[t] = (ap_cluster){5, t < 8 ? 5 : 0};
    }
    ap_interval got;
    check_ok(ap_share_interval_clustered(&got, trees, 20, 0.90, &err), &err);
    double cases = 19 * pow(1.6604 / 1.7291, 2);
    check_close(gsl_cdf_beta_P(got.low, 0.4 * cases, 0.6 * cases + 1), 0.05, 2e-4, "Clopper & Pearson 1934 on n*");
    check_close(gsl_cdf_beta_Q(got.high, 0.4 * cases + 1, 0.6 * cases), 0.05, 2e-4, "Clopper & Pearson 1934 on n*");
    /* None at all: as many cases as trees. 1 - .05^(1/20) = .139 (Clopper & Pearson 1934, by hand). */
    for (int t = 0; t < 20; t++) {
        trees[t].events = 0;
    }
    check_ok(ap_share_interval_clustered(&got, trees, 20, 0.90, &err), &err);
    check_close(got.low, 0, 0, "none");
    check_close(got.high, 1 - pow(0.05, 1 / 20.0), 1e-9, "Clopper & Pearson 1934");
    check_refused(ap_share_interval_clustered(&got, trees, 1, 0.90, &err), AP_E_DOMAIN, &err, "two of them");
    trees[3].events = 6;
    check_refused(ap_share_interval_clustered(&got, trees, 20, 0.90, &err), AP_E_DOMAIN, &err, "hits");
}

/* A month of 18 trees, picks of one alike (.3): an interval of 90 % should hold the true share in 90 of 100 months; that for independent
 * picks holds it less often, for its variance is 1 + 7 * .3 times too small (Kish 1965, 5.4, from memory). */
static void the_interval_holds_what_it_says(void **state) {
    (void)state;
    enum { TURNS = 4000, TREES = 18 };
    ap_prng prng;
    ap_prng_init(&prng, 4711, 0);
    size_t held = 0;
    size_t held_by_picks = 0;
    for (int turn = 0; turn < TURNS; turn++) {
        ap_cluster trees[TREES];
        uint64_t of = 0;
        uint64_t events = 0;
        draw_trees(trees, TREES, &prng);
        for (int t = 0; t < TREES; t++) {
            of += trees[t].of;
            events += trees[t].events;
        }
        ap_interval got;
        check_ok(ap_share_interval_clustered(&got, trees, TREES, 0.90, &err), &err);
        held += got.low <= 0.1 && got.high >= 0.1;
        check_ok(ap_share_interval(&got, events, of, 0.90, &err), &err);
        held_by_picks += got.low <= 0.1 && got.high >= 0.1;
    }
    print_message("90 %% intervals that hold the share: %zu of %d over trees, %zu over picks\n", held, TURNS,
                  held_by_picks);
    ap_interval interval;
    check_ok(ap_share_interval(&interval, held, TURNS, 0.99, &err), &err);
    assert_true(interval.high >= 0.90);
    assert_true((double)held_by_picks < 0.85 * TURNS);
}

static void the_same_clusters_draw_the_same_numbers(void **state) {
    (void)state;
    double p[2];
    for (int turn = 0; turn < 2; turn++) {
        ap_cluster trees[60];
        ap_prng prng;
        ap_prng_init(&prng, 3, 0);
        draw_trees(trees, 60, &prng);
        ap_clusters all;
        ap_clusters_start(&all, trees, 60);
        p[turn] = ap_clusters_test(&all, 5, 40, 9, STEPS).p;
    }
    check_close(p[0], p[1], 0, "H5");
    assert_true(p[0] > 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(clusters_of_one_case_are_fishers_test),
        cmocka_unit_test(few_clusters_agree_with_every_division),
        cmocka_unit_test(one_cluster_is_never_less_than_one_in_all),
        cmocka_unit_test(alike_picks_make_no_more_false_alarms),
        cmocka_unit_test(many_clusters_are_normal),
        cmocka_unit_test(what_is_reached_is_what_whole_numbers_reach),
        cmocka_unit_test(alike_cases_count_as_their_clusters),
        cmocka_unit_test(the_interval_holds_what_it_says),
        cmocka_unit_test(the_same_clusters_draw_the_same_numbers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
