#include "support/check.h"

static ap_str s(const char *text) {
    return ap_str_from(text);
}

static void equality(void **state) {
    (void)state;
    assert_true(ap_str_equal(s("oak"), s("oak")));
    assert_false(ap_str_equal(s("oak"), s("oaks")));
    assert_true(ap_str_equal(AP_STR_NONE, s("")));
    assert_true(ap_str_equal_nocase(s("Red OAK"), s("rED oak")));
    assert_false(ap_str_equal_nocase(s("\xC3\x89"), s("\xC3\xA9"))); /* ASCII only: E acute stays apart */
    assert_true(ap_str_equal_word(s("top"), "top"));
    assert_false(ap_str_equal(AP_STR_LIT("a\0b"), AP_STR_LIT("a\0c")));
    assert_int_equal(ap_str_compare(s("a"), s("b")), -1);
    assert_int_equal(ap_str_compare(s("ab"), s("a")), 1);
    assert_int_equal(ap_str_compare(AP_STR_NONE, s("")), 0);
    assert_int_equal(ap_str_compare_nocase(s("Crane K1"), s("cRANE k1")), 0);
    assert_true(ap_str_compare_nocase(s("a"), s("B")) < 0);
    assert_true(ap_str_compare_nocase(s("b"), s("A1")) > 0);
    assert_true(ap_str_compare_nocase(s("k"), s("K1")) < 0);
    assert_true(ap_str_compare_nocase(s("z"), s("\xC3\x89")) <
                0); /* bytes beyond ASCII stand behind it, as in the book */
}

/* Listed in order; every pair must agree, both ways round. */
static void natural_order(void **state) {
    (void)state;
    static const char *const ordered[] = {"",
                                          "2",
                                          "9",
                                          "09",
                                          "10",
                                          "10a",
                                          "10b",
                                          "11",
                                          "J9",
                                          "J10",
                                          "J10/2",
                                          "J10/10",
                                          "J231/9",
                                          "J231/17",
                                          "j231/17a",
                                          "T1",
                                          "T99999999999999999999998",
                                          "T99999999999999999999999"};
    enum { COUNT = sizeof ordered / sizeof ordered[0] };
    for (size_t i = 0; i < COUNT; i++) {
        for (size_t j = 0; j < COUNT; j++) {
            int want = i == j ? 0 : i < j ? -1 : 1;
            /* 09 and 9 are one number: the bytes decide, "09" first. */
            if ((i == 2 && j == 3) || (i == 3 && j == 2)) {
                want = -want;
            }
            assert_int_equal(ap_str_compare_natural(s(ordered[i]), s(ordered[j])), want);
        }
    }
}

static void trim_and_blank(void **state) {
    (void)state;
    check_str(ap_str_trim(s(" \t\r\n\v\f oak \xC2\xA0")), "oak");
    check_str(ap_str_trim(s("\xC2\xA0 18 ft\xC2\xA0\xC2\xA0")), "18 ft");
    check_str(ap_str_trim(s("\xC3\xA0")), "\xC3\xA0"); /* ends in A0, is no blank */
    assert_true(ap_str_is_blank(AP_STR_NONE));
    assert_true(ap_str_is_blank(s(" \xC2\xA0\n")));
    assert_false(ap_str_is_blank(s(" . ")));
    assert_null(ap_str_trim(AP_STR_NONE).ptr);
}

static void split(void **state) {
    (void)state;
    ap_str rest;
    check_str(ap_str_split(s("a|b||"), '|', &rest), "a");
    check_str(ap_str_split(rest, '|', &rest), "b");
    check_str(ap_str_split(rest, '|', &rest), "");
    assert_non_null(rest.ptr); /* an empty last part is a part */
    check_str(ap_str_split(rest, '|', &rest), "");
    assert_null(rest.ptr);
    check_str(ap_str_split(AP_STR_NONE, '|', &rest), "");
    assert_null(rest.ptr);
    assert_true(ap_str_starts(s("sql/query"), s("sql/")));
    assert_false(ap_str_starts(s("sq"), s("sql/")));
    assert_true(ap_str_starts(s("x"), AP_STR_NONE));
}

