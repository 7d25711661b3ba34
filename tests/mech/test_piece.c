/* Volume, balance, density and the capacity table. */
#include "support/check.h"

#include "mech/balance.h"
#include "mech/capacity.h"
#include "mech/density.h"

static const double PI = 3.14159265358979323846;
static const double LB_FT3 = 16.018463373960142; /* NIST SP 811 B.8: 1.601846 E+01 */

/* Midpoint sums over thin slices of the frustum. */
static void slices(double b, double t, double length, double *volume, double *cg, double *gyration2) {
    enum { N = 20000 };
    double v = 0.0;
    double m = 0.0;
    for (int pass = 0; pass < 2; pass++) {
        double k = 0.0;
        for (int i = 0; i < N; i++) {
            double x = length * (i + 0.5) / N;
            double d = b + (t - b) * x / length;
            double slice = PI / 4.0 * d * d * length / N;
            if (pass == 0) {
                v += slice;
                m += slice * x;
            } else {
                k += slice * ((x - m / v) * (x - m / v) + d * d / 16.0);
            }
        }
        *gyration2 = k / v;
    }
    *volume = v;
    *cg = m / v;
}

static void a_frustum_agrees_with_its_slices(void **state) {
    (void)state;
    static const double pieces[][3] = {{0.6, 0.3, 5.0}, {1.2, 0.0, 9.0}, {0.5, 0.5, 2.0}, {0.9, 0.85, 0.7}};
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
        double b = pieces[i][0];
        double t = pieces[i][1];
        double length = pieces[i][2];
        double v, c, k;
        slices(b, t, length, &v, &c, &k);
        check_close(ap_volume_conic(b, t, length) / v, 1.0, 1e-7, "quadrature of the solid");
        check_close(ap_balance_frustum(b, t, length) / c, 1.0, 1e-7, "quadrature of the solid");
        check_close(ap_balance_gyration2(b, t, length) / k, 1.0, 1e-6, "quadrature of the solid");
        double mid = (b + t) / 2.0;
        check_close(ap_volume_newton(b, mid, t, length) / v, 1.0, 1e-7, "Newton is exact for a cone's frustum");
        const ap_stem stem = {length, b, mid, t};
        double balance = 0.0;
        ap_error err = {0};
        check_ok(ap_balance_stem(&balance, &stem, &err), &err);
        check_close(balance / c, 1.0, 1e-7, "quadrature of the solid");
    }
    check_close(ap_volume_huber(0.5, 4.0), ap_volume_conic(0.5, 0.5, 4.0), 1e-12, "a cylinder");
    check_close(ap_volume_neiloid(0.5, 0.5, 4.0), ap_volume_conic(0.5, 0.5, 4.0), 1e-12, "a cylinder");
    check_close(ap_volume_neiloid(0.8, 0.0, 4.0), PI / 4.0 * 0.64 * 4.0 / 4.0, 1e-12, "a whole neiloid is a quarter");
}

static void the_rule_of_choice(void **state) {
    (void)state;
    ap_volume v;
    ap_error err = {0};
    const ap_stem ends = {5.0, 0.6, NAN, 0.4};
    const ap_stem three = {5.0, 0.6, 0.45, 0.4};
    check_ok(ap_volume_stem(&v, &ends, false, &err), &err);
    assert_int_equal(v.rule, AP_VOLUME_CONIC);
    assert_false(v.butt_flare_unmeasured);
    check_ok(ap_volume_stem(&v, &ends, true, &err), &err);
    assert_true(v.butt_flare_unmeasured);
    check_ok(ap_volume_stem(&v, &three, true, &err), &err);
    assert_int_equal(v.rule, AP_VOLUME_NEWTON);
    assert_false(v.butt_flare_unmeasured);
    assert_string_equal(ap_volume_rule_name(v.rule), "Newton");
    check_close(v.volume_m3, ap_volume_newton(0.6, 0.45, 0.4, 5.0), 1e-12, "Briggs 1994 Table 2-1 [S]");
    assert_true(v.reading_error > 0.05 && v.reading_error < 0.15);
}

