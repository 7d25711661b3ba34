/* A cell's stored value as text. Sources beside each check: ECMA-376-1 18.8.30 (fixed formats), 18.8.31 (codes), 18.17.4.1
 * (serial dates), ODF 1.3 part 3 18.2 (dateTime and duration of XML Schema part 2), and Python's datetime for dates. */
#include "support/check.h"

#include "text/workbook_parts.h"

static void check_number(double value, const char *want) {
    char out[AP_VALUE_SIZE];
    ap_value_number(out, value);
    assert_string_equal(out, want);
}

static void test_numbers(void **state) {
    (void)state;
    check_number(0.1 + 0.2, "0.3"); /* 15 digits: ECMA-376-1 18.17.2.1 gives a double's */
    check_number(1.0 / 3.0, "0.333333333333333");
    check_number(4850, "4850");
    check_number(-12.5, "-12.5");
    check_number(0.0, "0");
    check_number(-0.0, "0");
    check_number(1e15, "1000000000000000");
    check_number(123456789012345678.0, "123456789012346000");
    check_number(1e20, "100000000000000000000");
    check_number(1e21, "1E+21");
    check_number(1.5e300, "1.5E+300");
    check_number(0.001, "0.001");
    check_number(1.25e-12, "0.00000000000125");
    check_number(1e-13, "1E-13");
    check_number(999999999999999.9, "1000000000000000");
    check_number(99999.999999999996, "100000");
}

/* Every number of at most 15 digits reads back to the same double (IEEE 754-2008 5.12.2: 15 digits survive). */
static void test_numbers_read_back(void **state) {
    (void)state;
    char out[AP_VALUE_SIZE];
    uint64_t seed = 20261005;
    for (int i = 0; i < 20000; i++) {
        seed = seed * 6364136223846793005u + 1442695040888963407u;
        int64_t digits = (int64_t)(seed >> 16) % 1000000000000000;
        char text[64];
        snprintf(text, sizeof text, "%llde%d", (long long)digits, (int)(seed >> 58) - 40);
        double value = 0.0;
        double again = 1.0;
        assert_true(ap_value_read_number(&value, ap_str_from(text)));
        ap_value_number(out, value);
        assert_true(ap_value_read_number(&again, ap_str_from(out)));
        assert_true(again == value);
    }
}

static void test_damaged_numbers(void **state) {
    (void)state;
    static const char *const bad[] = {"", "abc", "0x10", "nan", "inf", "1e999", "1,5", "1 2", "--1", "e5", "."};
    double value = 7.0;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_false(ap_value_read_number(&value, ap_str_from(bad[i])));
    }
}

/* The value under a format code. */
static void check_code(const char *code, double value, const char *want) {
    ap_value_format format;
    char out[AP_VALUE_SIZE];
    ap_value_format_code(&format, ap_str_from(code));
    const char *trouble = ap_value_formatted(out, &format, value, false);
    if (trouble || strcmp(out, want) != 0) {
        fail_msg("'%s': got '%s' (%s), want '%s'", code, out, trouble ? trouble : "fine", want);
    }
}

/* 46300.5868055... = 2026-10-05 14:05: datetime.date(1899, 12, 30) + 46300 days. */
#define OCTOBER (46300.0 + 14.0 / 24.0 + 5.0 / 1440.0)

static void test_date_codes(void **state) {
    (void)state;
    check_code("mm-dd-yy", OCTOBER, "2026-10-05");
    check_code("d\\.m\\.yyyy", OCTOBER, "2026-10-05");
    check_code("[$-F800]dddd\\,\\ mmmm\\ dd\\,\\ yyyy", OCTOBER, "2026-10-05");
    check_code("[$-409]mmmm\\-yy;@", OCTOBER, "2026-10-05");
    check_code("m/d", OCTOBER, "2026-10-05");
    check_code("mmm", OCTOBER, "2026-10-05");
    check_code("m/d/yy h:mm", OCTOBER, "2026-10-05 14:05");
    check_code("yyyy\\-mm\\-dd\\Thh:mm:ss", OCTOBER, "2026-10-05 14:05");
    check_code("h:mm", OCTOBER, "14:05");
    check_code("h:mm AM/PM", OCTOBER, "14:05");
    check_code("hh\"h\"mm", OCTOBER, "14:05");
    check_code("[$-409]h:mm\\ a/p", OCTOBER, "14:05");
    check_code("mm:ss", 65.0 / 86400.0, "00:01:05");
    check_code("mm:ss.0", 65.0 / 86400.0, "00:01:05");
    check_code("h:mm:ss", OCTOBER + 7.0 / 86400.0, "14:05:07");
    check_code("h:mm", OCTOBER + 59.0 / 86400.0, "14:05");
    check_code("h:mm", OCTOBER - 1e-9, "14:05"); /* a hair below, as sums are */
    check_code("[h]:mm", 1.0 + 3.5 / 24.0, "27:30");
    check_code("[mm]:ss", 90.0 / 1440.0, "01:30");
    check_code("m/d/yy h:mm", 0.5, "12:00"); /* a time alone */
    check_code("m/d/yy h:mm", 46300, "2026-10-05");
}

