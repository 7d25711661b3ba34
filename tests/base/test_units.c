/* Factors as printed in NIST SP 811 (2008), B.8, to seven digits (recalled), and the exact definitions as GSL's
 * constants hold them. Words and quanta follow. */
#include "support/check.h"

#include <gsl/gsl_const_mksa.h>

#include "base/units.h"

static void printed_factors(void **state) {
    (void)state;
    static const struct {
        ap_unit unit;
        double factor;
        double half_digit; /* of the last digit printed; 0 where the table prints it bold, that is exact */
        const char *source;
    } rows[] = {
        {AP_UNIT_LB, 4.535924e-1, 0.5e-7, "SP 811 B.8, pound (avoirdupois) (recalled)"},
        {AP_UNIT_OZ, 2.834952e-2, 0.5e-8, "SP 811 B.8, ounce (avoirdupois) (recalled)"},
        {AP_UNIT_US_TON, 9.071847e2, 0.5e-4, "SP 811 B.8, ton, short (2000 lb) (recalled)"},
        {AP_UNIT_LONG_TON, 1.016047e3, 0.5e-3, "SP 811 B.8, ton, long (2240 lb) (recalled)"},
        {AP_UNIT_TONNE, 1e3, 0, "SP 811 B.8, ton, metric"},
        {AP_UNIT_FT, 3.048e-1, 0, "SP 811 B.8, foot"},
        {AP_UNIT_IN, 2.54e-2, 0, "SP 811 B.8, inch"},
        {AP_UNIT_YD, 9.144e-1, 0, "SP 811 B.8, yard"},
        {AP_UNIT_FT3, 2.831685e-2, 0.5e-8, "SP 811 B.8, cubic foot (recalled)"},
        {AP_UNIT_LB_FT3, 1.601846e1, 0.5e-5, "SP 811 B.8, pound per cubic foot (recalled)"},
        {AP_UNIT_CM, 1e-2, 0, "SP 811 table 5"},
        {AP_UNIT_MM, 1e-3, 0, "SP 811 table 5"},
        {AP_UNIT_G, 1e-3, 0, "SP 811 table 5"},
        {AP_UNIT_PERCENT, 1e-2, 0, "SP 811 7.10.2"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        check_close(ap_unit_to_si(rows[i].unit, 1.0), rows[i].factor, rows[i].half_digit, rows[i].source);
    }
    /* Forces in newton, as B.8 prints them: lbf 4.448 222, kgf 9.806 65 (exact). */
    check_close(ap_unit_to_si(AP_UNIT_LBF, 1.0) * AP_STANDARD_GRAVITY, 4.448222, 0.5e-6, "SP 811 B.8, lbf (recalled)");
    check_close(ap_unit_to_si(AP_UNIT_KGF, 1.0) * AP_STANDARD_GRAVITY, 9.80665, 0, "SP 811 B.8, kgf");
    check_close(ap_unit_to_si(AP_UNIT_KN, 1.0) * AP_STANDARD_GRAVITY, 1000.0, 1e-12, "definition of kN");
    check_close(ap_unit_to_si(AP_UNIT_N, 1.0) * AP_STANDARD_GRAVITY, 1.0, 1e-15, "definition of N");
}

static void exact_factors(void **state) {
    (void)state;
    const char *gsl = "gsl_const_mksa.h";
    check_close(ap_unit_to_si(AP_UNIT_LB, 1.0), GSL_CONST_MKSA_POUND_MASS, 0, gsl);
    check_close(ap_unit_to_si(AP_UNIT_OZ, 1.0), GSL_CONST_MKSA_OUNCE_MASS, 0, gsl);
    check_close(ap_unit_to_si(AP_UNIT_US_TON, 1.0), GSL_CONST_MKSA_TON, 0, gsl);
    check_close(ap_unit_to_si(AP_UNIT_LONG_TON, 1.0), GSL_CONST_MKSA_UK_TON, 0, gsl);
    check_close(ap_unit_to_si(AP_UNIT_TONNE, 1.0), GSL_CONST_MKSA_METRIC_TON, 0, gsl);
    check_close(ap_unit_to_si(AP_UNIT_FT, 1.0), GSL_CONST_MKSA_FOOT, 0, gsl);
    check_close(ap_unit_to_si(AP_UNIT_IN, 1.0), GSL_CONST_MKSA_INCH, 0, gsl);
    check_close(ap_unit_to_si(AP_UNIT_YD, 1.0), GSL_CONST_MKSA_YARD, 0, gsl);
    check_close(AP_STANDARD_GRAVITY, GSL_CONST_MKSA_GRAV_ACCEL, 0, gsl);
    check_close(ap_unit_to_si(AP_UNIT_LBF, 1.0) * AP_STANDARD_GRAVITY, GSL_CONST_MKSA_POUND_FORCE, 1e-11, gsl);
    check_close(ap_unit_to_si(AP_UNIT_FT3, 1.0), 0.3048 * 0.3048 * 0.3048, 1e-17, "cube of the foot");
    check_close(ap_unit_to_si(AP_UNIT_US_TON, 1.0), 2000 * 0.45359237, 1e-12, "Handbook 44 App. C: 2000 lb");
    check_close(ap_unit_to_si(AP_UNIT_LONG_TON, 1.0), 2240 * 0.45359237, 1e-12, "Handbook 44 App. C: 2240 lb");
}

static void round_trip(void **state) {
    (void)state;
    for (int unit = AP_UNIT_NONE; unit < AP_UNIT_COUNT; unit++) {
        if (unit == AP_UNIT_TON) {
            continue;
        }
        for (double value = 0.001; value < 1e7; value *= 7.3) {
            double back = ap_unit_from_si((ap_unit)unit, ap_unit_to_si((ap_unit)unit, value));
            check_close(back, value, value * 4e-16, "the inverse");
        }
    }
    assert_true(isnan(ap_unit_to_si(AP_UNIT_TON, 2.0))); /* which ton is not guessed */
    assert_int_equal(ap_unit_dim(AP_UNIT_TON), AP_DIM_LOAD);
    assert_int_equal(ap_unit_dim(AP_UNIT_KN), AP_DIM_LOAD);
    assert_int_equal(ap_unit_dim(AP_UNIT_NONE), AP_DIM_NONE);
}

static void words(void **state) {
    (void)state;
    static const struct {
        const char *word;
        ap_unit unit;
    } rows[] = {
        {"lb", AP_UNIT_LB},
        {"LBS.", AP_UNIT_LB},
        {"#", AP_UNIT_LB},
        {" pounds ", AP_UNIT_LB},
        {"kg", AP_UNIT_KG},
        {"KG", AP_UNIT_KG},
        {"Kilos", AP_UNIT_KG},
        {"t", AP_UNIT_TON},
        {"Tons", AP_UNIT_TON},
        {"tonnes", AP_UNIT_TONNE},
        {"metric tons", AP_UNIT_TONNE},
        {"metric_ton", AP_UNIT_TONNE},
        {"U.S. tons", AP_UNIT_US_TON},
        {"short-ton", AP_UNIT_US_TON},
        {"long  ton", AP_UNIT_LONG_TON},
        {"kN", AP_UNIT_KN},
        {"N", AP_UNIT_N},
        {"lbf", AP_UNIT_LBF},
        {"pound-force", AP_UNIT_LBF},
        {"kgf", AP_UNIT_KGF},
        {"m", AP_UNIT_M},
        {"metres", AP_UNIT_M},
        {"cm", AP_UNIT_CM},
        {"mm", AP_UNIT_MM},
        {"ft.", AP_UNIT_FT},
        {"Feet", AP_UNIT_FT},
        {"'", AP_UNIT_FT},
        {"\xE2\x80\xB2", AP_UNIT_FT},
        {"\xE2\x80\x99", AP_UNIT_FT},
        {"\"", AP_UNIT_IN},
        {"''", AP_UNIT_IN},
        {"\xE2\x80\x9D", AP_UNIT_IN},
        {"inches", AP_UNIT_IN},
        {"in.", AP_UNIT_IN},
        {"yds", AP_UNIT_YD},
        {"\xC2\xB0", AP_UNIT_DEG},
        {"deg", AP_UNIT_DEG},
        {"%", AP_UNIT_PERCENT},
        {"per\xC2\xA0"
         "cent",
         AP_UNIT_PERCENT},
        {"cu. ft.", AP_UNIT_FT3},
        {"ft\xC2\xB3", AP_UNIT_FT3},
        {"lbs/ft3", AP_UNIT_LB_FT3},
        {"kg/m3", AP_UNIT_KG_M3},
        {"oz", AP_UNIT_OZ},
        {"g", AP_UNIT_G},
    };
    /* "net tons" and "gross tons" say what was weighed in this trade, so they name no unit. */
    static const char *const none[] = {
        "",           " ",       ".", "-", "stone", "net tons",
        "gross tons", "kgs per", "k", "x", "\xFF",  "kilogramskilogramskilogramskilogramskilograms"};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_unit unit = AP_UNIT_NONE;
        assert_true(ap_unit_find(&unit, ap_str_from(rows[i].word)));
        assert_int_equal(unit, rows[i].unit);
    }
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        ap_unit unit = AP_UNIT_COUNT;
        assert_false(ap_unit_find(&unit, ap_str_from(none[i])));
        assert_int_equal(unit, AP_UNIT_COUNT);
    }
}

