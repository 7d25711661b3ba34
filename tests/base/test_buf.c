#include "support/check.h"

static void grows(void **state) {
    (void)state;
    ap_buf buf;
    ap_buf_init(&buf, 100000);
    assert_null(ap_buf_str(&buf).ptr);
    for (int i = 0; i < 10000; i++) {
        ap_buf_append_char(&buf, (char)('a' + i % 26));
    }
    assert_int_equal(buf.len, 10000);
    assert_int_equal(buf.ptr[10000], '\0');
    assert_int_equal(buf.ptr[9999], 'a' + 9999 % 26);
    ap_buf_append(&buf, NULL, 0);
    ap_buf_append_str(&buf, AP_STR_NONE);
    ap_buf_append_cstr(&buf, NULL);
    assert_int_equal(buf.len, 10000);
    check_ok(ap_buf_check(&buf, "x", NULL), NULL);
    ap_buf_release(&buf);
    ap_buf_release(&buf);
}

static void maximum_is_exact_and_sticks(void **state) {
    (void)state;
    ap_buf buf;
    ap_error err;
    ap_error_clear(&err);
    ap_buf_init(&buf, 5);
    ap_buf_append_cstr(&buf, "12345");
    check_ok(ap_buf_check(&buf, "the row", &err), &err);
    ap_buf_append_cstr(&buf, "6");
    check_refused(ap_buf_check(&buf, "the row", &err), AP_E_LIMIT, &err, "the row is longer than its limit of 5 bytes");
    check_str(ap_buf_str(&buf), "12345");
    ap_buf_clear(&buf);
    check_ok(ap_buf_check(&buf, "the row", &err), &err);
    ap_buf_append_cstr(&buf, "123456"); /* too long: nothing of it is taken */
    ap_buf_append_cstr(&buf, "1");      /* would fit, but the first failure sticks */
    assert_int_equal(buf.len, 0);
    assert_int_equal(buf.status, AP_E_LIMIT);
    ap_buf_release(&buf);

    ap_buf_init(&buf, 0);
    ap_buf_append_char(&buf, 'x');
    assert_int_equal(buf.status, AP_E_LIMIT);
    ap_buf_release(&buf);
}

static void formats(void **state) {
    (void)state;
    ap_buf buf;
    for (int len = 250; len < 262; len++) { /* around the small buffer inside */
        ap_buf_init(&buf, 2000);
        ap_buf_appendf(&buf, "%d|%*s|", len, len, "x");
        assert_int_equal(buf.len, 5 + len);
        assert_int_equal(strlen(buf.ptr), 5 + len);
        ap_buf_release(&buf);
    }
    ap_buf_init(&buf, 300);
    ap_buf_appendf(&buf, "%300s", "x");
    assert_int_equal(buf.status, AP_OK);
    ap_buf_appendf(&buf, "%301s", "x");
    assert_int_equal(buf.status, AP_E_LIMIT);
    assert_int_equal(buf.len, 300);
    ap_buf_release(&buf);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grows),
        cmocka_unit_test(maximum_is_exact_and_sticks),
        cmocka_unit_test(formats),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
