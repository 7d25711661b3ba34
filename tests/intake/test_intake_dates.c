/* The order of day and month is settled for the file as a whole, never guessed. */
#include "intake/kit.h"

#define ROW(date, pick) "J1," date "," pick ",red maple,4800,,,,,,\n"

static void expect_date(kit *k, const char *name, int year, int month, int day) {
    ap_pick pick;
    ap_arena arena;
    ap_date want = 0;
    ap_arena_init(&arena, 1 << 20);
    check_ok(ap_book_get_pick(&pick, &arena, k->book, ap_str_from(name), &k->err), &k->err);
    assert_true(ap_date_from_civil(&want, year, month, day));
    assert_int_equal(pick.date, want);
    ap_arena_release(&arena);
}

static void test_settled_by_a_line(void **state) {
    kit *k = *state;
    kit_import_text(k, "a.csv", KIT_HEADER ROW("5/6/2026", "1") ROW("7/7/2026", "2") ROW("5/14/2026", "3"));
    kit_says(k->result.files[0].date_order, "m/d/y (settled by line 4)");
    expect_date(k, "J1/1", 2026, 5, 6);
    kit_import_text(k, "b.csv", KIT_HEADER ROW("5/6/2026", "4") ROW("14/5/2026", "5"));
    kit_says(k->result.files[0].date_order, "d/m/y (settled by line 3)");
    expect_date(k, "J1/4", 2026, 6, 5);
}

static void test_two_readings_are_refused(void **state) {
    kit *k = *state;
    const char *path = kit_log(k, "a.csv", KIT_HEADER ROW("5/6/2026", "1") ROW("7/8/2026", "2"));
    check_refused(kit_import(k, path), AP_E_INPUT, &k->err, "'5/6/2026' on line 2");
    kit_says(ap_str_from(k->err.text), "--dates mdy or --dates dmy");
    assert_int_equal(kit_picks(k), 0);
    k->options.dates = AP_DATES_DMY;
    check_ok(kit_import(k, path), &k->err);
    kit_says(k->result.files[0].date_order, "d/m/y (given)");
    expect_date(k, "J1/1", 2026, 6, 5);
}

static void test_contradiction_names_both_lines(void **state) {
    kit *k = *state;
    check_refused(kit_import(k, kit_log(k, "a.csv", KIT_HEADER ROW("5/14/2026", "1") ROW("14/5/2026", "2"))),
                  AP_E_INPUT, &k->err, "line 2 can only be month first, line 3 only day first");
}

static void test_one_reading_needs_nothing(void **state) {
    kit *k = *state;
    kit_import_text(k, "a.csv", KIT_HEADER ROW("2026-05-06", "1") ROW("6 May 2026", "2"));
    assert_int_equal(k->result.totals.stored, 2);
    kit_says(k->result.files[0].date_order, "ISO");
    expect_date(k, "J1/2", 2026, 5, 6);
}

/* The first date has one reading, so the file is not looked through; a later one makes up for it. */
static void test_late_slashes_are_settled_late(void **state) {
    kit *k = *state;
    kit_import_text(k, "a.csv", KIT_HEADER ROW("2026-05-06", "1") ROW("5/6/2026", "2") ROW("5/14/2026", "3"));
    assert_int_equal(k->result.totals.stored, 3);
    expect_date(k, "J1/2", 2026, 5, 6);
    kit_says(k->result.files[0].date_order, "m/d/y (settled by line 4)");
}

static void test_late_slashes_that_nothing_settles(void **state) {
    kit *k = *state;
    kit_import_text(k, "a.csv", KIT_HEADER ROW("2026-05-06", "1") ROW("5/6/2026", "2") ROW("2026-05-07", "3"));
    assert_int_equal(k->result.totals.stored, 2);
    assert_int_equal(k->result.totals.set_aside, 1);
    kit_adds_up(k);
    kit_one(k, AP_INTAKE_SET_ASIDE, 3, 2, "date", "5/6/2026");
    assert_int_equal(k->result.kept[AP_INTAKE_WARNING], 1);
}

static void test_future_and_old(void **state) {
    kit *k = *state;
    kit_aside(k, ROW("2026-11-26", "1"), 2, "date", "'2026-11-26': the date is in the future");
    kit_import_text(k, "today.csv", KIT_HEADER ROW("2026-11-25", "2"));
    assert_int_equal(k->result.totals.stored, 1);
    assert_int_equal(k->result.kept[AP_INTAKE_WARNING], 0);
    kit_import_text(k, "old.csv", KIT_HEADER ROW("2001-03-02", "3"));
    assert_int_equal(k->result.totals.stored, 1);
    kit_one(k, AP_INTAKE_WARNING, 2, 2, "date", "more than twenty years ago");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_settled_by_a_line, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_two_readings_are_refused, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_contradiction_names_both_lines, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_one_reading_needs_nothing, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_late_slashes_are_settled_late, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_late_slashes_that_nothing_settles, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_future_and_old, kit_setup, kit_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
