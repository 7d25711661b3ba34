#include "support/check.h"

#include <limits.h>

#include "base/calendar.h"

static ap_date date(const char *iso) {
    ap_date out = AP_DATE_NONE;
    assert_true(ap_date_from_iso(&out, ap_str_from(iso)));
    return out;
}

/* POSIX.1-2017, XBD 4.16: seconds since the epoch, 86400 a day. 946684800 s, 951782400 s and 2^31 s are well known. */
static void known_days(void **state) {
    (void)state;
    assert_int_equal(date("1970-01-01"), 0);
    assert_int_equal(date("1969-12-31"), -1);
    assert_int_equal(date("2000-01-01"), 946684800 / 86400);
    assert_int_equal(date("2000-02-29"), 951782400 / 86400);
    assert_int_equal(date("2038-01-19"), (int)(INT64_C(2147483648) / 86400));
}

/* The Gregorian rule: a century year is a leap year only when 400 divides it (ISO 8601-1:2019, 4.2.1). */
static void leap_years(void **state) {
    (void)state;
    static const struct {
        int year;
        bool leap;
    } rows[] = {{1900, false}, {1904, true}, {2000, true}, {2023, false}, {2024, true}, {2100, false}, {2104, true}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_date out = AP_DATE_NONE;
        assert_int_equal(ap_date_from_civil(&out, rows[i].year, 2, 29), rows[i].leap);
    }
}

/* Every day the calendar covers, beside the C library's own. */
static void all_days(void **state) {
    (void)state;
    ap_date first = date("1900-01-01");
    ap_date last = date("2199-12-31");
    assert_int_equal(last - first + 1, 300 * 365 + 73); /* every fourth of 300 years, less 1900 and 2100 */
    for (ap_date day = first; day <= last; day++) {
        int y = 0;
        int m = 0;
        int d = 0;
        ap_date back = AP_DATE_NONE;
        struct tm parts;
        time_t seconds = (time_t)day * 86400;
        ap_date_to_civil(day, &y, &m, &d);
        assert_non_null(gmtime_r(&seconds, &parts));
        assert_int_equal(y, parts.tm_year + 1900);
        assert_int_equal(m, parts.tm_mon + 1);
        assert_int_equal(d, parts.tm_mday);
        assert_true(ap_date_from_civil(&back, y, m, d));
        assert_int_equal(back, day);
        char iso[AP_ISO_SIZE];
        ap_date_to_iso(iso, day);
        assert_int_equal(date(iso), day);
        assert_int_equal(ap_month_index(day), (y - 1970) * 12 + m - 1);
    }
}

static void refused(void **state) {
    (void)state;
    static const char *const dates[] = {
        "",           "2026-02-29", "2026-13-01",  "2026-00-10",  "2026-04-31", "2026-1-01",  "2026-01-1", "2026/01/01",
        "1899-12-31", "2200-01-01", "2026-01-01 ", " 2026-01-01", "20260101",   "2026-01-0x", "-026-01-01"};
    static const char *const times[] = {"", "24:00", "7:05", "07:60", "07:05:60", "0705", "07.05", "07:05:1", "-7:05"};
    for (size_t i = 0; i < sizeof dates / sizeof dates[0]; i++) {
        ap_date out = 77;
        assert_false(ap_date_from_iso(&out, ap_str_from(dates[i])));
        assert_int_equal(out, 77);
    }
    for (size_t i = 0; i < sizeof times / sizeof times[0]; i++) {
        ap_time out = 77;
        assert_false(ap_time_from_iso(&out, ap_str_from(times[i])));
        assert_int_equal(out, 77);
    }
    char iso[AP_ISO_SIZE];
    ap_date_to_iso(iso, AP_DATE_NONE);
    assert_string_equal(iso, "");
    ap_date_to_iso(iso, INT32_MAX);
    assert_string_equal(iso, "");
    ap_time_to_iso(iso, AP_TIME_NONE);
    assert_string_equal(iso, "");
    ap_time_to_iso(iso, 1440);
    assert_string_equal(iso, "");
}

static void times(void **state) {
    (void)state;
    char iso[AP_ISO_SIZE];
    ap_time out = AP_TIME_NONE;
    assert_true(ap_time_from_iso(&out, AP_STR_LIT("07:05")));
    assert_int_equal(out, 425);
    assert_true(ap_time_from_iso(&out, AP_STR_LIT("23:59:59")));
    assert_int_equal(out, 1439);
    ap_time_to_iso(iso, 425);
    assert_string_equal(iso, "07:05");
}

static void months(void **state) {
    (void)state;
    ap_date first = 0;
    ap_date last = 0;
    char iso[AP_ISO_SIZE];
    assert_true(ap_month_from_iso(&first, &last, AP_STR_LIT("2024-02")));
    assert_int_equal(first, date("2024-02-01"));
    assert_int_equal(last, date("2024-02-29"));
    assert_false(ap_month_from_iso(&first, &last, AP_STR_LIT("2024-13")));
    assert_false(ap_month_from_iso(&first, &last, AP_STR_LIT("2024-00")));
    assert_false(ap_month_from_iso(&first, &last, AP_STR_LIT("2024-2")));
    for (int index = -70 * 12; index < 230 * 12; index++) {
        ap_month_to_iso(iso, index);
        assert_true(ap_month_from_iso(&first, &last, ap_str_from(iso)));
        assert_int_equal(ap_month_first(index), first);
        assert_int_equal(ap_month_index(last), index);
        assert_true(index == 230 * 12 - 1 || ap_month_first(index + 1) == last + 1);
    }
    assert_int_equal(ap_month_first(INT_MAX), AP_DATE_NONE);
    assert_int_equal(ap_month_first(INT_MIN), AP_DATE_NONE);
    assert_string_equal(ap_month_name(1), "January");
    assert_string_equal(ap_month_name(12), "December");
    assert_string_equal(ap_month_name(13), "");
}

static void adding_months(void **state) {
    (void)state;
    assert_int_equal(ap_date_add_months(date("2026-01-31"), 1), date("2026-02-28"));
    assert_int_equal(ap_date_add_months(date("2024-01-31"), 1), date("2024-02-29"));
    assert_int_equal(ap_date_add_months(date("2026-03-31"), -13), date("2025-02-28"));
    assert_int_equal(ap_date_add_months(date("2026-10-05"), 3), date("2027-01-05"));
    assert_int_equal(ap_date_add_months(date("2199-12-01"), 1), AP_DATE_NONE);
    assert_int_equal(ap_date_add_months(date("2026-01-01"), INT_MAX), AP_DATE_NONE);
    assert_int_equal(ap_date_add_months(date("2026-01-01"), INT_MIN), AP_DATE_NONE);
    assert_int_equal(ap_date_add_months(AP_DATE_NONE, 1), AP_DATE_NONE);
}

static void today(void **state) {
    (void)state;
    /* A zone is at most 14 hours off: within a day of the clock's own day. */
    ap_date now = (ap_date)(time(NULL) / 86400);
    ap_date got = ap_date_today();
    assert_true(got >= now - 1 && got <= now + 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(known_days),    cmocka_unit_test(leap_years), cmocka_unit_test(all_days),
        cmocka_unit_test(refused),       cmocka_unit_test(times),      cmocka_unit_test(months),
        cmocka_unit_test(adding_months), cmocka_unit_test(today),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
