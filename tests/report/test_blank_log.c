/* The blank log is read back by the import's own header reader: every column is known, with the unit it says. */
#include "report/blank_log.h"

#include "intake/header.h"
#include "support/check.h"

static size_t count_columns(ap_unit_system units, int legs) {
    ap_buf text;
    ap_buf_init(&text, 1 << 16);
    ap_sink sink = ap_sink_to_buf(&text);
    ap_blank_log_csv(&sink, units, legs);
    ap_str rest = ap_str_trim(ap_buf_str(&text));
    size_t count = 0;
    while (rest.ptr) {
        ap_str header = ap_str_split(rest, ',', &rest);
        ap_unit unit = AP_UNIT_NONE;
        int field = ap_header_field(&unit, header);
        assert_int_equal(field, (int)count);
        const ap_field *desc = ap_field_get(field);
        if (desc->kind == AP_KIND_QTY) {
            assert_int_equal(ap_unit_dim(unit), desc->dim);
            if (desc->dim == AP_DIM_LOAD) {
                assert_int_equal(unit, units == AP_UNITS_US ? AP_UNIT_LB : AP_UNIT_KG);
            }
        } else {
            assert_int_equal(unit, AP_UNIT_NONE);
        }
        count++;
    }
    ap_buf_release(&text);
    return count;
}

static void test_header_is_read_back(void **state) {
    (void)state;
    for (int legs = 1; legs <= AP_LEG_MAX; legs++) {
        size_t want = (size_t)(AP_F_COUNT + legs * AP_LF_COUNT);
        assert_int_equal(count_columns(AP_UNITS_US, legs), want);
        assert_int_equal(count_columns(AP_UNITS_METRIC, legs), want);
    }
}

static void test_sheet_escapes_the_company(void **state) {
    (void)state;
    ap_buf text;
    ap_buf_init(&text, 1 << 18);
    ap_sink sink = ap_sink_to_buf(&text);
    ap_blank_log_html(&sink, AP_STR_LIT("A & <b onload='x'>"), AP_UNITS_US, 4);
    assert_int_equal(sink.status, AP_OK);
    assert_non_null(strstr(text.ptr, "A &amp; &lt;b onload="));
    assert_null(strstr(text.ptr, "<b onload"));
    assert_null(strstr(text.ptr, "<script"));
    assert_null(strstr(text.ptr, "style=\"")); /* the policy would refuse it */
    ap_buf_release(&text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_header_is_read_back),
        cmocka_unit_test(test_sheet_escapes_the_company),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
