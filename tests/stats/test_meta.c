#include "stats/meta.h"

#include "stats/numbers.h"

static ap_error err;

/* Eight schools: Rubin 1981, Journal of Educational Statistics 6:377-401; Gelman et al., Bayesian Data Analysis, Table 5.2. */
static const double school_y[] = {28, 8, -3, 7, -1, 1, 18, 12};
static const double school_se[] = {15, 10, 16, 11, 9, 11, 10, 18};

static const struct {
    const char *name;
    ap_meta_method method;
} methods[] = {
    {"FE", AP_META_FIXED},
    {"DL", AP_META_DERSIMONIAN_LAIRD},
    {"PM", AP_META_PAULE_MANDEL},
    {"REML", AP_META_REML},
};

static bool find_method(ap_meta_method *out, ap_str name) {
    for (size_t i = 0; i < 4; i++) {
        if (ap_str_equal_word(name, methods[i].name)) {
            *out = methods[i].method;
            return true;
        }
    }
    return false; /* estimators that are not shipped: ML, HE, SJ, EB, REML+KnappHartung */
}

static void pooled(void **state) {
    (void)state;
    check_table table, data;
    check_table_load(&table, STATS_DATA "meta_expected.csv");
    check_table_load(&data, STATS_DATA "meta_bcg.csv");
    double *bcg_y = numbers_column(&data, "y"), *bcg_v = numbers_column(&data, "v");
    double school_v[8];
    for (size_t i = 0; i < 8; i++) {
        school_v[i] = school_se[i] * school_se[i];
    }
    int compared = 0;
    for (size_t row = 0; row < table.rows; row++) {
        ap_meta_method method = AP_META_FIXED;
        if (!find_method(&method, check_table_get(&table, row, "method"))) {
            continue;
        }
        bool bcg = ap_str_equal_word(check_table_get(&table, row, "data"), "bcg");
        const char *source = "meta_expected.csv, 1e-6 as its package converges";
        ap_meta got;
        check_ok(
            ap_meta_pool(&got, bcg ? bcg_y : school_y, bcg ? bcg_v : school_v, bcg ? data.rows : 8, method, 0.95, &err),
            &err);
        check_close(got.tau2, check_table_number(&table, row, "tau2"), 1e-6, source);
        check_close(got.mean, check_table_number(&table, row, "mu"), 1e-6, source);
        check_close(got.se, check_table_number(&table, row, "se"), 1e-6, source);
        check_close(got.q, check_table_number(&table, row, "Q"), 1e-6, source);
        check_close(100.0 * got.i2, check_table_number(&table, row, "I2"), 1e-4, source);
        compared++;
        if (method == AP_META_FIXED) {
            continue; /* no between-group spread asked for there */
        }
        /* The package finds these two to 1.2e-4 (its confint's tolerance) and stops at 100 for the schools; the sharp values
         * are R 4.2.2's uniroot on Q(tau2) = qchisq(.975 and .025, k - 1), tolerance 1e-14. */
        check_close(got.spread.low, check_table_number(&table, row, "tau2_Qprofile_lo"), 1.3e-4, source);
        check_close(got.spread.low, bcg ? 0.1197183611 : 0.0, 1e-9, "R uniroot");
        check_close(got.spread.high, bcg ? 1.1114790841 : 270.367162256, bcg ? 1e-9 : 1e-6, "R uniroot");
        if (bcg) {
            check_close(got.spread.high, check_table_number(&table, row, "tau2_Qprofile_hi"), 1.3e-4, source);
        }
        check_close(got.next.low, check_table_number(&table, row, "pi_lo"), 3e-6, source);
        check_close(got.next.high, check_table_number(&table, row, "pi_hi"), 3e-6, source);
    }
    assert_int_equal(compared, 8);
    free(bcg_y);
    free(bcg_v);
    check_table_release(&data);
    check_table_release(&table);
}

static void shrunken(void **state) {
    (void)state;
    for (size_t m = 1; m < 4; m++) {
        char path[96];
        check_table table;
        double mean[13], se[13];
        ap_meta pool;
        snprintf(path, sizeof path, STATS_DATA "meta_bcg_blup_%s.csv", methods[m].name);
        check_table_load(&table, path);
        double *y = numbers_column(&table, "y"), *v = numbers_column(&table, "v");
        assert_int_equal((int)table.rows, 13);
        check_ok(ap_meta_pool(&pool, y, v, 13, methods[m].method, 0.95, &err), &err);
        check_ok(ap_meta_shrink(mean, se, &pool, y, v, 13, &err), &err);
        for (size_t i = 0; i < 13; i++) {
            check_close(mean[i], check_table_number(&table, i, "blup"), 1e-6, path);
            check_close(se[i], check_table_number(&table, i, "se"), 1e-6, path);
        }
        free(y);
        free(v);
        check_table_release(&table);
    }
}

static void edges(void **state) {
    (void)state;
    const double equal[] = {2.0, 2.0, 2.0}, v[] = {1.0, 4.0, 2.0};
    const double zero[] = {1.0, 0.0, 2.0}, bad[] = {1.0, NAN, 2.0};
    ap_meta got;
    for (size_t m = 0; m < 4; m++) {
        check_ok(ap_meta_pool(&got, equal, v, 3, methods[m].method, 0.9, &err), &err);
        check_close(got.tau2, 0.0, 0.0, "equal means: no variance between groups");
        check_close(got.mean, 2.0, 0.0, "equal means");
        check_close(got.se, sqrt(1.0 / 1.75), 1e-14, "by hand");
        check_close(got.spread.high, 0.0, 0.0, "closer together than chance would have them");
        /* Two groups, equal variances: PM, DL and REML are all (y1 - y2)^2 / 2 - v. */
        const double two[] = {0.0, 4.0}, one[] = {1.0, 1.0};
        check_ok(ap_meta_pool(&got, two, one, 2, methods[m].method, 0.9, &err), &err);
        check_close(got.tau2, m == 0 ? 0.0 : 7.0, 1e-8, "balanced closed form");
    }
    check_refused(ap_meta_pool(&got, equal, v, 1, AP_META_REML, 0.9, &err), AP_E_DOMAIN, &err,
                  "at least 2 values, there is 1");
    check_refused(ap_meta_pool(&got, equal, v, 0, AP_META_REML, 0.9, &err), AP_E_DOMAIN, &err, "at least 2");
    check_refused(ap_meta_pool(&got, equal, zero, 3, AP_META_REML, 0.9, &err), AP_E_DOMAIN, &err,
                  "variance of group 2");
    check_refused(ap_meta_pool(&got, bad, v, 3, AP_META_REML, 0.9, &err), AP_E_DOMAIN, &err, "not a finite number");
    check_refused(ap_meta_pool(&got, equal, v, 3, AP_META_REML, 1.0, &err), AP_E_DOMAIN, &err, "level");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pooled),
        cmocka_unit_test(shrunken),
        cmocka_unit_test(edges),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
