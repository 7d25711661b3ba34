#include "stats/prng.h"

#include <gsl/gsl_cdf.h>

#include "stats/arl.h"
#include "stats/control.h"
#include "stats/numbers.h"

static ap_error err;

static void published_sequence(void **state) {
    (void)state;
    /* From state {1, 2, 3, 4}: worked through Blackman & Vigna's definition by hand and, the later ones, in exact integer
     * arithmetic by another program. */
    static const uint64_t want[] = {UINT64_C(11520),
                                    UINT64_C(0),
                                    UINT64_C(1509978240),
                                    UINT64_C(1215971899390074240),
                                    UINT64_C(1216172134540287360),
                                    UINT64_C(607988272756665600)};
    ap_prng prng = {{1, 2, 3, 4}};
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        assert_true(ap_prng_next(&prng) == want[i]);
    }
    /* splitmix64 from 1234567: the sequence given with its public-domain reference code (recalled, and recomputed in
     * exact integer arithmetic by another program). */
    static const uint64_t mixed[] = {UINT64_C(6457827717110365317), UINT64_C(3203168211198807973),
                                     UINT64_C(9817491932198370423), UINT64_C(4593380528125082431)};
    ap_prng_init(&prng, 1234567, 0);
    for (size_t i = 0; i < 4; i++) {
        assert_true(prng.state[i] == mixed[i]);
    }
}

static void normal_quantile(void **state) {
    (void)state;
    for (int i = 1; i < 1000; i++) {
        double p = i / 1000.0;
        double want = gsl_cdf_ugaussian_Pinv(p);
        check_close(ap_prng_normal_quantile(p), want, 4e-15 * fmax(1.0, fabs(want)), "GNU Scientific Library");
    }
    /* Wichura 1988 gives these check values. */
    check_close(ap_prng_normal_quantile(0.25), -0.6744897501960817, 2e-16 * 4, "AS 241");
    check_close(ap_prng_normal_quantile(0.001), -3.090232306167814, 2e-15, "AS 241");
    check_close(ap_prng_normal_quantile(1e-20), -9.262340089798408, 1e-14, "AS 241");
}

static void uniform_and_below(void **state) {
    (void)state;
    ap_prng prng, other;
    ap_prng_init(&prng, 7, 1);
    ap_prng_init(&other, 7, 2);
    assert_true(ap_prng_next(&prng) != ap_prng_next(&other));
    enum { N = 60000, CELLS = 6 };
    double count[CELLS] = {0}, sum = 0.0, squares = 0.0;
    for (int i = 0; i < N; i++) {
        count[ap_prng_below(&prng, CELLS)] += 1.0;
        double z = ap_prng_normal(&prng);
        sum += z;
        squares += z * z;
    }
    double chi = 0.0;
    for (int i = 0; i < CELLS; i++) {
        chi += (count[i] - N / (double)CELLS) * (count[i] - N / (double)CELLS) / (N / (double)CELLS);
    }
    assert_true(chi < 20.515); /* chi-square(5), upper .001: NIST e-Handbook 1.3.6.7.4 */
    check_close(sum / N, 0.0, 4.0 / sqrt(N), "mean of a standard normal, four standard errors");
    check_close(squares / N, 1.0, 4.0 * sqrt(2.0 / N), "variance of a standard normal, four standard errors");
    assert_true(ap_prng_below(&prng, 0) == 0 && ap_prng_below(&prng, 1) == 0);
    double deck[52];
    for (int i = 0; i < 52; i++) {
        deck[i] = i;
    }
    ap_prng_shuffle(&prng, deck, 52);
    double total = 0.0;
    for (int i = 0; i < 52; i++) {
        total += deck[i];
    }
    check_close(total, 51.0 * 52.0 / 2.0, 0.0, "a shuffle keeps what it has");
}

/* Two ways to one number: the run length of the clipped CUSUM by cells, and by running it. */
static void clipped_run_length(void **state) {
    (void)state;
    enum { RUNS = 4000 };
    static const double shifts[] = {0.0, 0.93174707849834}; /* none; ln 1.15 / .15 */
    const ap_cusum_rule rule = {0.0, 1.0, 0.5, 4.0, 2.0};
    for (size_t s = 0; s < 2; s++) {
        double want = 0.0, sum = 0.0, squares = 0.0;
        check_ok(ap_cusum_arl(&want, rule.k, rule.h, rule.clip, 0.0, shifts[s], 1.0, &err), &err);
        ap_prng prng;
        ap_prng_init(&prng, 42, s + 1);
        for (int run = 0; run < RUNS; run++) {
            ap_cusum_point point = {0};
            double length = 0.0;
            while (point.plus <= rule.h) {
                check_ok(ap_cusum_step(&point, ap_prng_normal(&prng) + shifts[s], &rule, &err), &err);
                length += 1.0;
            }
            sum += length;
            squares += length * length;
        }
        double mean = sum / RUNS;
        double se = sqrt((squares / RUNS - mean * mean) / RUNS);
        check_close(mean, want, 4.0 * se, "simulation, four standard errors");
        /* The design's own figures, computed apart from this code: 529 and 10.7. */
        check_close(want, s == 0 ? 529.0 : 10.7, s == 0 ? 0.005 * 529.0 : 0.05, "methods, section 4");
    }
}

/* Upper 5 % points of chi-square: NIST e-Handbook 1.3.6.7.4. */
static void chi_square_draws(void **state) {
    (void)state;
    enum { N = 40000 };
    static const double df[] = {1, 5, 40};
    static const double point[] = {3.841, 11.070, 55.758};
    ap_prng prng;
    ap_prng_init(&prng, 8, 0);
    for (size_t d = 0; d < 3; d++) {
        double sum = 0;
        double above = 0;
        for (int i = 0; i < N; i++) {
            double x = ap_prng_chi_square(&prng, df[d]);
            sum += x;
            above += x > point[d];
        }
        check_close(sum / N, df[d], 4 * sqrt(2 * df[d] / N), "mean of chi-square, four standard errors");
        check_close(above / N, 0.05, 4 * sqrt(0.05 * 0.95 / N), "NIST e-Handbook 1.3.6.7.4, four standard errors");
    }
    assert_true(ap_prng_chi_square(&prng, 0) == 0 && ap_prng_gamma(&prng, -1) == 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_sequence), cmocka_unit_test(normal_quantile),    cmocka_unit_test(uniform_and_below),
        cmocka_unit_test(chi_square_draws),   cmocka_unit_test(clipped_run_length),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
