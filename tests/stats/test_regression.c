#include "stats/regression.h"

#include "stats/numbers.h"
#include "stats/oneway.h"

static ap_error err;

/* NIST StRD linear sets. `digits` is the relative tolerance of coefficients and their errors; the harder sets cannot give
 * more in double arithmetic: Filip's powers up to 10 are themselves rounded, README asks 6 to 8 digits there. */
static void nist_linear(void **state) {
    (void)state;
    static const struct {
        const char *file;
        int power;      /* polynomial degree in the one predictor; 0: the predictors as they are */
        int predictors; /* columns after y */
        bool intercept;
        double digits;
    } sets[] = {
        {"Norris", 1, 1, true, 1e-13},   {"Pontius", 2, 1, true, 1e-12},  {"NoInt1", 1, 1, false, 1e-12},
        {"NoInt2", 1, 1, false, 1e-12},  {"Filip", 10, 1, true, 1e-7},    {"Longley", 0, 6, true, 1e-11},
        {"Wampler1", 5, 1, true, 1e-12}, {"Wampler2", 5, 1, true, 1e-12}, {"Wampler5", 5, 1, true, 1e-12},
    };
    for (size_t s = 0; s < sizeof sets / sizeof *sets; s++) {
        char path[128];
        numbers set;
        snprintf(path, sizeof path, STATS_DATA "nist_strd/%s.dat", sets[s].file);
        numbers_load(&set, path);
        size_t columns = sets[s].power > 0 ? (size_t)sets[s].power : (size_t)sets[s].predictors;
        size_t width = (size_t)sets[s].predictors + 1;
        numbers_scan(&set, numbers_line(&set, 61), NULL);
        size_t n = set.n / width;
        assert_int_equal((int)(set.n % width), 0);
        double *y = calloc(n, sizeof *y), *x = calloc(n * columns, sizeof *x);
        assert_true(y && x);
        for (size_t i = 0; i < n; i++) {
            y[i] = set.at[i * width];
            double power = 1.0;
            for (size_t j = 0; j < columns; j++) {
                power *= set.at[i * width + 1];
                x[i * columns + j] = sets[s].power > 0 ? power : set.at[i * width + 1 + j];
            }
        }
        ap_regression fit;
        check_ok(ap_regression_fit(&fit, y, x, NULL, n, columns, sets[s].intercept, &err), &err);
        size_t first = sets[s].intercept ? 0 : 1;
        bool exact = sets[s].file[0] == 'W' && sets[s].file[7] != '5'; /* Wampler 1 and 2 lie on their line */
        for (size_t j = 0; j < fit.p; j++) {
            char mark[16];
            double want[2];
            snprintf(mark, sizeof mark, "\n        B%zu ", j + first);
            char *end = NULL;
            want[0] = strtod(numbers_after(&set, mark), &end);
            want[1] = strtod(end, NULL);
            check_close(fit.coefficient[j], want[0], sets[s].digits * fabs(want[0]), path);
            /* se of an exact fit is certified 0; rounding of y (1 part in 1e16 of up to 4e6) leaves some. */
            check_close(fit.se[j], want[1], exact ? 1e-7 : sets[s].digits * want[1], path);
        }
        char *end = NULL;
        double sd = strtod(numbers_after(&set, "Standard Deviation  "), &end);
        check_close(fit.residual_sd, sd, exact ? 1e-7 : sets[s].digits * sd, path);
        double r2 = strtod(numbers_after(&set, "R-Squared "), NULL);
        check_close(fit.r_squared, r2, sets[s].digits, path);
        free(y);
        free(x);
        numbers_release(&set);
    }
}

static double item(const check_table *table, const char *name) {
    for (size_t row = 0; row < table->rows; row++) {
        if (ap_str_equal_word(check_table_get(table, row, "item"), name)) {
            return check_table_number(table, row, "value");
        }
    }
    fail_msg("no item '%s'", name);
    return NAN;
}

