/* Dates and times as logs write them. The days come from ISO 8601 calendar dates read by ap_date_from_iso(). */
#include "support/check.h"

#include "text/when.h"

static void dates_with_one_reading(void **state) {
    (void)state;
    static const char *const texts[] = {
        "2026-10-05",           "2026/10/5",
        "2026.10.05",           "20261005",
        "2026-10-05T00:00",     "2026-10-05 00:00:00",
        "2026-10-05T00:00:00Z", "2026-10-05T14:05:09.250+02:00",
        "5 Oct 2026",           "5-Oct-26",
        "05 October 2026",      "Oct 5, 2026",
        "October 5 2026",       "Oct. 5, 2026",
        "5th Oct 2026",         "5. Oct 2026",
        "Mon 5 Oct 2026",       "Monday, October 5, 2026",
        "Oct 5, 2026 2:05 PM",  "  2026-10-05 ",
    };
    ap_date want;
    assert_true(ap_date_from_iso(&want, AP_STR_LIT("2026-10-05")));
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        ap_date got = AP_DATE_NONE;
        ap_refusal why;
        assert_int_equal(ap_date_orders(ap_str_from(texts[i])), 1);
        for (ap_date_order order = AP_DATES_UNSETTLED; order <= AP_DATES_DMY; order++) {
            if (!ap_when_read_date(&got, ap_str_from(texts[i]), order, &why)) {
                fail_msg("'%s': %s", texts[i], why.reason);
            }
            assert_int_equal(got, want);
        }
    }
}

static void orders_a_cell_allows(void **state) {
    (void)state;
    static const struct {
        const char *text;
        unsigned orders;
    } rows[] = {
        {"5/5/2026", 6},      {"5.10.2026", 6},      {"10/5/26", 6},     {"13/5/2026", 4},
        {"5/13/2026", 2},     {"10-05-2026", 6},     {"31/4/2026", 0},   {"13/13/2026", 0},
        {"2026-02-30", 0},    {"29 Feb 2024", 1},    {"29 Feb 2026", 0}, {"10/5/2026 7:30", 6},
        {"Mon 10/5/2026", 2}, {"Tue 5 Oct 2026", 0}, {"oak", 0},         {"", 0},
        {"4850", 0},          {"10/5", 0},           {"10/5-2026", 0},   {"45935", 0},
        {"5 Oct", 0},         {"2026-10-05x", 0},    {"1/2/3", 0},       {"10/5/2026 lunch", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        unsigned got = ap_date_orders(ap_str_from(rows[i].text));
        if (got != rows[i].orders) {
            fail_msg("'%s': %u, want %u", rows[i].text, got, rows[i].orders);
        }
    }
}

static void check_date(const char *text, ap_date_order order, const char *iso) {
    ap_date got = AP_DATE_NONE;
    ap_refusal why;
    char shown[AP_ISO_SIZE];
    if (!ap_when_read_date(&got, ap_str_from(text), order, &why)) {
        fail_msg("'%s': %s", text, why.reason);
    }
    ap_date_to_iso(shown, got);
    assert_string_equal(shown, iso);
}

static void the_settled_order_reads(void **state) {
    (void)state;
    check_date("5.10.2026", AP_DATES_DMY, "2026-10-05");
    check_date("10/5/2026", AP_DATES_MDY, "2026-10-05");
    check_date("10/5/2026", AP_DATES_DMY, "2026-05-10");
    check_date("10/5/26", AP_DATES_MDY, "2026-10-05");
    check_date("1/2/69", AP_DATES_MDY, "2069-01-02");
    check_date("1/2/70", AP_DATES_MDY, "1970-01-02");
    check_date("12/31/1999 23:59", AP_DATES_MDY, "1999-12-31");
}

static void check_date_refused(const char *text, ap_date_order order, const char *says) {
    ap_date got = AP_DATE_NONE;
    ap_refusal why;
    if (ap_when_read_date(&got, ap_str_from(text), order, &why) || !strstr(why.reason, says) || !why.remedy[0]) {
        fail_msg("'%s': '%s' should say '%s'", text, why.reason, says);
    }
    assert_int_equal(got, AP_DATE_NONE);
}

static void dates_refused(void **state) {
    (void)state;
    check_date_refused("10/5/2026", AP_DATES_UNSETTLED, "no settled order");
    check_date_refused("10/5/2026", AP_DATES_ISO, "does not begin with the year");
    check_date_refused("13/5/2026", AP_DATES_MDY, "no such day between 1900 and 2199 (read as month, day, year)");
    check_date_refused("2026-02-31", AP_DATES_ISO, "no such day");
    check_date_refused("1899-12-31", AP_DATES_ISO, "no such day");
    check_date_refused("Tue 2026-10-05", AP_DATES_ISO, "weekday");
    check_date_refused("45935", AP_DATES_MDY, "spreadsheet's day number");
    check_date_refused("yesterday", AP_DATES_MDY, "'yesterday' is not a date");
    check_date_refused("", AP_DATES_MDY, "not a date");
}

static void times(void **state) {
    (void)state;
    static const struct {
        const char *text;
        int minutes;
    } rows[] = {
        {"14:05", 845},
        {"2:05 pm", 845},
        {"2:05PM", 845},
        {"2pm", 840},
        {"2 p.m.", 840},
        {"1405", 845},
        {"14h05", 845},
        {"14h", 840},
        {"14.05", 845},
        {"14:05:59", 845},
        {"0:00", 0},
        {"12 am", 0},
        {"12 pm", 720},
        {"12:30 am", 30},
        {"23:59", 1439},
        {"0905", 545},
        {"9:05a", 545},
        {"2026-10-05T14:05", 845},
        {"2026-10-05 2:05 PM", 845},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_time got = AP_TIME_NONE;
        ap_refusal why;
        if (!ap_when_read_time(&got, ap_str_from(rows[i].text), &why) || got != rows[i].minutes) {
            fail_msg("'%s': %d, %s", rows[i].text, (int)got, why.reason);
        }
    }
    static const char *const refused[] = {"2",     "14",      "24:00",   "25:10",  "14:60",   "13 pm",
                                          "0 am",  "14:5",    "noonish", "",       "2:05:61", "140",
                                          "14050", "14:05 Z", "2pm-3pm", "14:05x", "0.586"};
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        ap_time got = AP_TIME_NONE;
        ap_refusal why;
        if (ap_when_read_time(&got, ap_str_from(refused[i]), &why) || !why.reason[0] || !why.remedy[0]) {
            fail_msg("'%s' read as %d", refused[i], (int)got);
        }
    }
}

