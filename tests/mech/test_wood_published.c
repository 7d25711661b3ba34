/* Volume and density against what is printed elsewhere. */
#include "support/check.h"

#include "mech/balance.h"
#include "mech/density.h"
#include "mech/volume.h"

static const double IN = 0.0254;
static const double FT = 0.3048;
static const double FT3 = 0.028316846592;
static const double LB_FT3 = 16.018463373960142; /* NIST SP 811 B.8 */

static void worked_logs_are_met(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, "tests/mech/volume_values.csv");
    assert_int_equal(table.rows, 5);
    for (size_t row = 0; row < table.rows; row++) {
        bool us = ap_str_equal_word(check_table_get(&table, row, "unit"), "us");
        const ap_stem stem = {check_table_number(&table, row, "length") * (us ? FT : 1.0),
                              check_table_number(&table, row, "butt") * (us ? IN : 0.01), NAN,
                              check_table_number(&table, row, "tip") * (us ? IN : 0.01)};
        ap_volume_rule rule = ap_volume_rule_find(check_table_get(&table, row, "rule"));
        ap_volume volume;
        ap_error err = {0};
        char source[240];
        snprintf(source, sizeof source, "%.*s", AP_STR_ARG(check_table_get(&table, row, "source")));
        assert_int_not_equal(rule, AP_VOLUME_NONE);
        check_ok(ap_volume_by(&volume, &stem, rule, false, &err), &err);
        check_close(volume.volume_m3 / (us ? FT3 : 1.0), check_table_number(&table, row, "volume"),
                    check_table_number(&table, row, "tolerance") * (1 + 1e-6), source);
    }
    check_table_release(&table);
}

/* Table 2-1 with its printed constants: areas K D^2, K = 0.005454 (inches to square feet), 0.00007854 (cm to m2). */
static void the_formulas_of_table_2_1(void **state) {
    (void)state;
    static const char source[] = "Briggs 1994, Table 2-1, K as printed";
    static const double logs[][4] = {{12, 11.2, 10, 16}, {24, 19, 18, 8}, {40, 33, 31, 12}};
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        double B = logs[i][0];
        double M = logs[i][1];
        double T = logs[i][2];
        double L = logs[i][3];
        double K = 0.005454;
        double smalian = K * (B * B + T * T) / 2 * L;
        double huber = K * M * M * L;
        double newton = K * (B * B + 4 * M * M + T * T) / 6 * L;
        double conic = K * (B * B + B * T + T * T) / 3 * L;
        double by = 0.0000005 / K; /* half the last digit of K */
        check_close(ap_volume_smalian(B * IN, T * IN, L * FT) / FT3 / smalian, 1, by, source);
        check_close(ap_volume_huber(M * IN, L * FT) / FT3 / huber, 1, by, source);
        check_close(ap_volume_newton(B * IN, M * IN, T * IN, L * FT) / FT3 / newton, 1, by, source);
        check_close(ap_volume_conic(B * IN, T * IN, L * FT) / FT3 / conic, 1, by, source);
        check_close(ap_volume_huber(M / 100, L) / (0.00007854 * M * M * L), 1, 0.000000005 / 0.00007854, source);
    }
}

static void a_rule_that_is_asked_for_needs_its_readings(void **state) {
    (void)state;
    static const struct {
        ap_stem stem;
        ap_volume_rule rule;
        ap_volume_fault fault;
    } rows[] = {
        {{5, NAN, 0.3, NAN}, AP_VOLUME_HUBER, AP_VOLUME_FINE},
        {{5, 0.4, NAN, 0.3}, AP_VOLUME_HUBER, AP_VOLUME_NO_MID},
        {{5, 0.4, NAN, 0.3}, AP_VOLUME_NEWTON, AP_VOLUME_NO_MID},
        {{5, NAN, 0.3, NAN}, AP_VOLUME_SMALIAN, AP_VOLUME_NO_BUTT},
        {{5, 0.4, 0.3, NAN}, AP_VOLUME_NONE, AP_VOLUME_NO_TIP},
        {{5, NAN, -0.3, NAN}, AP_VOLUME_HUBER, AP_VOLUME_BAD_MID},
        {{5, 0.2, 0.3, NAN}, AP_VOLUME_HUBER, AP_VOLUME_MID_THICKER},
        {{NAN, NAN, 0.3, NAN}, AP_VOLUME_HUBER, AP_VOLUME_NO_LENGTH},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_volume volume = {.volume_m3 = -7};
        ap_error err = {0};
        ap_volume_fault fault = ap_volume_check(&rows[i].stem, rows[i].rule);
        assert_int_equal(fault, rows[i].fault);
        ap_status status = ap_volume_by(&volume, &rows[i].stem, rows[i].rule, false, &err);
        if (fault == AP_VOLUME_FINE) {
            check_ok(status, &err);
            check_close(volume.volume_m3, 5 * 0.09 * atan(1.0), 1e-12, "a cylinder of 0.3 m: pi/4 D2 L");
        } else {
            assert_int_equal(status, AP_E_DOMAIN);
            assert_true(volume.volume_m3 == -7 && ap_volume_fault_text(fault)[0] != '\0');
        }
    }
}

