#include "support/check.h"

#include "stats/rates.h"
#include "stats/shares.h"

/* The definition by another way: every table through Fisher's test itself. */
static double power_by_tables(unsigned n1, unsigned n2, double p1, double p2, double alpha) {
    double sum = 0;
    for (unsigned a = 0; a <= n1; a++) {
        for (unsigned b = 0; b <= n2; b++) {
            ap_fisher fisher;
            ap_error err;
            check_ok(ap_fisher_test(&fisher, a, n1 - a, b, n2 - b, &err), &err);
            double weight = exp(lgamma(n1 + 1.0) - lgamma(a + 1.0) - lgamma(n1 - a + 1.0) + lgamma(n2 + 1.0) -
                                lgamma(b + 1.0) - lgamma(n2 - b + 1.0)) *
                            pow(p1, a) * pow(1 - p1, n1 - a) * pow(p2, b) * pow(1 - p2, n2 - b);
            sum += fisher.p_two_sided <= alpha ? weight : 0;
        }
    }
    return sum;
}

static void power_is_the_sum_over_rejected_tables(void **state) {
    (void)state;
    const struct {
        unsigned n1, n2;
        double p1, p2;
    } cases[] = {{1, 1, 0.5, 0.5},     {10, 10, 0.8, 0.3}, {25, 12, 0.4, 0.1},
                 {40, 60, 0.35, 0.15}, {7, 50, 0.0, 0.5},  {30, 30, 1.0, 0.5}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double power = NAN;
        ap_error err;
        check_ok(ap_fisher_power(&power, cases[i].n1, cases[i].n2, cases[i].p1, cases[i].p2, 0.05, &err), &err);
        check_close(power, power_by_tables(cases[i].n1, cases[i].n2, cases[i].p1, cases[i].p2, 0.05), 1e-9,
                    "definition: tables whose Fisher p is at most alpha");
    }
}

static void the_test_keeps_its_level(void **state) {
    (void)state;
    for (unsigned n = 5; n <= 80; n += 15) {
        for (double p = 0.05; p < 1; p += 0.15) {
            double power = NAN;
            ap_error err;
            check_ok(ap_fisher_power(&power, n, 2 * n, p, p, 0.05, &err), &err);
            assert_true(power <= 0.05);
        }
    }
}

static void cases_needed_give_the_power_and_a_few_less_do_not(void **state) {
    (void)state;
    /* The normal formula with continuity correction (Fleiss 1981, section 3.2), equal groups, .30 against .10, 5 %, power .8. */
    double p = 0.2, d = 0.2, z = 1.959964, b = 0.841621;
    double n = pow(z * sqrt(2 * p * (1 - p)) + b * sqrt(0.3 * 0.7 + 0.1 * 0.9), 2) / (d * d);
    n = n / 4 * pow(1 + sqrt(1 + 4 / (n * d)), 2);
    uint64_t cases = 0;
    ap_error err;
    check_ok(ap_fisher_cases(&cases, (uint64_t)n, 0.30, 0.10, 0.05, 0.8, 1000, &err), &err);
    check_close((double)cases, n, n / 5, "Fleiss 1981, Statistical Methods for Rates and Proportions, 3.2");
    double power = NAN;
    check_ok(ap_fisher_power(&power, cases, (uint64_t)n, 0.30, 0.10, 0.05, &err), &err);
    assert_true(power >= 0.8);
    check_ok(ap_fisher_power(&power, cases - 10, (uint64_t)n, 0.30, 0.10, 0.05, &err), &err);
    assert_true(power < 0.8);
    /* Ten others can never show a difference of one point. */
    check_ok(ap_fisher_cases(&cases, 10, 0.11, 0.10, 0.05, 0.8, 1000, &err), &err);
    assert_int_equal(cases, 0);
}

static void what_is_no_share_is_refused(void **state) {
    (void)state;
    ap_error err;
    double power;
    check_refused(ap_fisher_power(&power, 0, 5, 0.1, 0.2, 0.05, &err), AP_E_DOMAIN, &err, "cases a group");
    check_refused(ap_fisher_power(&power, 5, 5, NAN, 0.2, 0.05, &err), AP_E_DOMAIN, &err, "shares in 0..1");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(power_is_the_sum_over_rejected_tables),
        cmocka_unit_test(the_test_keeps_its_level),
        cmocka_unit_test(cases_needed_give_the_power_and_a_few_less_do_not),
        cmocka_unit_test(what_is_no_share_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
