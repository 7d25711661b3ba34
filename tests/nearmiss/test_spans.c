/* The scan of rows and sums against published run lengths and against the plain schemes of stats/control.h.
 *
 * A run length by Monte Carlo: the shipped scan reads growing stretches of independent normal values of one group; the first length at
 * which it reports anything is the alarm. The mean has to lie within 3.3 of its own standard errors of the published value. */
#include "support/check.h"

#include "nearmiss/chance.h"
#include "stats/control.h"
#include "stats/prng.h"
#include "support/limits.h"

enum { LONGEST = 6000 };

/* One group, picks 0.. in order. */
typedef struct line {
    ap_looks looks;
    float z[LONGEST];
    uint8_t heavy[LONGEST];
    uint32_t order[LONGEST];
    uint32_t start[4];
} line;

static line *line_new(void) {
    line *it = calloc(1, sizeof *it);
    assert_non_null(it);
    for (uint32_t i = 0; i < LONGEST; i++) {
        it->order[i] = i;
    }
    it->looks = (ap_looks){.z = it->z, .heavy = it->heavy};
    it->looks.order[0] = it->order;
    it->looks.start[0] = it->start;
    it->looks.slots[0] = 2;
    return it;
}

static bool fires_within(line *it, size_t count, const ap_span_rule *rule) {
    const ap_span_values values = {.z = it->z, .heavy = it->heavy};
    ap_span_list spans = {0};
    ap_error err;
    it->looks.count = count;
    it->start[1] = 0;
    it->start[2] = (uint32_t)count;
    check_ok(ap_spans_find(&spans, &it->looks, &values, rule, &err), &err);
    bool fires = spans.count > 0;
    ap_spans_release(&spans);
    return fires;
}

/* Once a stretch fires, every longer one does. */
static size_t first_alarm(line *it, const ap_span_rule *rule) {
    if (!fires_within(it, LONGEST, rule)) {
        return LONGEST;
    }
    size_t low = 0;
    size_t high = LONGEST;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (fires_within(it, middle, rule)) {
            high = middle;
        } else {
            low = middle;
        }
    }
    return high;
}

/* `icc`: the share of the variance that lies between trees of eight picks. */
static void expect_arl_of_trees(const ap_span_rule *rule, double shift, double sd, double heavy_limit, double icc,
                                double published, const char *source) {
    enum { RUNS = 1500, A_TREE = 8 };
    line *it = line_new();
    double sum = 0;
    double squares = 0;
    for (size_t run = 0; run < RUNS; run++) {
        ap_prng prng;
        ap_prng_init(&prng, 20261126, run);
        double tree = 0;
        for (size_t i = 0; i < LONGEST; i++) {
            tree = i % A_TREE ? tree : icc > 0 ? sqrt(icc) * ap_prng_normal(&prng) : 0;
            double z = shift + sd * (tree + sqrt(1 - icc) * ap_prng_normal(&prng));
            it->z[i] = (float)z;
            it->heavy[i] = z > heavy_limit;
        }
        double length = (double)first_alarm(it, rule);
        sum += length / RUNS;
        squares += length * length / RUNS;
    }
    double error = sqrt((squares - sum * sum) / RUNS);
    print_message("%s: %.1f published, %.1f +- %.1f here\n", source, published, sum, error);
    check_close(sum, published, 3.3 * error, source);
    free(it);
}

static void expect_arl(const ap_span_rule *rule, double shift, double sd, double heavy_limit, double published,
                       const char *source) {
    expect_arl_of_trees(rule, shift, sd, heavy_limit, 0, published, source);
}

static void rows_have_the_published_run_lengths(void **state) {
    (void)state;
    ap_span_rule rule = ap_span_rule_of(AP_SPAN_RUN, check_limits());
    check_close(rule.least, 4, 0, "the shipped limit");
    expect_arl(&rule, 0, 0.15, log(1.1), 283.889, "run_rule_exact.csv sd .15, four, bias 0");
    expect_arl(&rule, 0.10, 0.15, log(1.1), 27.6876, "run_rule_exact.csv sd .15, four, bias .10");
    rule.least = 3;
    expect_arl(&rule, 0, 0.15, log(1.1), 73.5445, "run_rule_exact.csv sd .15, three, bias 0");
    rule.least = 5;
    expect_arl(&rule, 0.15, 0.15, log(1.1), 22.7787, "run_rule_exact.csv sd .15, five, bias .15");
}