static void a_mistaken_taper_is_refused(void **state) {
    (void)state;
    static const struct {
        ap_stem stem;
        const char *says;
    } rows[] = {
        {{5.0, 0.4, NAN, 0.6}, "thicker than the butt"},
        {{0.0, 0.6, NAN, 0.4}, "length of 0"},
        {{-1.0, 0.6, NAN, 0.4}, "length of -1"},
        {{NAN, 0.6, NAN, 0.4}, "no length"},
        {{5.0, NAN, NAN, 0.4}, "no butt"},
        {{5.0, 0.6, NAN, NAN}, "no tip"},
        {{5.0, 0.0, NAN, 0.0}, "butt diameter of 0"},
        {{5.0, 0.6, NAN, -0.1}, "tip diameter of -0.1"},
        {{5.0, 0.6, 0.3, 0.4}, "thinner than the tip"},
        {{5.0, 0.6, 0.7, 0.4}, "thicker than the butt"},
        {{INFINITY, 0.6, NAN, 0.4}, "length of inf"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_volume v = {.volume_m3 = -7.0};
        ap_error err = {0};
        check_refused(ap_volume_stem(&v, &rows[i].stem, false, &err), AP_E_DOMAIN, &err, rows[i].says);
        assert_true(v.volume_m3 == -7.0);
    }
}

static void brush_moves_the_balance(void **state) {
    (void)state;
    double out = 0.0;
    ap_error err = {0};
    check_ok(ap_balance_with_brush(&out, 4.0, 0.2, 7.5, &err), &err);
    check_close(out, 4.7, 1e-12, "0.8 x 4.0 + 0.2 x 7.5");
    check_ok(ap_balance_allowance(&out, 0.2, &err), &err);
    check_close(out, 0.25, 1e-12, "b = s/(1-s)");
    check_ok(ap_balance_share(&out, 0.25, &err), &err);
    check_close(out, 0.2, 1e-12, "s = b/(1+b)");
    check_refused(ap_balance_with_brush(&out, 4.0, 1.0, 7.5, &err), AP_E_DOMAIN, &err, "brush share");
    check_refused(ap_balance_with_brush(&out, NAN, 0.2, 7.5, &err), AP_E_DOMAIN, &err, "needs both");
    check_refused(ap_balance_allowance(&out, -0.1, &err), AP_E_DOMAIN, &err, "brush share");
    check_refused(ap_balance_share(&out, NAN, &err), AP_E_DOMAIN, &err, "allowance");
    check_refused(ap_balance_split(&out, 0.0, 0.0, &err), AP_E_DOMAIN, &err, "arms");
}

static void published_densities_are_met(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, "tests/mech/wood_values.csv");
    assert_true(table.rows >= 10);
    for (size_t row = 0; row < table.rows; row++) {
        double gravity = check_table_number(&table, row, "gravity");
        double out = 0.0;
        char source[192];
        ap_error err = {0};
        ap_str name = check_table_get(&table, row, "common");
        ap_str from = check_table_get(&table, row, "source");
        snprintf(source, sizeof source, "%.*s: %.*s", AP_STR_ARG(name), AP_STR_ARG(from));
        /* Half of the last printed digit, plus what half a digit of the moisture's 0.1 makes. */
        check_ok(ap_density_green(&out, gravity, check_table_number(&table, row, "moisture"), &err), &err);
        check_close(out / LB_FT3, check_table_number(&table, row, "wood"), 0.1, source);
        check_ok(ap_density_with_bark(&out, check_table_number(&table, row, "wood"),
                                      check_table_number(&table, row, "bark"),
                                      check_table_number(&table, row, "bark_volume"), &err),
                 &err);
        check_close(out, check_table_number(&table, row, "with_bark"), 0.1, source);
        check_ok(ap_density_max_moisture(&out, gravity, &err), &err);
        check_close(out, check_table_number(&table, row, "max_moisture"), 0.051, source);
        check_ok(ap_density_ceiling(&out, gravity, &err), &err);
        check_close(out / LB_FT3, check_table_number(&table, row, "ceiling"), 0.1, source);
        check_close(out, 1000.0 * (1.0 + 0.351 * gravity), 0.4, "methods note: 1000 (1 + 0.351 G)");
    }
    check_table_release(&table);
}

static void impossible_wood_is_refused(void **state) {
    (void)state;
    double out = -7.0;
    ap_error err = {0};
    check_refused(ap_density_green(&out, 0.0, 50.0, &err), AP_E_DOMAIN, &err, "not wood");
    check_refused(ap_density_green(&out, 1.6, 50.0, &err), AP_E_DOMAIN, &err, "not wood");
    check_refused(ap_density_green(&out, 0.5, -1.0, &err), AP_E_DOMAIN, &err, "moisture");
    check_refused(ap_density_green(&out, 0.6, 120.0, &err), AP_E_DOMAIN, &err, "at most 101.7");
    check_refused(ap_density_with_bark(&out, 0.0, 900.0, 10.0, &err), AP_E_DOMAIN, &err, "above zero");
    check_refused(ap_density_with_bark(&out, 900.0, 900.0, 101.0, &err), AP_E_DOMAIN, &err, "bark volume");
    assert_true(out == -7.0);
    /* Ceiling at G 0.44 is 1154.3 kg/m3. */
    assert_true(ap_density_is_suspect(1300.0, 1.0, 0.44, 0.05));
    assert_false(ap_density_is_suspect(1200.0, 1.0, 0.44, 0.05));
    assert_true(ap_density_is_suspect(1200.0, 1.0, 0.44, 0.0));
    assert_false(ap_density_is_suspect(NAN, 1.0, 0.44, 0.0));
}