/* What a page prints can be read back. */
static void symbols(void **state) {
    (void)state;
    for (int unit = AP_UNIT_KG; unit < AP_UNIT_COUNT; unit++) {
        ap_unit found = AP_UNIT_NONE;
        const char *symbol = ap_unit_symbol((ap_unit)unit);
        if (unit == AP_UNIT_ONE) {
            assert_string_equal(symbol, "");
            continue;
        }
        assert_true(ap_unit_find(&found, ap_str_from(symbol)));
        assert_int_equal(found, unit);
    }
}

static void quantum(void **state) {
    (void)state;
    ap_written whole_lb = {AP_UNIT_LB, 0};
    ap_written hundredth_m = {AP_UNIT_M, 2};
    ap_written half_inch = {AP_UNIT_IN, 32 + 1};
    ap_written nothing = {0, 0};
    ap_written odd = {AP_UNIT_LB, 20};
    check_close(ap_written_quantum_si(whole_lb), 0.45359237, 0, "Handbook 44 App. C");
    check_close(ap_written_quantum_si(hundredth_m), 0.01, 0, "0.01 m");
    check_close(ap_written_quantum_si(half_inch), 0.0127, 1e-17, "half of 25.4 mm");
    check_close(ap_written_quantum_si(nothing), 0.0, 0, "nothing written");
    check_close(ap_written_quantum_si(odd), 0.0, 0, "no such code");
}

