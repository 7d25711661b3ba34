/* Patterns: groups, names, limits, bytes that are not text. */
#include "support/check.h"

#include "text/pattern.h"

static ap_pattern *compiled(const char *text, const char *flags) {
    ap_error err;
    ap_error_clear(&err);
    ap_pattern *pattern = NULL;
    check_ok(ap_pattern_new(&pattern, ap_str_from(text), flags, &err), &err);
    return pattern;
}

static void groups_and_names(void **state) {
    (void)state;
    ap_pattern *p = compiled("(?<pick>\\d+)\\) (?<species>[a-z ]+?) (?<piece>top|limb)(?:, (?<cut>\\w+))?", "i");
    ap_str line = AP_STR_LIT("7) Silver Maple TOP");
    bool found = false;
    check_ok(ap_pattern_match(&found, p, line, 0, NULL), NULL);
    assert_true(found);
    check_str(ap_pattern_group(p, 0), "7) Silver Maple TOP");
    check_str(ap_pattern_named(p, "pick"), "7");
    check_str(ap_pattern_named(p, "species"), "Silver Maple");
    assert_null(ap_pattern_named(p, "cut").ptr);
    assert_null(ap_pattern_named(p, "no_such").ptr);
    assert_null(ap_pattern_group(p, 99).ptr);
    assert_int_equal(ap_pattern_name_count(p), 4);
    unsigned group = 0;
    assert_string_equal(ap_pattern_name(p, 0, &group), "cut");
    assert_int_equal(group, 4);
    assert_null(ap_pattern_name(p, 4, &group));
    check_ok(ap_pattern_match(&found, p, AP_STR_LIT("nothing"), 0, NULL), NULL);
    assert_false(found);
    assert_null(ap_pattern_group(p, 0).ptr);
    ap_pattern_free(p);
}

static void searching_on_from_an_offset(void **state) {
    (void)state;
    ap_pattern *p = compiled("\\d+", NULL);
    ap_str line = AP_STR_LIT("12 \xC3\xB6 345");
    bool found = false;
    check_ok(ap_pattern_match(&found, p, line, 2, NULL), NULL);
    check_str(ap_pattern_group(p, 0), "345");
    check_ok(ap_pattern_match(&found, p, line, 4, NULL), NULL); /* inside the character */
    check_str(ap_pattern_group(p, 0), "345");
    check_ok(ap_pattern_match(&found, p, line, line.len, NULL), NULL);
    assert_false(found);
    check_ok(ap_pattern_match(&found, p, line, line.len + 5, NULL), NULL);
    assert_false(found);
    check_ok(ap_pattern_match(&found, p, AP_STR_NONE, 0, NULL), NULL);
    assert_false(found);
    ap_pattern_free(p);
}

static void flags_are_kept(void **state) {
    (void)state;
    bool found = false;
    ap_pattern *p = compiled("^ b . c $", "xms");
    check_ok(ap_pattern_match(&found, p, AP_STR_LIT("a\nb\nc\nd"), 0, NULL), NULL);
    assert_true(found);
    ap_pattern_free(p);
    ap_error err;
    assert_int_equal(ap_pattern_new(&p, AP_STR_LIT("a"), "q", &err), AP_E_INPUT);
}

static void bytes_that_are_not_utf8(void **state) {
    (void)state;
    bool found = false;
    ap_pattern *p = compiled("scale (\\d+)", "");
    check_ok(ap_pattern_match(&found, p, AP_STR_LIT("\xFF\xC3 scale 2950\xED\xA0\x80"), 0, NULL), NULL);
    assert_true(found);
    check_str(ap_pattern_group(p, 1), "2950");
    ap_pattern_free(p);
}

static void bad_patterns_are_refused_with_the_place(void **state) {
    (void)state;
    ap_pattern *p = NULL;
    ap_error err;
    check_refused(ap_pattern_new(&p, AP_STR_LIT("(?<a>x"), "", &err), AP_E_INPUT, &err, "at byte 6");
    check_refused(ap_pattern_new(&p, AP_STR_LIT("a\\C"), "", &err), AP_E_INPUT, &err, "\\C");
    check_refused(ap_pattern_new(&p, AP_STR_LIT("\xFF"), "", &err), AP_E_INPUT, &err, "UTF-8");
    assert_null(p);
    ap_pattern_free(NULL);
}

static void backtracking_is_limited(void **state) {
    (void)state;
    char text[64];
    memset(text, 'a', sizeof text);
    ap_error err;
    bool found = true;
    ap_pattern *p = compiled("^(a+)+$", "");
    text[sizeof text - 1] = 'b';
    check_refused(ap_pattern_match(&found, p, (ap_str){text, sizeof text}, 0, &err), AP_E_LIMIT, &err,
                  "too many steps");
    assert_false(found);
    ap_pattern_free(p);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(groups_and_names),
        cmocka_unit_test(searching_on_from_an_offset),
        cmocka_unit_test(flags_are_kept),
        cmocka_unit_test(bytes_that_are_not_utf8),
        cmocka_unit_test(bad_patterns_are_refused_with_the_place),
        cmocka_unit_test(backtracking_is_limited),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
