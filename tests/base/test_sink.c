#include "support/check.h"

#include "base/sink.h"

static void to_buffer(void **state) {
    (void)state;
    ap_buf buf;
    ap_error err;
    ap_error_clear(&err);
    ap_buf_init(&buf, 20);
    ap_sink sink = ap_sink_to_buf(&buf);
    ap_sink_puts(&sink, "picks");
    ap_sink_putc(&sink, ' ');
    ap_sink_printf(&sink, "%d of %d", 3, 40);
    ap_sink_put(&sink, AP_STR_NONE);
    check_ok(ap_sink_check(&sink, "the list", &err), &err);
    check_str(ap_buf_str(&buf), "picks 3 of 40");
    ap_sink_puts(&sink, "12345678");
    ap_sink_puts(&sink, "1"); /* after the first failure nothing more is written */
    check_refused(ap_sink_check(&sink, "the list", &err), AP_E_LIMIT, &err, "the list is longer");
    check_str(ap_buf_str(&buf), "picks 3 of 40");
    ap_buf_release(&buf);
}

/* /dev/full answers every write with "no space left" (Linux man-pages, full(4)). */
static void full_disk(void **state) {
    (void)state;
    FILE *full = fopen("/dev/full", "w");
    if (!full) {
        print_message("full_disk: not run (no /dev/full here)\n");
        return;
    }
    ap_error err;
    ap_error_clear(&err);
    ap_sink sink = ap_sink_to_stream(full);
    ap_sink_puts(&sink, "short enough to stay in the stream's buffer");
    check_refused(ap_sink_check(&sink, "standard output", &err), AP_E_IO, &err,
                  "unable to write 'standard output': No space left on device");
    fclose(full);

    full = fopen("/dev/full", "w");
    assert_non_null(full);
    sink = ap_sink_to_stream(full);
    for (int i = 0; i < 100; i++) {
        ap_sink_printf(&sink, "%1000s", "longer than any buffer");
    }
    assert_int_equal(sink.status, AP_E_IO);
    check_refused(ap_sink_check(&sink, "standard output", &err), AP_E_IO, &err, "No space left on device");
    fclose(full);
}

static void to_stream(void **state) {
    (void)state;
    FILE *stream = tmpfile();
    assert_non_null(stream);
    ap_sink sink = ap_sink_to_stream(stream);
    ap_sink_put(&sink, AP_STR_LIT("a\0b"));
    ap_sink_printf(&sink, "%2000s", "x");
    check_ok(ap_sink_check(&sink, "x", NULL), NULL);
    assert_int_equal(ftell(stream), 2003);
    fclose(stream);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(to_buffer),
        cmocka_unit_test(full_disk),
        cmocka_unit_test(to_stream),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
