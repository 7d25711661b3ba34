#include "stats/select.h"

#include "stats/concordance.h"
#include "stats/prng.h"
#include "stats/summary.h"
#include "support/check.h"

/* Expected values: the C library's sort, and counting pair by pair. */

static ap_error err;

enum { MOST = 5000, SHAPES = 9 };

static int ascending(const void *left, const void *right) {
    double a = *(const double *)left;
    double b = *(const double *)right;
    return (a > b) - (a < b);
}

/* Even, few different, all equal, rising, falling, rising then falling, sawtooth, one wild, heavy tails. */
static void fill(double *x, size_t n, int shape, ap_prng *prng) {
    for (size_t i = 0; i < n; i++) {
        double at = (double)i;
        const double by_shape[SHAPES] = {
            ap_prng_uniform(prng),
            (double)ap_prng_below(prng, 3),
            7.5,
            at,
            -at,
            i < n / 2 ? at : (double)(n - i),
            (double)(i % 17),
            i == n / 3 ? 1e300 : -at / 3,
            1 / (ap_prng_uniform(prng) - 0.5),
        };
        x[i] = by_shape[shape];
    }
}

static void check_selected(const double *x, const double *sorted, size_t n, size_t k) {
    assert_true(x[k] == sorted[k]);
    for (size_t i = 0; i < n; i++) {
        assert_true(i < k ? x[i] <= x[k] : x[i] >= x[k]);
    }
}

static void selects_as_sorting_does(void **state) {
    (void)state;
    static const size_t sizes[] = {1, 2, 3, 4, 5, 20, 599, 600, 601, 602, 1999, MOST};
    static double given[MOST], sorted[MOST], x[MOST];
    ap_prng prng;
    ap_prng_init(&prng, 20, 1);
    for (size_t s = 0; s < sizeof sizes / sizeof *sizes; s++) {
        size_t n = sizes[s];
        for (int shape = 0; shape < SHAPES; shape++) {
            fill(given, n, shape, &prng);
            memcpy(sorted, given, n * sizeof *given);
            qsort(sorted, n, sizeof *sorted, ascending);
            const size_t places[] = {0, n / 10, n / 2, n - 1, ap_prng_below(&prng, n)};
            for (size_t p = 0; p < 5; p++) {
                memcpy(x, given, n * sizeof *x);
                assert_true(ap_select(x, n, places[p]) == sorted[places[p]]);
                check_selected(x, sorted, n, places[p]);
                /* No effort left, at once or on the way: the rest is sorted. */
                memcpy(x, given, n * sizeof *x);
                assert_true(ap_select_within(x, n, places[p], p % 2 ? n + n / 3 : 0) == sorted[places[p]]);
                check_selected(x, sorted, n, places[p]);
            }
            qsort(x, n, sizeof *x, ascending);
            assert_memory_equal(x, sorted, n * sizeof *x); /* nothing lost, nothing twice */
            memcpy(x, given, n * sizeof *x);
            double middle = n % 2 ? sorted[n / 2] : sorted[n / 2 - 1] + (sorted[n / 2] - sorted[n / 2 - 1]) / 2;
            assert_true(ap_select_median(x, n) == middle);
            double rank = 1 + (double)(n - 1) * 0.37;
            size_t low = (size_t)rank;
            double between =
                low < n ? sorted[low - 1] + (rank - (double)low) * (sorted[low] - sorted[low - 1]) : sorted[n - 1];
            assert_true(ap_select_rank(x, n, rank) == between);
            assert_true(ap_select_rank(x, n, (double)n) == sorted[n - 1]);
            assert_true(ap_select_rank(x, n, 1) == sorted[0]);
        }
    }
}

static int64_t count_pairs(const double *t, const double *x, size_t n) {
    int64_t s = 0;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = i + 1; j < n; j++) {
            int later = t ? (t[j] > t[i]) - (t[j] < t[i]) : 1;
            s += later * ((x[j] > x[i]) - (x[j] < x[i]));
        }
    }
    return s;
}