static void test_number_codes(void **state) {
    (void)state;
    check_code("General", 4850.5, "4850.5");
    check_code("#,##0.00", 4850, "4850");
    check_code("0%", 0.35, "35%");
    check_code("0.00%", 0.0725, "7.25%");
    check_code("0%", 0.07, "7%"); /* 0.07 * 100 is not 7 in binary */
    check_code("0.00E+00", 1500, "1500");
    check_code("# ?/?", 18.5, "18.5");
    check_code("[Red][>100]0;[Blue]0", 120, "120");
    check_code("\"d\" 0 \"days\"", 3, "3");
    check_code("_(* #,##0_);_(* (#,##0)", -7, "-7");
    check_code("@", 7, "7");
    check_code("\"$\"#,##0", 12.5, "12.5");
    /* What only the format says. */
    check_code("#,##0\" lb\"", 4850, "4850 lb");
    check_code("0.0\\ \\k\\g", 12.25, "12.25 kg");
    check_code("0.0 m", 3.25, "3.25 m");
    check_code("General\" ft\"", 18.5, "18.5 ft");
    check_code("0.0 yd", 3, "3 yd");
    check_code("0.0,\" t\"", 4850, "4.85 t");
    check_code("0,", 4850, "4850"); /* no unit behind it: the value as stored */
    check_code("0000", 231, "0231");
    check_code("\"J\"000", 7, "J007");
    check_code("\"J\"000", 7.5, "7.5");
    check_code("0", 7, "7");
    check_code("", 7, "7");
    check_code("\"open", 7, "7");
    check_code("[h", 1.5, "36:00");
    check_code("\\", 7, "7");
}

static void test_builtin(void **state) {
    (void)state;
    ap_value_format format;
    for (unsigned id = 0; id < AP_FORMAT_BUILTIN; id++) { /* ECMA-376-1 18.8.30 */
        ap_value_format_builtin(&format, id);
        int want = id == 9 || id == 10                              ? AP_VALUE_PERCENT
                   : id >= 14 && id <= 17                           ? AP_VALUE_DATE
                   : (id >= 18 && id <= 21) || id == 45 || id == 47 ? AP_VALUE_TIME
                   : id == 22                                       ? AP_VALUE_DATE_TIME
                   : id == 46                                       ? AP_VALUE_DURATION
                                                                    : AP_VALUE_NUMBER;
        assert_int_equal(format.kind, want);
    }
}

static void check_serial(double serial, bool from_1904, const char *want, const char *trouble) {
    const ap_value_format date = {.kind = AP_VALUE_DATE};
    char out[AP_VALUE_SIZE];
    const char *got = ap_value_serial(out, &date, serial, from_1904);
    assert_string_equal(out, want);
    if (trouble) {
        assert_non_null(got);
        assert_non_null(strstr(got, trouble));
    } else {
        assert_null(got);
    }
}

static void test_serials(void **state) {
    (void)state;
    check_serial(1, false, "1900-01-01", NULL);
    check_serial(59, false, "1900-02-28", NULL);
    check_serial(60, false, "1900-02-29", "was no day");
    check_serial(61, false, "1900-03-01", NULL);
    check_serial(25569, false, "1970-01-01", NULL);
    check_serial(46300, false, "2026-10-05", NULL);
    check_serial(109574, false, "2199-12-31", NULL); /* date(2199, 12, 31) - date(1899, 12, 30) */
    check_serial(109575, false, "109575", "outside");
    check_serial(3e6, false, "3000000", "outside");
    check_serial(0, false, "0", "outside");
    check_serial(-1, false, "-1", "below zero");
    check_serial(0, true, "1904-01-01", NULL);
    check_serial(1, true, "1904-01-02", NULL);
    check_serial(44838, true, "2026-10-05", NULL); /* 1462 days less */
    check_serial(46300.9999999, false, "2026-10-06", NULL);
}

