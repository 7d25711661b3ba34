#include "nearmiss/phrases_private.h"
#include "nearmiss/rules_fixture.h"

static void every_class_has_a_rule(void **state) {
    (void)state;
    rules_fixture f;
    open_rules(&f);
    const ap_phrase_set *set = ap_phrase_book_set(f.rules);
    bool seen[AP_REASON_COUNT] = {false};
    for (size_t i = 0; i < set->count; i++) {
        seen[set->rules[i].reason] = true;
    }
    for (int r = 0; r < AP_REASON_COUNT; r++) {
        assert_true(seen[r]);
        ap_reason again;
        assert_true(ap_reason_find(&again, ap_str_from(ap_reason_name((ap_reason)r))));
        assert_int_equal(again, r);
    }
    close_rules(&f);
}

/* A rule that says why goes before one that does not, whatever the two are called. */
static void what_was_nearly_hit_gives_the_class(void **state) {
    (void)state;
    rules_fixture f;
    open_rules(&f);
    const struct {
        const char *note;
        ap_reason reason;
    } cases[] = {
        {"almost hit the gutter", AP_REASON_NEAR},           {"nearly landed on the garage", AP_REASON_NEAR},
        {"would have hit the roof", AP_REASON_NEAR},         {"would have hit the climber", AP_REASON_PLACE},
        {"almost lost it, it was close", AP_REASON_UNCLEAR}, {"near miss - no one hurt", AP_REASON_UNCLEAR},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        ap_reason reason = AP_REASON_COUNT;
        if (!says(&f, cases[i].note, &reason) || reason != cases[i].reason) {
            fail_msg("'%s' is of another class", cases[i].note);
        }
    }
    close_rules(&f);
}

/* Words of crews that had passed the rules by, each with what looks like it. */
static void what_came_loose_was_left_open_or_lost(void **state) {
    (void)state;
    rules_fixture f;
    open_rules(&f);
    const struct {
        const char *note;
        ap_reason reason; /* AP_REASON_COUNT: nothing is to be found */
    } cases[] = {
        {"rigging came loose", AP_REASON_SLING},
        {"rigging came loose at the truck", AP_REASON_COUNT},
        {"shackle not done up", AP_REASON_SLING},
        {"shackle not used", AP_REASON_COUNT},
        {"the hook gate was never properly shut", AP_REASON_SLING},
        {"gutter dinged", AP_REASON_NEAR},
        {"gutter dinged before we came", AP_REASON_COUNT},
        {"gutter not dinged", AP_REASON_COUNT},
        {"lost hand signals", AP_REASON_COMMUNICATION},
        {"never lost the signals", AP_REASON_COUNT},
        {"slng slipped", AP_REASON_SLING},
        {"sling slippd", AP_REASON_SLING},
        {"slng did not slip", AP_REASON_COUNT},
        {"signals not seen", AP_REASON_COMMUNICATION},
        {"weight well under the chart", AP_REASON_COUNT},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        ap_reason reason = AP_REASON_COUNT;
        says(&f, cases[i].note, &reason);
        if (reason != cases[i].reason) {
            fail_msg("'%s' gives class %d, not %d", cases[i].note, (int)reason, (int)cases[i].reason);
        }
    }
    close_rules(&f);
}

/* --- negation --------------------------------------------------------------------------------------------------------- */

