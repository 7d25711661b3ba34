#include "page/number.h"
#include "page_support.h"

static void check_quantity(ap_unit_system units, ap_dim dim, bool small, double si, const char *want) {
    char out[AP_NUMBER_SIZE];
    ap_quantity_text(out, units, dim, small, si);
    assert_string_equal(out, want);
}

/* Factors: NIST SP 811 (2008) B.8: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m, 1 in = 0.0254 m, standard gravity 9.80665. */
static void test_quantities(void **state) {
    (void)state;
    check_quantity(AP_UNITS_US, AP_DIM_LOAD, false, 4850 * 0.45359237, "4,850 lb");
    check_quantity(AP_UNITS_METRIC, AP_DIM_LOAD, false, 2200, "2,200 kg");
    check_quantity(AP_UNITS_US, AP_DIM_LOAD, false, 1234567 * 0.45359237, "1,234,567 lb");
    check_quantity(AP_UNITS_US, AP_DIM_LOAD, false, 999 * 0.45359237, "999 lb");
    check_quantity(AP_UNITS_US, AP_DIM_LOAD, false, 2.5 * 0.45359237, "2.5 lb");
    check_quantity(AP_UNITS_US, AP_DIM_LOAD, false, 0, "0 lb");
    check_quantity(AP_UNITS_US, AP_DIM_LOAD, false, -350 * 0.45359237, "-350 lb");
    check_quantity(AP_UNITS_US, AP_DIM_LENGTH, false, 18.5 * 0.3048, "18 ft 6 in");
    check_quantity(AP_UNITS_US, AP_DIM_LENGTH, false, 18 * 0.3048, "18 ft");
    check_quantity(AP_UNITS_US, AP_DIM_LENGTH, false, 8 * 0.0254, "8 in");
    check_quantity(AP_UNITS_US, AP_DIM_LENGTH, false, 17.99 * 0.3048, "18 ft"); /* never "17 ft 12 in" */
    check_quantity(AP_UNITS_US, AP_DIM_LENGTH, false, -2.25 * 0.3048, "-2 ft 3 in");
    check_quantity(AP_UNITS_US, AP_DIM_LENGTH, false, -0.0001, "0 in");
    check_quantity(AP_UNITS_US, AP_DIM_LENGTH, true, 23.5 * 0.0254, "23.5 in");
    check_quantity(AP_UNITS_US, AP_DIM_LENGTH, true, 24 * 0.0254, "24 in");
    check_quantity(AP_UNITS_METRIC, AP_DIM_LENGTH, true, 0.61, "61 cm");
    check_quantity(AP_UNITS_METRIC, AP_DIM_LENGTH, false, 5.64, "5.64 m");
    check_quantity(AP_UNITS_METRIC, AP_DIM_ANGLE, false, 48.2, "48°");
    check_quantity(AP_UNITS_METRIC, AP_DIM_SHARE, false, 0.184, "18 %");
    check_quantity(AP_UNITS_METRIC, AP_DIM_VOLUME, false, 1.25, "1.25 m³");
    check_quantity(AP_UNITS_US, AP_DIM_VOLUME, false, 0.028316846592, "1.0 ft³");
    check_quantity(AP_UNITS_METRIC, AP_DIM_DENSITY, false, 1009, "1,009 kg/m³");
    check_quantity(AP_UNITS_US, AP_DIM_DENSITY, false, 63 * 0.45359237 / 0.028316846592, "63.0 lb/ft³");
}

/* A leg's tension is read as the mass it holds: 5200 N / 9.80665 = 530.25 kg = 1169.0 lb. */
static void test_force_as_the_mass_it_holds(void **state) {
    (void)state;
    check_quantity(AP_UNITS_METRIC, AP_DIM_FORCE, false, 5200, "530 kg");
    check_quantity(AP_UNITS_US, AP_DIM_FORCE, false, 5200, "1,169 lb");
    check_quantity(AP_UNITS_US, AP_DIM_FORCE, false, 4850 * 0.45359237 * 9.80665, "4,850 lb");
}

/* The steps by hand: a twentieth of 1,984 is 99.2, so fifties; of 23,806 is 1,190, so thousands. */
static void test_worked_out_loads_are_rounded(void **state) {
    (void)state;
    static const struct {
        double pounds;
        const char *want;
    } cases[] = {{1160.3, "1,150 lb"}, {1984, "2,000 lb"},    {23806, "24,000 lb"}, {11337, "11,500 lb"},
                 {1000, "1,000 lb"},   {400, "400 lb"},       {389, "390 lb"},      {7.26, "7.3 lb"},
                 {0, "0 lb"},          {-1160.3, "-1,150 lb"}};
    char out[AP_NUMBER_SIZE];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        ap_quantity_about(out, AP_UNITS_US, AP_DIM_LOAD, cases[i].pounds * 0.45359237);
        assert_string_equal(out, cases[i].want);
    }
    ap_quantity_about(out, AP_UNITS_US, AP_DIM_FORCE, 5200); /* 1,169 lb; a twentieth is 58 */
    assert_string_equal(out, "1,150 lb");
    ap_quantity_about(out, AP_UNITS_METRIC, AP_DIM_FORCE, 5200); /* 530.25 kg; a twentieth is 26.5 */
    assert_string_equal(out, "530 kg");
    ap_quantity_about(out, AP_UNITS_US, AP_DIM_LOAD, (double)NAN);
    assert_string_equal(out, "");
    ap_quantity_about(out, AP_UNITS_US, AP_DIM_LOAD, (double)INFINITY);
    assert_string_equal(out, "infinite lb");
    for (double value = 1e-3; value < 1e9;
         value *= 1.0137) { /* never off by more than a fortieth, and twice is as once */
        double about = ap_number_about(value);
        assert_true(fabs(about - value) <= value / 40 * (1 + 1e-9));
        assert_true(fabs(ap_number_about(about) - about) <= 1e-9 * about);
    }
}

