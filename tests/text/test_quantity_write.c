/* Whatever the reader makes of a text, the writer's text gives it back bit by bit. Expected values come from the reader alone: it
 * is held to published factors in test_quantity.c. */
#include "support/check.h"
#include "text/quantity.h"

enum { TEXT_MAX = 200 };

static ap_quantity read_text(const char *text, ap_dim dim, ap_unit bare) {
    const ap_quantity_rules rules = {.dim = dim, .default_unit = bare, .ton = AP_UNIT_US_TON, .decimal = '.'};
    ap_quantity got = {0};
    ap_refusal why;
    if (!ap_quantity_read(&got, ap_str_from(text), &rules, &why)) {
        fail_msg("'%s' was refused: %s", text, why.reason);
    }
    return got;
}

/* `bare` is the unit of the column it is written for. */
static void write_text(char out[TEXT_MAX], const ap_quantity *quantity, ap_dim dim, ap_unit bare, bool exact) {
    ap_buf text;
    ap_buf_init(&text, TEXT_MAX);
    ap_buf_append_cstr(&text, "x,");
    assert_int_equal(ap_quantity_write(&text, quantity->value, dim, quantity->written, bare), exact);
    assert_int_equal(text.status, AP_OK);
    assert_memory_equal(text.ptr, "x,", 2);
    snprintf(out, TEXT_MAX, "%.*s", (int)text.len - 2, text.ptr + 2);
    ap_buf_release(&text);
}

static void check_back(const char *text, ap_dim dim, ap_unit bare, ap_unit column, const char *wanted) {
    char written[TEXT_MAX];
    const ap_quantity was = read_text(text, dim, bare);
    write_text(written, &was, dim, column, true);
    if (wanted) {
        assert_string_equal(written, wanted);
    }
    const ap_quantity is = read_text(written, dim, column);
    if (was.value != is.value || was.written.unit != is.written.unit || was.written.quantum != is.written.quantum) {
        fail_msg("'%s' became '%s': %.17g (unit %d, digit %d), not %.17g (unit %d, digit %d)", text, written, is.value,
                 is.written.unit, is.written.quantum, was.value, was.written.unit, was.written.quantum);
    }
}

static void test_as_it_was_written(void **state) {
    (void)state;
    check_back("4,850 lb", AP_DIM_LOAD, 0, AP_UNIT_LB, "4850");
    check_back("4850#", AP_DIM_LOAD, 0, AP_UNIT_KG, "4850 lb");
    check_back("2.20 tonnes", AP_DIM_LOAD, 0, AP_UNIT_LB, "2.20 tonne");
    check_back("2 1/4 tons", AP_DIM_LOAD, 0, AP_UNIT_LB, "2 1/4 short ton");
    check_back("2 tons 150 lb", AP_DIM_LOAD, 0, AP_UNIT_LB, "4150"); /* read to 1 lb either way, and the same double */
    check_back("3 long tons", AP_DIM_LOAD, 0, 0, "3 long ton");
    check_back("18.6 kN", AP_DIM_LOAD, 0, AP_UNIT_KG, "18.6 kN");
    check_back("18' 6 1/2\"", AP_DIM_LENGTH, 0, AP_UNIT_FT, NULL);
    check_back("1/2 in", AP_DIM_LENGTH, 0, AP_UNIT_IN, "1/2 in"); /* bare, a spreadsheet makes a day of it */
    check_back("18 1/3 in", AP_DIM_LENGTH, 0, AP_UNIT_IN, "18 1/3 in");
    check_back("61 cm", AP_DIM_LENGTH, 0, AP_UNIT_IN, "61 cm");
    check_back("-0.5 ft", AP_DIM_LENGTH, 0, AP_UNIT_FT, "-0.5");
    check_back("-6 in", AP_DIM_LENGTH, 0, AP_UNIT_FT, "-6 in");
    check_back("15 %", AP_DIM_SHARE, 0, AP_UNIT_ONE, "15 %");
    check_back("0.15", AP_DIM_SHARE, 0, AP_UNIT_ONE, "0.15");
    check_back("-45", AP_DIM_ANGLE, AP_UNIT_DEG, AP_UNIT_DEG, "-45");
    check_back("0 lb", AP_DIM_LOAD, 0, AP_UNIT_LB, "0");
    check_back("0.000 kg", AP_DIM_LOAD, 0, AP_UNIT_LB, "0.000 kg");
    check_back("1234.56789012345678 kg", AP_DIM_LOAD, 0, AP_UNIT_KG, NULL);
    check_back("0.1000000000000000055511151231257827 m", AP_DIM_LENGTH, 0, AP_UNIT_M, NULL);
}