static void page_units(void **state) {
    (void)state;
    assert_int_equal(ap_unit_for_page(AP_UNITS_US, AP_DIM_LOAD, false), AP_UNIT_LB);
    assert_int_equal(ap_unit_for_page(AP_UNITS_METRIC, AP_DIM_LOAD, true), AP_UNIT_KG);
    assert_int_equal(ap_unit_for_page(AP_UNITS_US, AP_DIM_LENGTH, true), AP_UNIT_IN);
    assert_int_equal(ap_unit_for_page(AP_UNITS_METRIC, AP_DIM_LENGTH, false), AP_UNIT_M);
    assert_int_equal(ap_unit_for_page(AP_UNITS_METRIC, AP_DIM_DENSITY, false), AP_UNIT_KG_M3);
    assert_int_equal(ap_unit_for_page(AP_UNITS_US, AP_DIM_SHARE, false), AP_UNIT_PERCENT);
    for (int dim = AP_DIM_LENGTH; dim < AP_DIM_COUNT; dim++) {
        for (int page = AP_UNITS_US; page <= AP_UNITS_METRIC; page++) {
            ap_unit unit = ap_unit_for_page((ap_unit_system)page, (ap_dim)dim, false);
            int want = dim == AP_DIM_FORCE ? AP_DIM_LOAD : dim; /* a force is printed as the mass it holds */
            assert_int_equal(ap_unit_dim(unit), want);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(printed_factors), cmocka_unit_test(exact_factors), cmocka_unit_test(round_trip),
        cmocka_unit_test(words),           cmocka_unit_test(symbols),       cmocka_unit_test(quantum),
        cmocka_unit_test(page_units),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