static void test_odd_values(void **state) {
    (void)state;
    check_quantity(AP_UNITS_US, AP_DIM_LOAD, false, (double)NAN, "");
    check_quantity(AP_UNITS_METRIC, AP_DIM_LOAD, false, (double)INFINITY, "infinite kg");
    check_quantity(AP_UNITS_METRIC, AP_DIM_LOAD, false, 1e300, "1.000e+300 kg");
    check_quantity(AP_UNITS_US, AP_DIM_LENGTH, false, 1e300, "3.281e+300 ft");
    check_quantity(AP_UNITS_METRIC, AP_DIM_LOAD, false, -1e300, "-1.000e+300 kg");
    char out[AP_NUMBER_SIZE];
    ap_number_text(out, -0.0, 0, true);
    assert_string_equal(out, "0");
    ap_number_text(out, -0.004, 2, true);
    assert_string_equal(out, "0.00");
    ap_number_text(out, -1234.5678, 2, true);
    assert_string_equal(out, "-1,234.57");
    ap_number_text(out, 999999.96, 1, true);
    assert_string_equal(out, "1,000,000.0");
    ap_number_text(out, 999999999999999.0, 12, true);
    assert_string_equal(out, "999,999,999,999,999.000000000000");
    ap_number_text(out, 1234567.0, 0, false);
    assert_string_equal(out, "1234567");
    ap_number_text(out, 1.5, 40, false);
    assert_string_equal(out, "1.500000000000");
}

static void test_sentence_parts(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    check_str(ap_doc_quantity(p.doc, AP_DIM_LOAD, 4850 * 0.45359237, false), "4,850 lb");
    check_str(ap_doc_quantity(p.doc, AP_DIM_LOAD, (double)NAN, false), "not recorded");
    check_str(ap_doc_count(p.doc, 1204), "1,204");
    check_str(ap_doc_percent(p.doc, 0.184, 0), "18 %");
    check_str(ap_doc_percent(p.doc, 0.184, 1), "18.4 %");
    check_str(ap_doc_percent(p.doc, (double)NAN, 1), "not recorded");
    check_str(ap_doc_number(p.doc, 1.128, 2), "1.13");
    check_str(ap_doc_unit(p.doc, AP_DIM_LOAD, false), "lb");
    ap_date day;
    assert_true(ap_date_from_civil(&day, 2026, 10, 14));
    check_str(ap_doc_date(p.doc, day), "2026-10-14");
    check_str(ap_doc_date(p.doc, AP_DATE_NONE), "not recorded");
    check_str(ap_doc_printf(p.doc, "%d of %s", 3, "7"), "3 of 7");
    check_str(ap_doc_printf(p.doc, "%s", ""), "");
    page_close(&p);
}

/* What a spreadsheet reads must give the SI value back: ten digits, unit in the header. */
static void test_plain_cells(void **state) {
    (void)state;
    char out[AP_NUMBER_SIZE];
    ap_column load = {S("load"), S("Load"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0};
    ap_cell cell = {.value = 2199.9229945};
    ap_cell_plain(out, AP_UNITS_US, &load, &cell);
    check_close(strtod(out, NULL) * 0.45359237, 2199.9229945, 1e-6, "NIST SP 811 B.8, pound");
    assert_null(strchr(out, ','));
    assert_string_equal(ap_column_plain_unit(AP_UNITS_US, &load), "lb");
    ap_column length = {S("x"), S("x"), AP_CELL_QUANTITY, AP_DIM_LENGTH, false, 0};
    cell.value = 18.5 * 0.3048;
    ap_cell_plain(out, AP_UNITS_US, &length, &cell);
    assert_string_equal(out, "18.5");
    assert_string_equal(ap_column_plain_unit(AP_UNITS_US, &length), "ft");
    ap_column share = {S("x"), S("x"), AP_CELL_PERCENT, AP_DIM_NONE, false, 0};
    cell.value = 0.125;
    ap_cell_plain(out, AP_UNITS_US, &share, &cell);
    assert_string_equal(out, "12.5");
    assert_string_equal(ap_column_plain_unit(AP_UNITS_US, &share), "percent");
    cell.value = (double)NAN;
    ap_cell_plain(out, AP_UNITS_US, &share, &cell);
    assert_string_equal(out, "");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_quantities),
        cmocka_unit_test(test_force_as_the_mass_it_holds),
        cmocka_unit_test(test_worked_out_loads_are_rounded),
        cmocka_unit_test(test_odd_values),
        cmocka_unit_test(test_sentence_parts),
        cmocka_unit_test(test_plain_cells),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