static void a_negation_holds_inside_its_clause(void **state) {
    (void)state;
    rules_fixture f;
    open_rules(&f);
    const struct {
        const char *note;
        bool hit;
    } cases[] = {
        {"no side load", false},
        {"did not swing into the spar", false},
        {"would have gone over the chart", false},
        {"worried it would roll over", false},
        {"let it swing round on purpose", false},
        {"no wind. side loaded the boom", true},
        {"no problem, it rolled over", true},
        {"not a good day; shock loaded the crane", true},
        {"not enough line pull", true},
        {"would have hit the climber", true},
        {"almost hit the climber", true},
        {"almost level", false},
        {"near miss: none", false},
        {"damage none, near miss n/a, calm", false},
        {"near miss - no", false},
        {"no LMI alarm", false},
        {"way over, LMI alarm", true},
        {"NO SIDE-LOAD", false},
        {"Side-Loaded The Boom", true},
        {"side loaded \xff the boom", true},
        {"", false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        ap_reason reason;
        if (says(&f, cases[i].note, &reason) != cases[i].hit) {
            fail_msg("'%s' should %sbe a hit", cases[i].note, cases[i].hit ? "" : "not ");
        }
    }
    close_rules(&f);
}

/* --- bad rules and bad notes -------------------------------------------------------------------------------------------- */

static void refuse(const char *pattern, const char *must, const char *must_not, const char *words) {
    ap_phrase_rule rule = {AP_STR_LIT("mine"), AP_REASON_WIND, ap_str_from(pattern), ap_str_from(must),
                           ap_str_from(must_not)};
    const ap_phrase_set set = {
        .rules = &rule, .count = 1, .before = AP_STR_LIT("\\bno\\s+"), .after = AP_STR_LIT("never there")};
    ap_phrases *phrases = NULL;
    ap_error err;
    check_refused(ap_phrases_new(&phrases, &set, &err), AP_E_INPUT, &err, words);
    check_refused(ap_phrases_new(&phrases, &set, &err), AP_E_INPUT, &err, "phrase rule 'mine'");
    assert_null(phrases);
}

static void bad_rules_are_refused_with_a_word(void **state) {
    (void)state;
    refuse("gust(", "gust", "calm", "'gust(' does not compile: missing closing parenthesis");
    refuse("gust)(x", "gust", "calm", "does not compile: unmatched closing parenthesis");
    refuse("(?x)gust # left open", "gust", "calm", "unable to compile");
    refuse("(g)ust\\1", "gustg", "calm", "refers back");
    refuse("gust|", "gust", "calm", "matches an empty note");
    refuse("gust", "squall", "calm", "does not find 'squall', a line that it must find");
    refuse("gust", "gust\nno gust", "calm", "does not find 'no gust', a line that it must find");
    refuse("gust", "gust", "calm\ngusto", "finds 'gusto', a line that it must not find");
    refuse("gust", "gust", "", "no line that it must not find");
    refuse("gust", " \n", "calm", "no line that it must find");
    refuse("{nobody} gust", "gust", "calm", "no list of words {nobody}");
    refuse("(?R)gust|gust", "gust", "calm", "calls a group by its number");
    refuse("(?:(g)ust|(?1)ale)", "gust", "calm", "calls a group by its number");
    refuse("(?:(g)ust|(?-1)ale)", "gust", "calm", "calls a group by its number");
    refuse("(?:(g)ust|\\g<1>ale)", "gust", "calm", "calls a group by its number");
    refuse("(?:(g)?ust|(?(1)x|ale))", "ale", "calm", "calls a group by its number");
    refuse("(*COMMIT)gust", "gust", "calm", "holds a verb");
    refuse("gust(*ACCEPT)y", "gust", "calm", "holds a verb");
    refuse("gu\\Kst", "gust", "calm", "moves the beginning");
    refuse("gust(?C1)", "gust", "calm", "callout");
    refuse("(?<r1_>gust)", "gust", "calm", "names a group as the rules' own");
    refuse("(?=gust)", "gust", "calm", "does not find 'gust'");
    refuse(" ", "gust", "calm", "it has no pattern");
    refuse("(?:a+)+$|gust", "gust", "calm", "back and forth without end");
    refuse("(?:\\w+\\s*)+gusty$", "gusty", "calm", "back and forth without end");
}

/* Passes the check of every reading, runs out of steps on a note of 4 kB that begins as its line does. */
static void refuse_long(const char *pattern, const char *must) {
    ap_phrase_rule rule = {AP_STR_LIT("mine"), AP_REASON_WIND, ap_str_from(pattern), ap_str_from(must),
                           AP_STR_LIT("calm")};
    const ap_phrase_set set = {
        .rules = &rule, .count = 1, .before = AP_STR_LIT("\\bno\\s+"), .after = AP_STR_LIT("never there")};
    ap_phrases *phrases = NULL;
    ap_error err;
    check_ok(ap_phrases_new(&phrases, &set, &err), &err);
    ap_phrases_free(phrases);
    check_refused(ap_phrases_try_long(&set, &rule, &err), AP_E_INPUT, &err,
                  "phrase rule 'mine': on a note of 4 kB that begins");
}

static void a_rule_is_tried_on_long_notes_when_entered(void **state) {
    (void)state;
    refuse_long("gust(?:\\s*\\w+)*\\s*roof", "gust took the roof");
    refuse_long("gust.*(\\w+ )+.*roof", "gust took the roof");
    refuse_long("gust took(?: |the|\\w)+roof", "gust took the roof");
    refuse_long("gust( +)+roof", "gust roof");
    refuse_long("gust at (?:\\d+)+ mph", "gust at 30 mph");
    rules_fixture f;
    open_rules(&f);
    const ap_phrase_set *set = ap_phrase_book_set(f.rules);
    for (size_t r = 0; r < set->count; r++) {
        ap_error err;
        check_ok(ap_phrases_try_long(set, &set->rules[r], &err), &err);
    }
    close_rules(&f);
}

static void a_rule_of_ones_own_is_taken(void **state) {
    (void)state;
    ap_phrase_rule rule = {AP_STR_LIT("mine"), AP_REASON_WIND, AP_STR_LIT("\\b{blow}\\b"), AP_STR_LIT("a gust"),
                           AP_STR_LIT("no gust")};
    ap_phrase_words words = {AP_STR_LIT("blow"), AP_STR_LIT("gust|squall")};
    const ap_phrase_set set = {.rules = &rule,
                               .count = 1,
                               .words = &words,
                               .word_count = 1,
                               .before = AP_STR_LIT("\\bno\\s+"),
                               .after = AP_STR_LIT("\\s+forecast")};
    ap_phrases *phrases = NULL;
    ap_error err;
    check_ok(ap_phrases_new(&phrases, &set, &err), &err);
    ap_phrase_hit hits[AP_PHRASE_HITS_MAX];
    size_t count = 0;
    check_ok(ap_phrases_find(hits, &count, phrases, AP_STR_LIT("squall, no gust, gust forecast, gust"), &err), &err);
    assert_int_equal(count, 2);
    assert_int_equal(hits[0].at, 0);
    assert_int_equal(hits[0].len, 6);
    assert_int_equal(hits[1].at, 32);
    ap_phrases_free(phrases);
}

/* What looks like something forbidden and is none. */
static void the_look_of_a_pattern_does_not_deceive(void **state) {
    (void)state;
    static const char *const fine[] = {"gust[(*]?",     "gust(?:\\(\\*)?", "gust(?:\\Q(*COMMIT)\\E)?",
                                       "(?<mine>gust)", "gust[](?R]?",     "gust[^](*]?",
                                       "(?i)gust",      "gust(?!\\()",     "gust[[:^alpha:](*]?"};
    for (size_t i = 0; i < sizeof fine / sizeof fine[0]; i++) {
        ap_phrase_rule rule = {AP_STR_LIT("mine"), AP_REASON_WIND, ap_str_from(fine[i]), AP_STR_LIT("a gust"),
                               AP_STR_LIT("calm")};
        const ap_phrase_set set = {
            .rules = &rule, .count = 1, .before = AP_STR_LIT("\\bno\\s+"), .after = AP_STR_LIT("never there")};
        ap_phrases *phrases = NULL;
        ap_error err;
        check_ok(ap_phrases_new(&phrases, &set, &err), &err);
        ap_phrases_free(phrases);
    }
}

/* A note of 1 MB: its beginning is searched, in bounded time, and what stands behind is not. */
static void a_huge_note_is_bounded(void **state) {
    (void)state;
    rules_fixture f;
    open_rules(&f);
    enum { HUGE = 1 << 20 };
    char *note = malloc(HUGE);
    assert_non_null(note);
    memset(note, 'a', HUGE);
    for (size_t i = 0; i < HUGE; i += 7) {
        note[i] = ' ';
    }
    ap_phrase_hit hits[AP_PHRASE_HITS_MAX];
    size_t count = 0;
    ap_error err;
    memcpy(note + AP_PHRASE_NOTE_MAX, " side loaded ", 13);
    check_ok(ap_phrases_find(hits, &count, ap_phrase_book_phrases(f.rules), (ap_str){note, HUGE}, &err), &err);
    assert_int_equal(count, 0);
    memcpy(note + AP_PHRASE_NOTE_MAX - 20, " side loaded ", 13);
    check_ok(ap_phrases_find(hits, &count, ap_phrase_book_phrases(f.rules), (ap_str){note, HUGE}, &err), &err);
    assert_int_equal(count, 1);
    for (size_t i = 0; i + 12 < HUGE; i += 12) {
        memcpy(note + i, "side loaded ", 12);
    }
    check_ok(ap_phrases_find(hits, &count, ap_phrase_book_phrases(f.rules), (ap_str){note, HUGE}, &err), &err);
    assert_int_equal(count, AP_PHRASE_HITS_MAX);
    free(note);
    close_rules(&f);
}

static void a_book_with_a_broken_rule_says_which(void **state) {
    (void)state;
    book_fixture it;
    fixture_make(&it);
    fixture_change(&it, "UPDATE rule SET value = 'gust(' WHERE name = 'phrase:gust' AND key = 'pattern'");
    ap_phrase_book *rules = NULL;
    ap_error err;
    check_refused(ap_phrase_book_load(&rules, it.book, &err), AP_E_INPUT, &err, "phrase rule 'gust'");
    fixture_change(&it, "UPDATE rule SET value = 'gust' WHERE name = 'phrase:gust' AND key = 'pattern'");
    fixture_change(&it,
                   "INSERT INTO rule (name, key, value, reason, source) VALUES ('phrase-words', 'zz', '(x', 'r', 's')");
    check_refused(ap_phrase_book_load(&rules, it.book, &err), AP_E_INPUT, &err, "phrase-words 'zz'");
    fixture_change(&it, "UPDATE rule SET value = 'x' WHERE name = 'phrase-words' AND key = 'zz'");
    fixture_change(&it, "UPDATE rule SET value = 'no(' WHERE name = 'phrase-around' AND key = 'before'");
    check_refused(ap_phrase_book_load(&rules, it.book, &err), AP_E_INPUT, &err, "phrase-around 'before'");
    fixture_change(&it, "UPDATE rule SET value = 'weather' WHERE name = 'phrase:gust' AND key = 'class'");
    check_refused(ap_phrase_book_load(&rules, it.book, &err), AP_E_INPUT, &err, "'weather' is not a class");
    fixture_remove(&it);
}

/* Words with which no rule begins are passed over by their letters: a rule that begins with a look ahead would have each of them asked
 * of PCRE2, and notes would take ten times as long. */
static void other_words_are_passed_over(void **state) {
    (void)state;
    static const char *const notes[] = {"zebra quilts and a xylophone", "viking yoghurt zigzag",
                                        "kiwi jelly, quince; yam"};
    rules_fixture f;
    ap_phrases *phrases = NULL;
    ap_error err;
    open_rules(&f);
    check_ok(ap_phrases_new(&phrases, ap_phrase_book_set(f.rules), &err), &err);
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++) {
        ap_str note = ap_str_from(notes[i]);
        size_t at = ap_phrases_next_start(phrases, note, 0);
        if (at < note.len) {
            fail_msg("a rule may begin with '%s'", note.ptr + at);
        }
    }
    ap_phrases_free(phrases);
    close_rules(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_class_has_a_rule),
        cmocka_unit_test(what_was_nearly_hit_gives_the_class),
        cmocka_unit_test(what_came_loose_was_left_open_or_lost),
        cmocka_unit_test(a_negation_holds_inside_its_clause),
        cmocka_unit_test(bad_rules_are_refused_with_a_word),
        cmocka_unit_test(a_rule_is_tried_on_long_notes_when_entered),
        cmocka_unit_test(a_rule_of_ones_own_is_taken),
        cmocka_unit_test(the_look_of_a_pattern_does_not_deceive),
        cmocka_unit_test(a_huge_note_is_bounded),
        cmocka_unit_test(other_words_are_passed_over),
        cmocka_unit_test(a_book_with_a_broken_rule_says_which),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
