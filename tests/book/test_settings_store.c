/* Settings in the book: bounds, and a history of every change. */
#include "book/settings_store.h"
#include "support/book_fixture.h"

static void change(book_fixture *it, const char *name, const char *value, double si, const char *why) {
    ap_error err;
    ap_book_author author = fixture_author();
    ap_error_clear(&err);
    const ap_setting *setting = ap_setting_find(ap_str_from(name));
    assert_non_null(setting);
    check_ok(ap_book_begin(it->book, &err), &err);
    check_ok(ap_book_setting_change(it->book, setting, ap_str_from(value), si, ap_str_from(why), &author, &err), &err);
    check_ok(ap_book_commit(it->book, &err), &err);
}

static void refuse(book_fixture *it, const char *name, const char *value, double si, const char *says) {
    ap_error err;
    ap_book_author author = fixture_author();
    ap_error_clear(&err);
    const ap_setting *setting = ap_setting_find(ap_str_from(name));
    assert_non_null(setting);
    check_ok(ap_book_begin(it->book, &err), &err);
    check_refused(ap_book_setting_change(it->book, setting, ap_str_from(value), si, AP_STR_LIT("x"), &author, &err),
                  AP_E_INPUT, &err, says);
    ap_book_rollback(it->book);
}

static void test_settings(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_settings defaults;
    ap_settings got;
    fixture_make(&it);
    ap_settings_defaults(&defaults);
    check_ok(ap_book_settings_read(&got, it.book, &err), &err);
    assert_memory_equal(&got, &defaults, sizeof got);

    change(&it, "company", "Example tree crew", (double)NAN, "the name");
    change(&it, "ton", "SHORT", (double)NAN, "all our logs are in short tons");
    change(&it, "band_stop", "0.80", 0.80, "more room");
    change(&it, "band_stop", "0.9", 0.9, "less room");
    change(&it, "block_weight", "420 lb", 420 * 0.45359237, "new block");
    check_ok(ap_book_settings_read(&got, it.book, &err), &err);
    assert_string_equal(got.company, "Example tree crew");
    assert_int_equal(got.ton, 1);
    check_close(got.band_stop, 0.9, 0, "as set");
    check_close(got.block_weight_kg, 190.5087954, 1e-9, "420 x 0.45359237, NIST SP 811");
    check_close(got.band_watch, defaults.band_watch, 0, "untouched");

    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM setting_history WHERE name = 'band_stop'"), 2);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM setting_history WHERE name = 'band_stop' AND old_value IS NULL AND "
                            "new_value = '0.80' AND who = 'safety officer' AND why = 'more room'"),
        1);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM setting_history WHERE old_value = '0.80' AND new_value = '0.9'"), 1);
    fixture_remove(&it);
}

static void test_refusals(void **state) {
    (void)state;
    book_fixture it;
    fixture_make(&it);
    refuse(&it, "ton", "stone", (double)NAN, "none of ask|short|long|tonne");
    refuse(&it, "band_stop", "9", 9, "must be from 0.1 to 1");
    refuse(&it, "band_stop", "x", (double)NAN, "must be from");
    refuse(&it, "block_weight", "-1 lb", -0.45, "must be from 0 kg to 5000 kg");
    refuse(&it, "company", "bad \xff byte", 0, "not valid UTF-8");
    char longest[300];
    memset(longest, 'x', sizeof longest - 1);
    longest[sizeof longest - 1] = '\0';
    refuse(&it, "company", longest, 0, "at most 127 bytes");
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM setting_history"), 0);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_settings), cmocka_unit_test(test_refusals)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
