#include "support/book_fixture.h"

#include "book/cranes.h"

static const ap_crane *only(book_fixture *it, ap_arena *arena) {
    const ap_crane *cranes = NULL;
    size_t count = 0;
    ap_error err;
    check_ok(ap_book_cranes(&cranes, &count, arena, it->book, &err), &err);
    assert_int_equal(count, 1);
    return cranes;
}

static ap_status end(book_fixture *it, ap_status status, ap_error *err) {
    return ap_book_end(it->book, status, err);
}

static void a_crane_is_entered_changed_and_its_past_kept(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    ap_book_author author = fixture_author();
    fixture_make(&it);
    ap_arena_init(&arena, 1 << 20);
    ap_crane_edit edit = {
        .name = AP_STR_LIT("Big <b>'; DROP TABLE crane"), .why = AP_STR_LIT("seen"), .author = &author};
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_crane_set(it.book, &edit, AP_CRANE_BLOCK_WEIGHT, 190.5, AP_STR_LIT("420 lb"), &err), &err);
    edit.name = AP_STR_LIT("BIG <B>'; drop table CRANE");
    check_ok(ap_book_crane_set(it.book, &edit, AP_CRANE_WEIGHED_AS, 2, AP_STR_LIT("gross"), &err), &err);
    check_ok(ap_book_crane_set(it.book, &edit, AP_CRANE_BAND, 0.05, AP_STR_LIT("5%"), &err), &err);
    check_ok(ap_book_crane_set(it.book, &edit, AP_CRANE_BLOCK_WEIGHT, NAN, AP_STR_LIT(""), &err), &err);
    check_ok(end(&it, AP_OK, &err), &err);
    const ap_crane *crane = only(&it, &arena);
    check_str(crane->name, "Big <b>'; DROP TABLE crane");
    assert_true(isnan(crane->block_weight_kg));
    assert_int_equal(crane->weighed_as, 2);
    check_close(crane->band, 0.05, 0, "as set");
    ap_entry_change *changes = NULL;
    size_t count = 0;
    check_ok(ap_book_crane_history(&changes, &count, &arena, it.book, edit.name, &err), &err);
    assert_int_equal(count, 4);
    check_str(changes[0].old_value, "190.5 kg");
    assert_null(changes[0].new_value.ptr);
    ap_arena_release(&arena);
    fixture_remove(&it);
}

static void what_no_crane_has_is_refused(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_book_author author = fixture_author();
    char long_name[400];
    memset(long_name, 'x', sizeof long_name);
    fixture_make(&it);
    const ap_crane_edit good = {.name = AP_STR_LIT("K1"), .why = AP_STR_LIT("w"), .author = &author};
    check_refused(ap_book_crane_set(it.book, &good, AP_CRANE_BAND, 0.02, AP_STR_LIT("2%"), &err), AP_E_INTERNAL, &err,
                  "transaction");
    check_ok(ap_book_begin(it.book, &err), &err);
    const ap_str names[] = {AP_STR_NONE,
                            AP_STR_LIT("  "),
                            AP_STR_LIT("a\nb"),
                            AP_STR_LIT("a\x1b[2Jb"),
                            AP_STR_LIT("\xff\xfe"),
                            {long_name, sizeof long_name}};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        ap_crane_edit edit = good;
        edit.name = names[i];
        check_refused(ap_book_crane_set(it.book, &edit, AP_CRANE_BAND, 0.02, AP_STR_LIT("2%"), &err), AP_E_INPUT, &err,
                      "name");
    }
    check_refused(ap_book_crane_set(it.book, &good, AP_CRANE_BLOCK_WEIGHT, -1, AP_STR_LIT("-1"), &err), AP_E_INPUT,
                  &err, "block_weight");
    check_refused(ap_book_crane_set(it.book, &good, AP_CRANE_BAND, 0.5, AP_STR_LIT("50%"), &err), AP_E_INPUT, &err,
                  "band");
    ap_calibration c = {.on = fixture_date("2026-09-01"), .factor = 0.5, .band = NAN, .source = AP_STR_LIT("s")};
    check_refused(ap_book_crane_calibrate(it.book, &good, &c, &err), AP_E_INPUT, &err, "above 0.5");
    c.factor = INFINITY;
    check_refused(ap_book_crane_calibrate(it.book, &good, &c, &err), AP_E_INPUT, &err, "above 0.5");
    c.factor = NAN;
    check_refused(ap_book_crane_calibrate(it.book, &good, &c, &err), AP_E_NOT_FOUND, &err, "2026-09-01");
    c = (ap_calibration){.on = c.on, .factor = 0.97, .band = NAN};
    check_refused(ap_book_crane_calibrate(it.book, &good, &c, &err), AP_E_INPUT, &err, "source");
    check_refused(ap_book_crane_chart(it.book, &good, NULL, 0, AP_STR_NONE, &err), AP_E_NOT_FOUND, &err, "load chart");
    ap_book_rollback(it.book);
    fixture_remove(&it);
}