/* 31 black cherry trees: the rows of regression_expected.csv that are least squares; its robust rows are not shipped. */
static void trees(void **state) {
    (void)state;
    const char *source = "regression_expected.csv";
    check_table table, want;
    check_table_load(&table, STATS_DATA "trees.csv");
    check_table_load(&want, STATS_DATA "regression_expected.csv");
    double *girth = numbers_column(&table, "Girth"), *height = numbers_column(&table, "Height");
    double *volume = numbers_column(&table, "Volume");
    double x[62], y[31], square[31], weight[31];
    ap_regression fit;
    assert_int_equal((int)table.rows, 31);
    for (size_t i = 0; i < 31; i++) {
        y[i] = log(volume[i]);
        x[2 * i] = log(girth[i]);
        x[2 * i + 1] = log(height[i]);
        square[i] = girth[i] * girth[i] * height[i];
        weight[i] = 1.0 / (square[i] * square[i]);
    }
    check_ok(ap_regression_fit(&fit, y, x, NULL, 31, 2, true, &err), &err);
    check_close(fit.coefficient[0], item(&want, "trees_loglog_b0"), 1e-10, source);
    check_close(fit.coefficient[1], item(&want, "trees_loglog_b_logG"), 1e-10, source);
    check_close(fit.coefficient[2], item(&want, "trees_loglog_b_logH"), 1e-10, source);
    check_close(fit.residual_sd, item(&want, "trees_loglog_sigma"), 1e-12, source);
    double smear = 0.0, row[2] = {x[0], x[1]}, mean = 0.0, se = 0.0;
    for (size_t i = 0; i < 31; i++) {
        double fitted = 0.0;
        check_ok(ap_regression_predict(&fitted, &se, &fit, x + 2 * i, &err), &err);
        smear += exp(y[i] - fitted) / 31.0;
    }
    check_close(smear, item(&want, "trees_duan_smearing"), 1e-11, source);
    check_close(exp(fit.residual_sd * fit.residual_sd / 2.0), item(&want, "trees_lognormal_factor_exp_s2_2"), 1e-11,
                source);
    check_ok(ap_regression_predict(&mean, &se, &fit, row, &err), &err);
    assert_true(se > 0.0 && se < fit.residual_sd);

    check_ok(ap_regression_fit(&fit, volume, square, NULL, 31, 1, true, &err), &err);
    check_close(fit.coefficient[0], item(&want, "trees_ols_b0"), 1e-11, source);
    check_close(fit.coefficient[1], item(&want, "trees_ols_b1"), 1e-13, source);
    check_ok(ap_regression_fit(&fit, volume, square, weight, 31, 1, true, &err), &err);
    check_close(fit.coefficient[0], item(&want, "trees_wls_w1overx2_b0"), 1e-11, source);
    check_close(fit.coefficient[1], item(&want, "trees_wls_w1overx2_b1"), 1e-13, source);
    free(girth);
    free(height);
    free(volume);
    check_table_release(&want);
    check_table_release(&table);
}

/* R 4.2.2's manual for `stackloss`: coefficients -39.920, 0.716, 1.295, -0.152, residual standard error 3.243. */
static void stackloss(void **state) {
    (void)state;
    static const double want[] = {-39.9197, 0.7156, 1.2953, -0.1521};
    check_table table;
    check_table_load(&table, STATS_DATA "stackloss.csv");
    double x[63], y[21];
    ap_regression fit;
    for (size_t i = 0; i < 21; i++) {
        x[3 * i] = check_table_number(&table, i, "Air.Flow");
        x[3 * i + 1] = check_table_number(&table, i, "Water.Temp");
        x[3 * i + 2] = check_table_number(&table, i, "Acid.Conc.");
        y[i] = check_table_number(&table, i, "stack.loss");
    }
    check_ok(ap_regression_fit(&fit, y, x, NULL, 21, 3, true, &err), &err);
    for (size_t j = 0; j < 4; j++) {
        check_close(fit.coefficient[j], want[j], 5.1e-5, "Brownlee 1965, least squares as widely printed (recalled)");
    }
    check_close(fit.residual_sd, 3.243, 5.1e-4, "Brownlee 1965, least squares as widely printed (recalled)");
    check_table_release(&table);
}

static void nist_oneway(void **state) {
    (void)state;
    static const struct {
        const char *file;
        size_t groups;
        double digits; /* what the rounding of the data leaves of the sums of squares */
    } sets[] = {
        {"SiRstvt", 5, 1e-9}, {"AtmWtAgt", 2, 1e-7}, {"SmLs01t", 9, 1e-12}, {"SmLs04t", 9, 1e-8}, {"SmLs07t", 9, 5e-3},
    };
    for (size_t s = 0; s < sizeof sets / sizeof *sets; s++) {
        char path[128];
        numbers set;
        snprintf(path, sizeof path, STATS_DATA "nist_strd/%s.dat", sets[s].file);
        numbers_load(&set, path);
        double between[4], within[3];
        numbers_scan(&set, numbers_after(&set, "\nBetween "), numbers_after(&set, "\nWithin "));
        assert_int_equal((int)set.n, 4);
        memcpy(between, set.at, sizeof between);
        numbers_scan(&set, numbers_after(&set, "\nWithin "), numbers_after(&set, "Certified R-Squared"));
        assert_int_equal((int)set.n, 3);
        memcpy(within, set.at, sizeof within);
        char *end = NULL;
        double r2 = strtod(numbers_after(&set, "Certified R-Squared"), &end);
        double sd = strtod(numbers_after(&set, "Standard Deviation "), &end);
        numbers_scan(&set, numbers_line(&set, 61), NULL);
        uint32_t *group = calloc(set.n, sizeof *group);
        assert_non_null(group);
        for (size_t i = 0; i < set.n; i++) {
            group[i] = (uint32_t)(i % sets[s].groups);
        }
        ap_oneway fit;
        check_ok(ap_oneway_fit(&fit, set.at, group, set.n, &err), &err);
        double d = sets[s].digits;
        check_close(fit.between_df, between[0], 0.0, path);
        check_close(fit.within_df, within[0], 0.0, path);
        check_close(fit.between_ss, between[1], d * between[1], path);
        check_close(fit.within_ss, within[1], d * within[1], path);
        check_close(fit.f, between[3], 2.0 * d * between[3], path);
        check_close(fit.r_squared, r2, d * r2, path);
        check_close(fit.pooled_sd, sd, d * sd, path);
        free(group);
        numbers_release(&set);
    }
}