static void the_drift_sum_has_the_published_run_lengths(void **state) {
    (void)state;
    ap_span_rule rule = ap_span_rule_of(AP_SPAN_DRIFT, check_limits());
    check_close(rule.clip, 2, 0, "the shipped limit");
    expect_arl(&rule, 0, 1, 9, 529, "methods.md section 4: clipped one-sided CUSUM, k .5, h 4");
    expect_arl(&rule, log(1.15) / 0.15, 1, 9, 10.7, "methods.md section 4: +15 % at sd .15");
    rule.clip = 1e6;
    expect_arl(&rule, 0, 1, 9, 335.36757762724, "arl_cusum_k0.5.csv one-sided h 4, shift 0");
    expect_arl(&rule, 0.5, 1, 9, 26.67916243434, "arl_cusum_k0.5.csv one-sided h 4, shift .5");
    expect_arl(&rule, 1, 1, 9, 8.38320212975, "arl_cusum_k0.5.csv one-sided h 4, shift 1");
    rule.least = 3;
    expect_arl(&rule, 0, 1, 9, 117.59, "Brook & Evans 1972, one-sided k .5 h 3, as quoted with arl_cusum_k0.5.csv");
}

/* .047 of 20 picks after 20 earlier ones (methods.md section 4); the binomial error of 4000 lines is .0033. */
static void picks_of_one_tree_shorten_them_as_published(void **state) {
    (void)state;
    ap_span_rule run = ap_span_rule_of(AP_SPAN_RUN, check_limits());
    ap_span_rule drift = ap_span_rule_of(AP_SPAN_DRIFT, check_limits());
    expect_arl_of_trees(&run, 0, 0.15, log(1.1), 0.2, 125,
                        "methods.md section 4: four in a row, 8 picks a tree, icc .2");
    expect_arl_of_trees(&drift, 0, 1, 9, 0.2, 130, "methods.md section 4: clipped CUSUM, 8 picks a tree, icc .2");
}

static void the_own_change_fires_as_seldom_as_published(void **state) {
    (void)state;
    enum { LINES = 4000 };
    const ap_span_rule rule = ap_span_rule_of(AP_SPAN_CHANGE, check_limits());
    line *it = line_new();
    size_t fired = 0;
    for (size_t run = 0; run < LINES; run++) {
        ap_prng prng;
        ap_prng_init(&prng, 20261127, run);
        for (size_t i = 0; i < 40; i++) {
            it->z[i] = (float)ap_prng_normal(&prng);
        }
        fired += fires_within(it, 40, &rule);
    }
    double share = (double)fired / LINES;
    print_message("own change: .047 published, %.4f +- .0033 here\n", share);
    check_close(share, 0.047, 3.3 * 0.0033, "methods.md section 4: .047 in 20");
    free(it);
}

/* The sum against the plain clipped scheme: the alarm comes at the same value. */
static void the_drift_sum_is_the_plain_scheme(void **state) {
    (void)state;
    const ap_span_rule rule = ap_span_rule_of(AP_SPAN_DRIFT, check_limits());
    const ap_cusum_rule plain = {.sd = 1, .k = rule.k, .h = rule.least, .clip = rule.clip};
    line *it = line_new();
    ap_error err;
    for (size_t run = 0; run < 50; run++) {
        ap_prng prng;
        ap_prng_init(&prng, 7, run);
        ap_cusum_point point = {0};
        size_t alarm = LONGEST;
        for (size_t i = 0; i < LONGEST; i++) {
            it->z[i] = (float)(0.3 + ap_prng_normal(&prng));
            check_ok(ap_cusum_step(&point, (double)it->z[i], &plain, &err), &err);
            alarm = alarm == LONGEST && point.side == 1 ? i + 1 : alarm;
        }
        assert_int_equal(first_alarm(it, &rule), alarm);
    }
    free(it);
}

/* Wallace's score against the exact one of stats/control.h, on values with a jump: the sums cross within a pick of each other. */
static void the_own_change_follows_the_exact_scores(void **state) {
    (void)state;
    const ap_span_rule rule = ap_span_rule_of(AP_SPAN_CHANGE, check_limits());
    line *it = line_new();
    double x[120];
    double score[120];
    ap_error err;
    for (size_t run = 0; run < 100; run++) {
        ap_prng prng;
        ap_prng_init(&prng, 9, run);
        for (size_t i = 0; i < 120; i++) {
            x[i] = ap_prng_normal(&prng) + (i < 60 ? 0 : 1.5);
            it->z[i] = (float)x[i];
            x[i] = (double)it->z[i];
        }
        check_ok(ap_cusum_self_start(score, x, 120, &err), &err);
        double sum = 0;
        size_t alarm = 120;
        for (size_t i = (size_t)rule.earlier; i < 120; i++) {
            sum = fmax(0, sum + score[i] - rule.k);
            alarm = alarm == 120 && sum > rule.least ? i + 1 : alarm;
        }
        size_t got = 120;
        for (size_t n = 120; n > rule.earlier && fires_within(it, n, &rule); n--) {
            got = n;
        }
        assert_true(got <= alarm + 1 && alarm <= got + 1);
    }
    free(it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_have_the_published_run_lengths),
        cmocka_unit_test(the_drift_sum_has_the_published_run_lengths),
        cmocka_unit_test(picks_of_one_tree_shorten_them_as_published),
        cmocka_unit_test(the_own_change_fires_as_seldom_as_published),
        cmocka_unit_test(the_drift_sum_is_the_plain_scheme),
        cmocka_unit_test(the_own_change_follows_the_exact_scores),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
