#include "support/check.h"

#include <errno.h>

static void set_and_wrap(void **state) {
    (void)state;
    ap_error err;
    ap_error_clear(&err);
    assert_int_equal(ap_error_set(&err, AP_E_INPUT, "line %d: '%s'", 41, "approx"), AP_E_INPUT);
    assert_string_equal(err.text, "line 41: 'approx'");
    assert_int_equal(ap_error_wrap(&err, AP_E_INPUT, "unable to read '%s'", "june.csv"), AP_E_INPUT);
    assert_string_equal(err.text, "unable to read 'june.csv': line 41: 'approx'");
    /* The colon may be written by the caller too. */
    ap_error_wrap(&err, AP_E_BOOK, "import: ");
    assert_string_equal(err.text, "import: unable to read 'june.csv': line 41: 'approx'");
    assert_int_equal(err.code, AP_E_BOOK);
    /* Its own text as an argument. */
    ap_error_set(&err, AP_E_IO, "<%s>", err.text);
    assert_string_equal(err.text, "<import: unable to read 'june.csv': line 41: 'approx'>");
    ap_error_clear(&err);
    assert_int_equal(err.code, AP_OK);
    assert_string_equal(err.text, "");
    ap_error_wrap(&err, AP_E_IO, "alone: ");
    assert_string_equal(err.text, "alone");
}

static void no_record_wanted(void **state) {
    (void)state;
    assert_int_equal(ap_error_set(NULL, AP_E_LIMIT, "x"), AP_E_LIMIT);
    assert_int_equal(ap_error_wrap(NULL, AP_E_LIMIT, "x"), AP_E_LIMIT);
    assert_int_equal(ap_error_from_errno(NULL, ENOSPC, "write", "x"), AP_E_IO);
    ap_error_clear(NULL);
}

static void long_text_stays_utf8(void **state) {
    (void)state;
    char text[AP_ERROR_TEXT_MAX + 64];
    ap_error err;
    /* Each shift cuts the run of two-, three- and four-byte characters at another place. */
    static const char *const characters[] = {"\xC3\xA9", "\xE2\x82\xAC", "\xF0\x9F\x8C\xB3"};
    for (size_t kind = 0; kind < 3; kind++) {
        size_t step = strlen(characters[kind]);
        for (size_t shift = 0; shift < step; shift++) {
            size_t len = shift;
            memset(text, 'a', shift);
            while (len + step < sizeof text) {
                memcpy(text + len, characters[kind], step);
                len += step;
            }
            text[len] = '\0';
            ap_error_set(&err, AP_E_INPUT, "%s", text);
            assert_true(ap_utf8_is_valid(ap_str_from(err.text)));
            assert_true(strlen(err.text) >= AP_ERROR_TEXT_MAX - 4);
            assert_memory_equal(err.text, text, strlen(err.text));
        }
    }
}

static void from_errno(void **state) {
    (void)state;
    ap_error err;
    assert_int_equal(ap_error_from_errno(&err, ENOSPC, "write", "june.book"), AP_E_IO);
    assert_string_equal(err.text, "unable to write 'june.book': No space left on device");
    assert_int_equal(ap_error_from_errno(&err, ENOMEM, "read", "x"), AP_E_MEMORY);
}

/* The documented exit codes: 2 wrong use, 3 input or book unusable, 4 the machine failed. */
static void exit_codes(void **state) {
    (void)state;
    static const int want[] = {
        [AP_OK] = 0,          [AP_E_USAGE] = 2, [AP_E_INPUT] = 3,   [AP_E_DOMAIN] = 3, [AP_E_NOT_FOUND] = 2,
        [AP_E_AMBIGUOUS] = 2, [AP_E_BOOK] = 3,  [AP_E_BUSY] = 4,    [AP_E_LIMIT] = 4,  [AP_E_IO] = 4,
        [AP_E_MEMORY] = 4,    [AP_E_CHILD] = 4, [AP_E_INTERNAL] = 4};
    for (int i = AP_OK; i <= AP_E_INTERNAL; i++) {
        assert_int_equal(ap_status_exit_code((ap_status)i), want[i]);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(set_and_wrap), cmocka_unit_test(no_record_wanted), cmocka_unit_test(long_text_stays_utf8),
        cmocka_unit_test(from_errno),   cmocka_unit_test(exit_codes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