static void dyestuff(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, STATS_DATA "random_effects_dyestuff.csv");
    double *x = numbers_column(&table, "yield");
    uint32_t group[30];
    for (size_t i = 0; i < 30; i++) {
        group[i] = (uint32_t)check_table_get(&table, i, "batch").ptr[0];
    }
    ap_oneway fit;
    check_ok(ap_oneway_fit(&fit, x, group, 30, &err), &err);
    check_close(fit.mean, 1527.5, 1e-10, "random_effects_dyestuff.csv");
    check_close(sqrt(fit.between_variance), 42.0005953104, 2e-4, "random_effects_dyestuff.csv (its fit stops at 5e-6)");
    check_close(fit.pooled_sd, 49.5100999656, 2e-4, "random_effects_dyestuff.csv (its fit stops at 5e-6)");
    free(x);
    check_table_release(&table);
}

static void refusals(void **state) {
    (void)state;
    const double y[] = {1.0, 2.0, 3.5, 4.0};
    const double x[] = {1.0, 2.0, 2.0, 4.0, 3.0, 6.0, 4.0, 8.0};
    const double bad[] = {1.0, NAN, 3.0, 4.0};
    const double weight[] = {1.0, 0.0, 1.0, 1.0};
    ap_regression fit;
    ap_oneway groups;
    double mean = 0.0, se = 0.0;
    check_refused(ap_regression_fit(&fit, y, x, NULL, 4, 2, true, &err), AP_E_DOMAIN, &err,
                  "cannot tell its columns apart");
    check_refused(ap_regression_fit(&fit, y, x, NULL, 2, 1, true, &err), AP_E_DOMAIN, &err, "at least 3 values");
    check_refused(ap_regression_fit(&fit, y, x, NULL, 0, 1, true, &err), AP_E_DOMAIN, &err, "at least 3 values");
    check_refused(ap_regression_fit(&fit, y, bad, NULL, 4, 1, true, &err), AP_E_DOMAIN, &err, "value 2 of 4");
    check_refused(ap_regression_fit(&fit, y, y, weight, 4, 1, true, &err), AP_E_DOMAIN, &err, "a weight");
    check_refused(ap_regression_fit(&fit, y, x, NULL, 4, 16, true, &err), AP_E_LIMIT, &err, "1 to 16");
    check_refused(ap_regression_fit(&fit, y, x, NULL, 4, 0, false, &err), AP_E_LIMIT, &err, "1 to 16");
    check_ok(ap_regression_fit(&fit, y, y, NULL, 4, 1, true, &err), &err);
    check_refused(ap_regression_predict(&mean, &se, &fit, bad + 1, &err), AP_E_DOMAIN, &err, "not a finite number");
    const uint32_t one[] = {4, 4, 4, 4}, each[] = {1, 2, 3, 4}, two[] = {1, 1, 2, 2};
    const double equal[] = {3.0, 3.0, 3.0, 3.0}, apart[] = {3.0, 3.0, 4.0, 4.0};
    check_refused(ap_oneway_fit(&groups, y, one, 4, &err), AP_E_DOMAIN, &err, "there are 1 groups of 4 values");
    check_refused(ap_oneway_fit(&groups, y, each, 4, &err), AP_E_DOMAIN, &err, "one of 2 values");
    check_refused(ap_oneway_fit(&groups, equal, two, 4, &err), AP_E_DOMAIN, &err, "differ");
    check_refused(ap_oneway_fit(&groups, bad, two, 4, &err), AP_E_DOMAIN, &err, "not a finite number");
    check_ok(ap_oneway_fit(&groups, apart, two, 4, &err), &err);
    assert_false(groups.has_f);
    check_close(groups.p, 0.0, 0.0, "no spread within, some between");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nist_linear), cmocka_unit_test(trees),    cmocka_unit_test(stackloss),
        cmocka_unit_test(nist_oneway), cmocka_unit_test(dyestuff), cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