static void counts_pairs(void **state) {
    (void)state;
    static double t[MOST], x[MOST];
    ap_prng prng;
    ap_prng_init(&prng, 20, 2);
    for (size_t n = 0; n < 120; n += 1 + n / 4) {
        for (int shape = 0; shape < SHAPES; shape++) {
            for (int times = 0; times < SHAPES; times++) {
                int64_t got = 0;
                fill(x, n, shape, &prng);
                fill(t, n, times, &prng);
                check_ok(ap_concordance(&got, t, x, n, &err), &err);
                assert_true(got == count_pairs(t, x, n));
                check_ok(ap_concordance(&got, NULL, x, n, &err), &err);
                assert_true(got == count_pairs(NULL, x, n));
            }
        }
    }
}

/* Moments of blocks and one by one, against two passes in long double; values far from 0 against their spread. */
static void moments_of_blocks(void **state) {
    (void)state;
    static double x[MOST];
    ap_prng prng;
    ap_prng_init(&prng, 20, 3);
    for (size_t n = 2; n <= MOST; n = n * 3 / 2 + 1) {
        long double sum = 0, square = 0;
        for (size_t i = 0; i < n; i++) {
            x[i] = 1e6 + ap_prng_normal(&prng);
            sum += x[i];
        }
        for (size_t i = 0; i < n; i++) {
            square += (x[i] - sum / n) * (x[i] - sum / n);
        }
        ap_moments all, each;
        double mean, sd, sd_each;
        ap_moments_clear(&all);
        ap_moments_clear(&each);
        check_ok(ap_moments_add_all(&all, x, n / 3, &err), &err);
        check_ok(ap_moments_add_all(&all, x + n / 3, n - n / 3, &err), &err);
        for (size_t i = 0; i < n; i++) {
            check_ok(ap_moments_add(&each, x[i], &err), &err);
        }
        check_ok(ap_moments_mean(&mean, &all, &err), &err);
        check_ok(ap_moments_sd(&sd, &all, &err), &err);
        check_ok(ap_moments_sd(&sd_each, &each, &err), &err);
        assert_true(all.n == n && all.min == each.min && all.max == each.max);
        check_close(mean, (double)(sum / n), 2e-10, "two passes in long double: an ulp of 1e6");
        check_close(sd, (double)sqrtl(square / (n - 1)), 1e-14, "two passes in long double");
        check_close(sd_each, sd, 1e-14, "one by one");
    }
    ap_moments bad;
    ap_moments_clear(&bad);
    x[300] = NAN;
    check_refused(ap_moments_add_all(&bad, x, 400, &err), AP_E_DOMAIN, &err, "not a finite number");
}

/* The numbers of the clusters and the order of the values do not matter. */
static void clusters_by_any_number(void **state) {
    (void)state;
    enum { COUNT = 700 };
    static double x[COUNT], turned[COUNT];
    static uint32_t near[COUNT], far[COUNT];
    ap_prng prng;
    ap_prng_init(&prng, 20, 4);
    for (size_t i = 0; i < COUNT; i++) {
        x[i] = ap_prng_normal(&prng);
        near[i] = 40 + (uint32_t)ap_prng_below(&prng, 90);
        turned[COUNT - 1 - i] = x[i];
        far[COUNT - 1 - i] = near[i] * UINT32_C(48271) * 999;
    }
    ap_cluster_mean one, other;
    check_ok(ap_stats_cluster_mean(&one, x, near, COUNT, 0.9, &err), &err);
    check_ok(ap_stats_cluster_mean(&other, turned, far, COUNT, 0.9, &err), &err);
    assert_true(one.clusters == other.clusters && one.clusters <= 90);
    check_close(other.mean, one.mean, 1e-15, "the same clusters");
    check_close(other.sd, one.sd, 1e-15, "the same clusters");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(selects_as_sorting_does),
        cmocka_unit_test(counts_pairs),
        cmocka_unit_test(moments_of_blocks),
        cmocka_unit_test(clusters_by_any_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