/* Every day of 1900..2199 in four spellings. */
static void all_days_round_trip(void **state) {
    (void)state;
    ap_date first;
    ap_date last;
    assert_true(ap_date_from_civil(&first, 1900, 1, 1));
    assert_true(ap_date_from_civil(&last, 2199, 12, 31));
    for (ap_date day = first; day <= last; day++) {
        int y, m, d;
        char text[4][48];
        ap_date_to_civil(day, &y, &m, &d);
        snprintf(text[0], sizeof text[0], "%04d-%02d-%02d", y, m, d);
        snprintf(text[1], sizeof text[1], "%d/%d/%04d", m, d, y);
        snprintf(text[2], sizeof text[2], "%d.%d.%04d", d, m, y);
        snprintf(text[3], sizeof text[3], "%s %d, %04d", ap_month_name(m), d, y);
        static const ap_date_order orders[4] = {AP_DATES_ISO, AP_DATES_MDY, AP_DATES_DMY, AP_DATES_UNSETTLED};
        for (size_t i = 0; i < 4; i++) {
            ap_date got = AP_DATE_NONE;
            if (!ap_when_read_date(&got, ap_str_from(text[i]), orders[i], NULL) || got != day) {
                fail_msg("'%s'", text[i]);
            }
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dates_with_one_reading),
        cmocka_unit_test(orders_a_cell_allows),
        cmocka_unit_test(the_settled_order_reads),
        cmocka_unit_test(dates_refused),
        cmocka_unit_test(times),
        cmocka_unit_test(all_days_round_trip),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