/* A column of feet and inches, of a tape's fractions, of every unit with every number of decimals. */
static void test_every_form_comes_back(void **state) {
    (void)state;
    static const char *const loads[] = {"kg",       "g",  "tonne", "lb",  "oz", "short ton",
                                        "long ton", "kN", "N",     "lbf", "kgf"};
    static const char *const lengths[] = {"m", "cm", "mm", "ft", "in", "yd"};
    char text[TEXT_MAX];
    for (int feet = 0; feet < 120; feet++) {
        for (int inches = 0; inches < 12; inches++) {
            snprintf(text, sizeof text, "%d ft %d in", feet, inches);
            check_back(text, AP_DIM_LENGTH, 0, AP_UNIT_FT, NULL);
            snprintf(text, sizeof text, "%d' %d %d/16\"", feet, inches, 1 + (feet + inches) % 15);
            check_back(text, AP_DIM_LENGTH, 0, AP_UNIT_FT, NULL);
            snprintf(text, sizeof text, "%d ft %d.%02d in", feet, inches, (feet * 7 + inches * 13) % 100);
            check_back(text, AP_DIM_LENGTH, 0, AP_UNIT_FT, NULL);
        }
    }
    uint32_t noise = 1;
    for (int i = 0; i < 20000; i++) {
        noise = noise * 1664525u + 1013904223u; /* any numbers will do */
        const int decimals = (int)(noise >> 8) % 8;
        const double number = (double)(noise >> 12) / (double)(1u << (noise % 12));
        snprintf(text, sizeof text, "%.*f %s", decimals, number, loads[noise % 11]);
        check_back(text, AP_DIM_LOAD, 0, i % 2 ? AP_UNIT_LB : AP_UNIT_KG, NULL);
        snprintf(text, sizeof text, "%.*f %s", decimals, number / 1000, lengths[noise % 6]);
        check_back(text, AP_DIM_LENGTH, 0, i % 2 ? AP_UNIT_FT : AP_UNIT_M, NULL);
    }
}

/* A value that no text of its own unit gives is written in as many digits as it takes. */
static void test_value_before_digits(void **state) {
    (void)state;
    char text[TEXT_MAX];
    uint32_t noise = 7;
    for (int i = 0; i < 5000; i++) {
        noise = noise * 1664525u + 1013904223u;
        const ap_quantity odd = {.value = ldexp((double)noise + 1.0 / 3.0, -(int)(noise % 40)),
                                 .written = {(uint8_t)(i % 3 == 0 ? AP_UNIT_NONE : AP_UNIT_LB), (uint8_t)(noise % 64)}};
        write_text(text, &odd, AP_DIM_LOAD, AP_UNIT_LB, true);
        const ap_quantity back = read_text(text, AP_DIM_LOAD, AP_UNIT_LB);
        assert_memory_equal(&back.value, &odd.value, sizeof odd.value);
    }
}

static void test_what_can_not_be_written_is_told(void **state) {
    (void)state;
    char text[TEXT_MAX];
    const ap_quantity tiny = {.value = 1.2345678901234567e-60};
    write_text(text, &tiny, AP_DIM_LOAD, AP_UNIT_LB, false);
    const ap_quantity back = read_text(text, AP_DIM_LOAD, AP_UNIT_LB);
    check_close(back.value, 0, 0, "the nearest number of 15 decimals");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_as_it_was_written),
        cmocka_unit_test(test_every_form_comes_back),
        cmocka_unit_test(test_value_before_digits),
        cmocka_unit_test(test_what_can_not_be_written_is_told),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    ap_quantity_release();
    return failed;
}