static void a_chart_replaces_the_old_one_whole(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    ap_book_author author = fixture_author();
    fixture_make(&it);
    ap_arena_init(&arena, 1 << 20);
    const ap_crane_edit edit = {.name = AP_STR_LIT("K1"), .why = AP_STR_LIT("cab"), .author = &author};
    const ap_capacity_row first[] = {{28, 10, 6000}, {28, 12, 5000}};
    const ap_capacity_row second[] = {{NAN, 9, 7000}};
    const ap_capacity_row broken[] = {{28, 10, 6000}, {28, 10, 5000}};
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_crane_chart(it.book, &edit, first, 2, AP_STR_LIT("2 rows"), &err), &err);
    check_ok(end(&it, AP_OK, &err), &err);
    check_ok(ap_book_begin(it.book, &err), &err);
    ap_status status = ap_book_crane_chart(it.book, &edit, broken, 2, AP_STR_LIT("broken"), &err);
    assert_int_not_equal(status, AP_OK);
    assert_int_not_equal(end(&it, status, &err), AP_OK);
    assert_int_equal(only(&it, &arena)->chart_count, 2);
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_crane_chart(it.book, &edit, second, 1, AP_STR_LIT("1 row"), &err), &err);
    check_ok(end(&it, AP_OK, &err), &err);
    const ap_crane *crane = only(&it, &arena);
    assert_int_equal(crane->chart_count, 1);
    assert_true(isnan(crane->chart[0].boom_m));
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM crane_history WHERE old_value LIKE '2 rows%28,12,5000'"),
                     1);
    ap_arena_release(&arena);
    fixture_remove(&it);
}

/* The spelling most picks have stands for the crane; case and blanks do not make two. */
static void the_logs_name_their_cranes(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    static const char *const written[] = {"big crane", "Big Crane", " Big Crane ", "K2", ""};
    fixture_make(&it);
    ap_arena_init(&arena, 1 << 20);
    fixture_import_begin(&it, "log.csv", '1');
    for (size_t i = 0; i < 5; i++) {
        char name[8];
        snprintf(name, sizeof name, "%zu", i + 1);
        ap_pick pick = fixture_pick(&it, "J1", name, i == 0 ? "2026-08-01" : "2026-09-01", 5000);
        pick.crane = ap_str_from(written[i]);
        fixture_offer(&it, &pick, NULL);
    }
    fixture_import_end(&it);
    ap_crane_use *uses = NULL;
    size_t count = 0;
    size_t left_out = 0;
    check_ok(ap_book_crane_uses(&uses, &count, &left_out, &arena, it.book, &err), &err);
    assert_int_equal(count, 2);
    check_str(uses[0].name, "Big Crane");
    assert_int_equal(uses[0].picks, 3);
    assert_int_equal(uses[0].first, fixture_date("2026-08-01"));
    assert_int_equal(uses[0].last, fixture_date("2026-09-01"));
    check_str(uses[1].name, "K2");
    ap_arena_release(&arena);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_crane_is_entered_changed_and_its_past_kept),
        cmocka_unit_test(what_no_crane_has_is_refused),
        cmocka_unit_test(a_chart_replaces_the_old_one_whole),
        cmocka_unit_test(the_logs_name_their_cranes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