/* The Unicode Standard, table 3-7 (well-formed UTF-8 byte sequences): the edges of each row, and one step past them. */
static void utf8(void **state) {
    (void)state;
    static const char *const good[] = {"",
                                       "\x7F",
                                       "\xC2\x80",
                                       "\xDF\xBF",
                                       "\xE0\xA0\x80",
                                       "\xEC\xBF\xBF",
                                       "\xED\x80\x80",
                                       "\xED\x9F\xBF",
                                       "\xEE\x80\x80",
                                       "\xEF\xBF\xBF",
                                       "\xF0\x90\x80\x80",
                                       "\xF3\xBF\xBF\xBF",
                                       "\xF4\x8F\xBF\xBF"};
    static const char *const bad[] = {"\x80",
                                      "\xBF",
                                      "\xC0\xAF",
                                      "\xC1\xBF",
                                      "\xC2",
                                      "\xC2\x7F",
                                      "\xC2\xC0",
                                      "\xE0\x9F\xBF",
                                      "\xE0\xA0",
                                      "\xED\xA0\x80",
                                      "\xED\xBF\xBF",
                                      "\xE1\x80\x7F",
                                      "\xF0\x8F\xBF\xBF",
                                      "\xF4\x90\x80\x80",
                                      "\xF5\x80\x80\x80",
                                      "\xF0\x90\x80",
                                      "\xFF",
                                      "ok\xFE"};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        assert_true(ap_utf8_is_valid(s(good[i])));
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_false(ap_utf8_is_valid(s(bad[i])));
    }
}

/* Counted by hand: each is the shortest list of insertions, deletions, replacements and swaps of neighbours. */
static void distance(void **state) {
    (void)state;
    static const struct {
        const char *a, *b;
        unsigned most, want;
    } rows[] = {
        {"weight", "weight", 3, 0}, {"weight", "wieght", 3, 1}, {"oak", "oaks", 3, 1}, {"kitten", "sitting", 5, 3},
        {"", "abc", 5, 3},          {"abc", "", 2, 3},          {"abc", "xyz", 1, 2},  {"ca", "abc", 5, 3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(ap_str_distance(s(rows[i].a), s(rows[i].b), rows[i].most), rows[i].want);
        assert_int_equal(ap_str_distance(s(rows[i].b), s(rows[i].a), rows[i].most), rows[i].want);
    }
    char longer[200];
    memset(longer, 'x', sizeof longer);
    assert_int_equal(ap_str_distance((ap_str){longer, 200}, s("x"), 4), 5);
    assert_int_equal(ap_str_distance((ap_str){longer, 200}, (ap_str){longer, 200}, 4), 0);
}

static void integers(void **state) {
    (void)state;
    static const struct {
        const char *text;
        int64_t want;
    } good[] = {
        {"0", 0}, {"007", 7}, {"-12", -12}, {"9223372036854775807", INT64_MAX}, {"-9223372036854775808", INT64_MIN},
        {"-0", 0}};
    static const char *const bad[] = {"",
                                      "-",
                                      "+1",
                                      " 1",
                                      "1 ",
                                      "1.0",
                                      "1e3",
                                      "0x1",
                                      "9223372036854775808",
                                      "-9223372036854775809",
                                      "99999999999999999999",
                                      "--1"};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        int64_t got = 99;
        assert_true(ap_str_to_int64(&got, s(good[i].text)));
        assert_true(got == good[i].want);
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        int64_t got = 99;
        assert_false(ap_str_to_int64(&got, s(bad[i])));
        assert_true(got == 99);
    }
}

static void hash(void **state) {
    (void)state;
    assert_true(ap_str_hash(s("oak")) == ap_str_hash(AP_STR_LIT("oak")));
    assert_true(ap_str_hash(s("oak")) != ap_str_hash(s("oal")));
    assert_true(ap_str_hash(AP_STR_NONE) == ap_str_hash(s("")));
    /* 4096 numbered names over 256 slots: with 16 expected in each, a slot of 64 would be no accident. */
    unsigned slots[256] = {0};
    for (unsigned i = 0; i < 4096; i++) {
        char name[16];
        snprintf(name, sizeof name, "pick-%u", i);
        unsigned *slot = &slots[ap_str_hash(s(name)) % 256];
        assert_true(++*slot < 64);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equality), cmocka_unit_test(natural_order), cmocka_unit_test(trim_and_blank),
        cmocka_unit_test(split),    cmocka_unit_test(utf8),          cmocka_unit_test(distance),
        cmocka_unit_test(integers), cmocka_unit_test(hash),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
