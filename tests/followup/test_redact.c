/* Names taken out before a write-up is shared: what a reader outside must not find. Expected texts are written by hand. */
#include "support/check.h"

#include "derive/harm.h"
#include "followup/redact.h"

static void check_redacted(const char *text, const ap_str *names, size_t count, const char *want) {
    ap_buf out;
    ap_buf_init(&out, 1 << 16);
    (void)ap_redact(&out, ap_str_from(text), names, NULL, count);
    check_str(ap_buf_str(&out), want);
    ap_buf_release(&out);
}

static void takes_names_out_however_they_are_written(void **state) {
    (void)state;
    const ap_str names[] = {AP_STR_LIT("Ann Miller"),
                            AP_STR_LIT("Miller"),
                            AP_STR_LIT("M\xC3\xBCller"),
                            AP_STR_LIT("North_Yard"),
                            AP_STR_LIT("A.+* (x)"),
                            AP_STR_LIT("\xD0\x98\xD0\xB2\xD0\xB0\xD0\xBD"),
                            AP_STR_LIT("\xC5\x81\xC3\xB3"
                                       "dz")};
    static const struct {
        const char *text, *want;
    } cases[] = {
        {"Miller cut.", "[left out] cut."},
        {"MILLER, miller; Miller", "[left out], [left out]; [left out]"},
        {"Miller's rope, the Millers", "[left out]'s rope, the [left out]"},
        {"Millerite and Hamiller", "Millerite and Hamiller"},
        {"**Ann Miller**", "**[left out]**"},
        {"Ann\r\nMiller; Ann   Miller", "[left out]; [left out]"},
        {"M\xC3\x9CLLER m\xC3\xBCller", "[left out] [left out]"},
        {"north yard, North\\_Yard, NORTH_YARD", "[left out], [left out], [left out]"},
        {"a.+* (X) and A\\.\\+\\* \\(x\\)", "[left out] and [left out]"},
        {"aXX (x)", "aXX (x)"},
        {"\xD0\x98\xD0\x92\xD0\x90\xD0\x9D", "[left out]"},
        {"\xC5\x82\xC3\x93"
         "DZ",
         "[left out]"},
        {"at the end Mille", "at the end Mille"},
        {"", ""},
        {"\xFF\xFEMiller\\", "\xFF\xFEMiller\\"}, /* not UTF-8: glued to letters that are none */
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        check_redacted(cases[i].text, names, sizeof names / sizeof *names, cases[i].want);
    }
}

static void the_longest_name_comes_first_and_one_letter_is_none(void **state) {
    (void)state;
    const ap_str names[] = {AP_STR_LIT("A"), AP_STR_LIT("Oak"), AP_STR_LIT("Oak Street"), AP_STR_LIT("")};
    const ap_str instead[] = {AP_STR_LIT("1"), AP_STR_LIT("2"), AP_STR_LIT("3"), AP_STR_LIT("4")};
    ap_buf out;
    ap_buf_init(&out, 1 << 12);
    assert_int_equal(ap_redact(&out, AP_STR_LIT("A oak street; oak"), names, instead, 4), 2);
    check_str(ap_buf_str(&out), "A 3; 2");
    ap_buf_release(&out);
    check_redacted("nothing", NULL, 0, "nothing");
}

static void a_name_gives_its_words_but_no_role_code_or_small_word(void **state) {
    (void)state;
    ap_str words[4];
    assert_int_equal(ap_redact_words(words, 4, AP_STR_LIT("Jan van der Berg")), 2);
    check_str(words[0], "Jan");
    check_str(words[1], "Berg");
    assert_int_equal(ap_redact_words(words, 4, AP_STR_LIT("Lead Climber B2 Al")), 0);
    assert_int_equal(ap_redact_words(words, 1, AP_STR_LIT("Mary-Jane O'Hara Smith")), 1);
    assert_int_equal(ap_redact_words(words, 4, AP_STR_LIT(" ,. ")), 0);
}

/* "no" to the question after injury is no injury; all else is. */
static void harm_is_every_text_but_a_plain_no(void **state) {
    (void)state;
    static const char *const none[] = {"", "  ", "no", "None.", "nobody hurt", "N/A", "-"};
    static const char *const harm[] = {"bruised shoulder",
                                       "no, but the fence",
                                       "unknown",
                                       "?",
                                       "not yet known",
                                       "yes",
                                       "none of the two was hurt badly"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        assert_false(ap_harm_is_noted(ap_str_from(none[i])));
    }
    for (size_t i = 0; i < sizeof harm / sizeof *harm; i++) {
        assert_true(ap_harm_is_noted(ap_str_from(harm[i])));
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(takes_names_out_however_they_are_written),
        cmocka_unit_test(the_longest_name_comes_first_and_one_letter_is_none),
        cmocka_unit_test(a_name_gives_its_words_but_no_role_code_or_small_word),
        cmocka_unit_test(harm_is_every_text_but_a_plain_no),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