/* V / (K D^2 H): the share of the cylinder that a whole stem fills. */
static void black_cherry_stems_keep_their_form(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, "tests/mech/trees.csv");
    assert_int_equal(table.rows, 31);
    double sum = 0;
    double squares = 0;
    for (size_t row = 0; row < table.rows; row++) {
        double cylinder = ap_volume_huber(check_table_number(&table, row, "Girth") * IN,
                                          check_table_number(&table, row, "Height") * FT);
        double form = check_table_number(&table, row, "Volume") * FT3 / cylinder;
        sum += form;
        squares += form * form;
    }
    double n = (double)table.rows;
    double mean = sum / n;
    check_close(mean, 0.385, 0.0005, "R datasets::trees, mean of V/(K D2 H)");
    check_close(sqrt((squares - n * mean * mean) / (n - 1)), 0.030, 0.0005, "R datasets::trees, its sd");
    check_table_release(&table);
}

/* The textbook's form with radii: h/4 (R2 + 2Rr + 3r2)/(R2 + Rr + r2), from the base R. */
static void the_centroid_of_a_frustum(void **state) {
    (void)state;
    static const char source[] = "mechanics of solids, centroid of a conical frustum";
    check_close(ap_balance_frustum(0.6, 0.0, 8.0), 2.0, 1e-12, "a cone: h/4");
    check_close(ap_balance_frustum(0.6, 0.6, 8.0), 4.0, 1e-12, "a cylinder: h/2");
    /* R = 2, r = 1: (4 + 4 + 3) / (4 (4 + 2 + 1)) = 11/28 of h. */
    check_close(ap_balance_frustum(4.0, 2.0, 28.0), 11.0, 1e-12, source);
    /* The same as a cone less its tip: whole cone 8 V at h/2 of 2h, tip V at h + h/4. */
    double h = 1.0;
    double whole = 8.0;
    check_close(ap_balance_frustum(4.0, 2.0, h), (whole * 2 * h / 4 - (h + h / 4)) / (whole - 1), 1e-12,
                "by subtraction of two cones");
}

static void every_species_of_the_reference(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, "tests/book/species_reference.csv");
    assert_int_equal(table.rows, 130);
    for (size_t row = 0; row < table.rows; row++) {
        double gravity = check_table_number(&table, row, "gravity");
        double wood = check_table_number(&table, row, "wood_lb_ft3");
        double out = 0;
        double most = 0;
        double at_most = 0;
        char source[96];
        ap_error err = {0};
        snprintf(source, sizeof source, "FIA REF_SPECIES: %.*s", AP_STR_ARG(check_table_get(&table, row, "common")));
        check_ok(ap_density_green(&out, gravity, check_table_number(&table, row, "moisture_pct"), &err), &err);
        check_close(out / LB_FT3, wood, 0.1, source);
        check_ok(ap_density_with_bark(&out, wood, check_table_number(&table, row, "bark_lb_ft3"),
                                      check_table_number(&table, row, "bark_volume_pct"), &err),
                 &err);
        check_close(out, check_table_number(&table, row, "wood_bark_lb_ft3"), 0.1, source);
        /* Eq 4-3 put into Eq 4-14 is the ceiling. */
        check_ok(ap_density_max_moisture(&most, gravity, &err), &err);
        check_ok(ap_density_green(&at_most, gravity, most, &err), &err);
        check_ok(ap_density_ceiling(&out, gravity, &err), &err);
        check_close(out / at_most, 1, 1e-12, "Wood Handbook Eq 4-3 in Eq 4-14");
        check_close(out / LB_FT3, check_table_number(&table, row, "ceiling_lb_ft3"), 0.1, source);
    }
    check_table_release(&table);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(worked_logs_are_met),
        cmocka_unit_test(the_formulas_of_table_2_1),
        cmocka_unit_test(a_rule_that_is_asked_for_needs_its_readings),
        cmocka_unit_test(black_cherry_stems_keep_their_form),
        cmocka_unit_test(the_centroid_of_a_frustum),
        cmocka_unit_test(every_species_of_the_reference),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