static void check_iso(const char *text, const char *want, bool fine) {
    char out[AP_VALUE_SIZE];
    const char *trouble = text[0] == 'P' || text[0] == '-' ? ap_value_iso_length(out, ap_str_from(text))
                                                           : ap_value_iso(out, ap_str_from(text));
    assert_string_equal(out, want);
    assert_int_equal(trouble == NULL, fine);
}

static void test_iso(void **state) {
    (void)state;
    check_iso("2026-10-05", "2026-10-05", true);
    check_iso("2026-10-05T14:05:00", "2026-10-05 14:05", true);
    check_iso("2026-10-05T14:05:07.4999", "2026-10-05 14:05:07", true);
    check_iso("2026-10-05T14:05:06.5000001Z", "2026-10-05 14:05:07", true);
    check_iso("2026-10-05T00:00:00", "2026-10-05", true);
    check_iso("1899-12-30T14:05:00", "14:05", true);
    check_iso("14:05:30", "14:05:30", true);
    check_iso("14:05", "14:05", true);
    check_iso("2026-02-30", "2026-02-30", false);
    check_iso("2026-10-05T25:00:00", "2026-10-05T25:00:00", false);
    check_iso("12026-10-05", "12026-10-05", false);
    check_iso("\xC3\xA9", "?", false);
    check_iso("", "", false);
    check_iso("PT14H05M00S", "14:05", true);
    check_iso("PT14H05M29.9999999S", "14:05:30", true);
    check_iso("PT27H30M", "27:30", true);
    check_iso("P1DT2H", "26:00", true);
    check_iso("PT90M", "01:30", true);
    check_iso("-PT1H", "01:00", false);
    check_iso("P1Y", "P1Y", false);
    check_iso("PT", "00:00", true);
    check_iso("P", "P", false);
    check_iso("PT5", "PT5", false);
    check_iso("PT999999999H", "999999999:00", true);
    check_iso("P999999999DT999999999H999999999M999999999S", "25016944419:25:39", true);
}

static void check_shown(double value, const char *shown, const char *want, bool fine) {
    char out[AP_VALUE_SIZE];
    ap_value_number(out, value);
    const char *trouble = ap_value_add_shown(out, value, ap_str_from(shown));
    if ((trouble == NULL) != fine || strcmp(out, want) != 0) {
        fail_msg("'%s': got '%s' (%s), want '%s'", shown, out, trouble ? trouble : "fine", want);
    }
}

static void test_shown(void **state) {
    (void)state;
    check_shown(4850, "4,850 lb", "4850 lb", true);
    check_shown(4850.4, "4,850 lb", "4850.4 lb", true);
    check_shown(-3.25, "-3.3 m", "-3.25 m", true);
    check_shown(12.5, "12,50 kg", "12.5 kg", true);
    check_shown(4850, "4.850 kg", "4850 kg", true);
    check_shown(4850, "4.9 t", "4850", false); /* shown in thousands: which of the two is meant is not guessed */
    check_shown(4850, "0.00485E+06", "4850", true);
    check_shown(7, "007", "007", true);
    check_shown(231, "J231", "J231", true);
    check_shown(231, "J-0231", "J-0231", true);
    check_shown(50, "4850", "50", true);
    check_shown(12.5, "$12.50", "12.5", true);
    check_shown(12.5, "", "12.5", true);
    check_shown(-7, "(7)", "-7", true);
    char out[AP_VALUE_SIZE] = "7"; /* found by the fuzzer: no text at all */
    assert_null(ap_value_add_shown(out, 7, AP_STR_NONE));
    assert_string_equal(out, "7");
    assert_non_null(ap_value_iso(out, AP_STR_NONE));
    assert_non_null(ap_value_iso_length(out, AP_STR_NONE));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_numbers),         cmocka_unit_test(test_numbers_read_back),
        cmocka_unit_test(test_damaged_numbers), cmocka_unit_test(test_date_codes),
        cmocka_unit_test(test_number_codes),    cmocka_unit_test(test_builtin),
        cmocka_unit_test(test_serials),         cmocka_unit_test(test_iso),
        cmocka_unit_test(test_shown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
