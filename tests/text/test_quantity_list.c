/* Lists of quantities and the stiffness of a spring. Factors: NIST SP 811 B.8 (1 lbf = 4.448222 N, 1 in = 0.0254 m). */
#include "support/check.h"

#include "text/quantity_list.h"

static const ap_quantity_rules lengths = {.dim = AP_DIM_LENGTH, .decimal = '.'};

static void lists_are_read(void **state) {
    (void)state;
    static const struct {
        const char *text;
        size_t count;
        double values[4];
    } rows[] = {
        {"6m,8m", 2, {6, 8}},
        {" 6 m , 8.5m ", 2, {6, 8.5}},
        {"16ft;17'6\"", 2, {16 * 0.3048, 17.5 * 0.3048}},
        {"10 ft", 1, {3.048}},
        {"-0.3m,0.3m,0m,30cm", 4, {-0.3, 0.3, 0, 0.3}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double out[4] = {NAN, NAN, NAN, NAN};
        size_t count = 0;
        size_t at = 0;
        ap_unit unit = AP_UNIT_NONE;
        ap_refusal why;
        assert_true(ap_quantity_list_read(out, &count, 4, &unit, ap_str_from(rows[i].text), &lengths, &why, &at));
        assert_int_equal(count, rows[i].count);
        assert_int_equal(unit, i == 2 || i == 3 ? AP_UNIT_FT : AP_UNIT_M);
        for (size_t k = 0; k < count; k++) {
            check_close(out[k], rows[i].values[k], 1e-12, "NIST SP 811 B.8");
        }
    }
    check_str(ap_quantity_list_part(AP_STR_LIT("1,200 lb; 900 lb"), 0), "1,200 lb");
    check_str(ap_quantity_list_part(AP_STR_LIT("1,200 lb; 900 lb"), 1), "900 lb");
    assert_null(ap_quantity_list_part(AP_STR_LIT("1,200 lb; 900 lb"), 2).ptr);
}

static void lists_are_refused(void **state) {
    (void)state;
    static const struct {
        const char *text;
        size_t at;
        const char *says;
    } rows[] = {
        {"6,5m,8m", 0, "no unit"},
        {"6m,,8m", 1, ""},
        {"6m,8", 1, ""},
        {"", 0, ""},
        {"1m,2m,3m,4m,5m", 4, "more than 4"},
        {"6m,8kg", 1, ""},
        {"6m,about 8m", 1, ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double out[4];
        size_t count = 0;
        size_t at = 0;
        ap_refusal why;
        assert_false(ap_quantity_list_read(out, &count, 4, NULL, ap_str_from(rows[i].text), &lengths, &why, &at));
        assert_int_equal(at, rows[i].at);
        assert_true(why.reason[0] != '\0');
        assert_non_null(strstr(why.reason, rows[i].says));
    }
}

static void stiffness_is_read(void **state) {
    (void)state;
    static const struct {
        const char *text;
        double n_m;
    } rows[] = {
        {"90N/m", 90},
        {"25 kN / m", 25000},
        {"50lb/in", 50 * 4.4482216152605 / 0.0254},
        {"50 lbf/in", 50 * 4.4482216152605 / 0.0254},
        {"1,200 lb/ft", 1200 * 4.4482216152605 / 0.3048},
        {"2N/mm", 2000},
        {"0N/m", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double out = NAN;
        ap_refusal why;
        assert_true(ap_stiffness_read(&out, ap_str_from(rows[i].text), &why));
        check_close(out, rows[i].n_m, 1e-9 * rows[i].n_m, "NIST SP 811 B.8");
    }
    static const char *const bad[] = {"90", "90N", "90N/", "/m", "90m/N", "90N/kg", "90N/m/m", "", "much/m", "90N/2m"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double out = -7;
        ap_refusal why;
        assert_false(ap_stiffness_read(&out, ap_str_from(bad[i]), &why));
        assert_true(why.reason[0] && out == -7);
    }
    double list[2];
    size_t count = 0;
    size_t at = 0;
    ap_refusal why;
    assert_true(ap_stiffness_list_read(list, &count, 2, AP_STR_LIT("90N/m,2N/mm"), &why, &at));
    assert_int_equal(count, 2);
    assert_false(ap_stiffness_list_read(list, &count, 2, AP_STR_LIT("90N/m,2N/mm,1N/m"), &why, &at));
    assert_int_equal(at, 2);
    assert_false(ap_stiffness_list_read(list, &count, 2, AP_STR_LIT("90N/m,2N"), &why, &at));
    assert_int_equal(at, 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lists_are_read),
        cmocka_unit_test(lists_are_refused),
        cmocka_unit_test(stiffness_is_read),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    ap_quantity_release();
    return failed;
}