static const ap_capacity_row chart[] = {
    {20, 5, 9000}, {20, 10, 6000}, {20, 15, 3500}, {30, 5, 8000}, {30, 10, 5500}, {30, 15, 3600}, {30, 20, 2200},
};
enum { CHART_ROWS = sizeof chart / sizeof chart[0] };

/* J06: between rows the smaller capacity at the next longer radius or boom (load chart practice quiz, note 6). */
static void the_next_longer_row_rules(void **state) {
    (void)state;
    static const struct {
        double boom, radius, capacity;
        bool between;
    } rows[] = {
        {20, 10, 6000, false}, {20, 10.01, 3500, true}, {20, 0, 9000, true},   {25, 10, 5500, true},
        {25, 12, 3500, true},  {25, 20, 2200, true},    {30, 20, 2200, false}, {10, 5, 9000, true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_capacity found;
        ap_error err = {0};
        check_ok(ap_capacity_find(&found, chart, CHART_ROWS,
                                  &(ap_capacity_at){.boom_m = rows[i].boom, .radius_m = rows[i].radius}, &err),
                 &err);
        check_close(found.capacity_kg, rows[i].capacity, 0.0, "J06 BC Association for Crane Safety, chart note 6");
        assert_int_equal(found.between_rows, rows[i].between);
    }
    /* 10 m written as 32.80839895 ft must still find the 10 m row. */
    ap_capacity found;
    ap_error err = {0};
    check_ok(ap_capacity_find(&found, chart, CHART_ROWS,
                              &(ap_capacity_at){.boom_m = 20, .radius_m = 32.80839895013124 * 0.3048}, &err),
             &err);
    check_close(found.capacity_kg, 6000, 0.0, "a tie is not decided by conversion");
    const ap_capacity_row plain[] = {{NAN, 5, 900}, {NAN, 10, 600}};
    check_ok(ap_capacity_find(&found, plain, 2, &(ap_capacity_at){.boom_m = NAN, .radius_m = 7}, &err), &err);
    check_close(found.capacity_kg, 600, 0.0, "J06");
}

static void past_the_chart_is_refused(void **state) {
    (void)state;
    ap_capacity found = {.capacity_kg = -7.0};
    double out = 0.0;
    const double minus = -1.0;
    ap_error err = {0};
    check_refused(ap_capacity_find(&found, chart, CHART_ROWS, &(ap_capacity_at){.boom_m = 20, .radius_m = 15.1}, &err),
                  AP_E_DOMAIN, &err, "15.00 m");
    check_refused(ap_capacity_find(&found, chart, CHART_ROWS, &(ap_capacity_at){.boom_m = 31, .radius_m = 5}, &err),
                  AP_E_DOMAIN, &err, "longer than any");
    check_refused(ap_capacity_find(&found, chart, CHART_ROWS, &(ap_capacity_at){.boom_m = NAN, .radius_m = 5}, &err),
                  AP_E_DOMAIN, &err, "several booms");
    check_refused(ap_capacity_find(&found, chart, CHART_ROWS, &(ap_capacity_at){.boom_m = 20, .radius_m = NAN}, &err),
                  AP_E_DOMAIN, &err, "radius");
    check_refused(ap_capacity_find(&found, chart, 0, &(ap_capacity_at){.boom_m = 20, .radius_m = 5}, &err), AP_E_DOMAIN,
                  &err, "no capacity table");
    assert_true(found.capacity_kg == -7.0);
    check_refused(ap_capacity_net(&out, 0.0, NULL, 0, &err), AP_E_DOMAIN, &err, "rated capacity");
    check_refused(ap_capacity_hook_load(&out, 100.0, &minus, 1, &err), AP_E_DOMAIN, &err, "on the hook");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_frustum_agrees_with_its_slices), cmocka_unit_test(the_rule_of_choice),
        cmocka_unit_test(a_mistaken_taper_is_refused),      cmocka_unit_test(brush_moves_the_balance),
        cmocka_unit_test(published_densities_are_met),      cmocka_unit_test(impossible_wood_is_refused),
        cmocka_unit_test(the_next_longer_row_rules),        cmocka_unit_test(past_the_chart_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
