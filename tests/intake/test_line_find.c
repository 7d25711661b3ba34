/* Lines of free words: what "find" takes, and what it leaves to a person. */
#include "intake/profile_guess.h"
#include "intake/profile_plan.h"
#include "kit.h"

static const char HEAD[] =
    "name notes\nyear 2026\ndates mdy\nmeasured_as net\n"
    "find date\nfind job like \"J88\"\nfind pick behind \"pick\", \"#\"\nfind species\nfind piece\n"
    "find planned_weight behind \"guess\", \"~\"\nfind planned_weight before \"by eye\"\n"
    "find measured_weight behind \"came in\", \"scale\"\nfind cut\nfind movement\nfind notes line\n"
    "value movement: \"swung\" -> swing\nvalue movement: \"butt came up\" -> butt_up\n";

static void reads(kit *k, const char *more, const char *line, const char *gives) {
    ap_buf text;
    ap_profile *profile = NULL;
    const ap_plan_rules rules = {0};
    ap_buf_init(&text, AP_PROFILE_BYTES_MAX);
    ap_buf_appendf(&text, "%s%ssample \"%s\"\n  gives %s\n", HEAD, more, line, gives);
    check_ok(ap_profile_read(&profile, ap_buf_str(&text), "test", &k->err), &k->err);
    check_ok(ap_profile_try(profile, k->book, &rules, &k->err), &k->err);
    ap_profile_free(profile);
    ap_buf_release(&text);
}

static void each_thing_is_found_by_its_kind_or_the_word_beside_it(void **state) {
    kit *k = *state;
    reads(k, "", "10/14 J170 pick 4 white oak top ~1200 lb came in at 1,450 lb, swung",
          "job = J170, pick = 4, date = 2026-10-14, species = white oak, piece = top, planned_weight = 1200 lb, "
          "measured_weight = 1450 lb, movement = swing");
    reads(k, "", "J9 pick4 red oak 900 lb by eye, scale: 950 lb",
          "pick = 4, planned_weight = 900 lb, measured_weight = 950 lb");
    reads(k, "", "J9 #12a red oak guess 900lb, butt came up and it swung", "pick = 12a, movement = butt_up+swing");
    reads(k, "", "J9 the last pick, 4 red oaks stood; pick 5 red oak guess 900 lb",
          "pick = 5"); /* a comma parts them */
    reads(k, "", "J9 pick (4) red oak guess 900 lb", "pick = 4");
    reads(k, "", "J9 pick 4 red oak guess 900 lb, scale said 840 lb", "measured_weight = 840 lb");
    reads(k, "bare us\n", "J9 pick 4 red oak guess 900, scale 950",
          "planned_weight = 900 lb, measured_weight = 950 lb");
    reads(k, "", "Tue 10/13 J9 pick 4 red oak guess 2 1/4 tonnes", "date = 2026-10-13, planned_weight = 2.25 tonnes");
}

static void what_is_denied_is_not_found(void **state) {
    kit *k = *state;
    reads(k, "", "J9 pick 4 red oak guess 900 lb, not swung", "movement = blank");
    reads(k, "", "J9 pick 4 red oak guess 900 lb, no step", "cut = blank");
}

static void a_weight_nobody_claims_is_a_question(void **state) {
    kit *k = *state;
    static const char *const lines[] = {
        "J9 pick 4 red oak 900 lb",                              /* planned or measured? */
        "J9 pick 4 red oak guess 900 lb, truck full at 9000 lb", /* what is the second? */
        "J9 pick 4 red oak guess 900 lb guess 1000 lb",          /* which of the two plans? */
        "J9 pick 4 red oak guess 900 lb, scale about 1000 lb",   /* uncertain: no figure for the book */
        "J9 pick 4 red oak guess 900 lb?",                       /* so is this */
        "J9 pick 4 red oak guess 900 lb, top over limb",         /* one word, not two */
        "rain",                                                  /* no pick at all */
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        reads(k, "", lines[i], "set aside");
    }
    reads(k, "", "J9 pick 4 red oak scale 900 lb by eye", "set aside"); /* two fields claim it */
}

static void places_count_only_where_a_person_said_so(void **state) {
    kit *k = *state;
    const char *by_place = "find planned_weight first\nfind measured_weight second\n";
    reads(k, by_place, "J9 pick 4 red oak 900 lb / 950 lb", "planned_weight = 900 lb, measured_weight = 950 lb");
    reads(k, by_place, "J9 pick 4 red oak ~900 lb / 950 lb", "planned_weight = 900 lb, measured_weight = 950 lb");
    reads(k, by_place, "J9 pick 4 red oak 900 lb", "set aside");
    reads(k, by_place, "J9 pick 4 red oak 900 lb 950 lb 990 lb", "set aside");
}

static void refused(kit *k, const char *line, const char *says) {
    ap_buf text;
    ap_profile *profile = NULL;
    ap_buf_init(&text, AP_PROFILE_BYTES_MAX);
    ap_buf_appendf(&text, "%s%s\n", HEAD, line);
    check_refused(ap_profile_read(&profile, ap_buf_str(&text), "test", &k->err), AP_E_INPUT, &k->err, says);
    ap_buf_release(&text);
}

static void the_grammar_refuses_what_can_not_be_found(void **state) {
    kit *k = *state;
    refused(k, "find near_miss", "can not be found that way");
    refused(k, "find species behind \"a\"", "can not be found that way");
    refused(k, "find cut first", "can not be found that way");
    refused(k, "find crew behind", "write: find FIELD");
    refused(k, "carry pick", "is each pick's own");
    refused(k, "carry planned_weight", "is each pick's own");
    refused(k, "column \"A\" -> crew", "does not go with");
    refused(k, "sheets", "are for tables only");
    refused(k, "header none", "are for tables only");
}

static void day_of(kit *k, const char *name, int day) {
    ap_pick pick;
    ap_arena arena;
    ap_date date = AP_DATE_NONE;
    ap_arena_init(&arena, 1u << 20);
    check_ok(ap_book_get_pick(&pick, &arena, k->book, ap_str_from(name), &k->err), &k->err);
    assert_true(ap_date_from_civil(&date, 2026, 10, day));
    assert_int_equal(pick.date, date);
    ap_arena_release(&arena);
}

static void a_day_stands_for_the_lines_below_it_whatever_became_of_its_own(void **state) {
    kit *k = *state;
    ap_buf text;
    ap_profile *profile = NULL;
    ap_buf_init(&text, AP_PROFILE_BYTES_MAX);
    ap_buf_appendf(&text, "%ssample \"rain\"\n  gives set aside\ncarry date, job\n", HEAD);
    check_ok(ap_profile_read(&profile, ap_buf_str(&text), "test", &k->err), &k->err);
    k->options.profile = profile;
    check_ok(kit_import(k, kit_log(k, "days.txt",
                                   "10/14 J9\n"
                                   "pick 1 red oak guess 900 lb\n"
                                   "10/15 pick 2 red oak 900 lb\n" /* set aside: planned or measured? */
                                   "pick 3 red oak guess 900 lb\n"
                                   "1/2 day only, rain\n" /* no date */
                                   "pick 4 red oak guess 900 lb\n"
                                   "10/16 truck was full at 9000 lb\n" /* set aside, but its day holds */
                                   "pick 5 red oak guess 900 lb\n")),
             &k->err);
    k->options.profile = NULL;
    assert_int_equal(k->result.files[0].counts.stored, 4);
    assert_int_equal(k->result.files[0].counts.set_aside, 3);
    day_of(k, "J9/1", 14);
    day_of(k, "J9/3", 15);
    day_of(k, "J9/4", 15);
    day_of(k, "J9/5", 16);
    ap_profile_free(profile);
    ap_buf_release(&text);
}

/* A log of 1 MiB and more is read ahead in a thread of its own. */
static void long_logs_too(void **state) {
    kit *k = *state;
    ap_buf log;
    ap_buf profile_text;
    ap_profile *profile = NULL;
    ap_buf_init(&log, 4u << 20);
    ap_buf_init(&profile_text, AP_PROFILE_BYTES_MAX);
    ap_buf_appendf(&profile_text, "%ssample \"rain\"\n  gives set aside\ncarry date, job\n", HEAD);
    for (int i = 1; i <= 15000; i++) {
        ap_buf_appendf(&log, "10/14 J%d pick %d red oak limb, guess %d lb, came in at %d lb, and it was a fine day\n",
                       i % 7, i, 900 + i % 100, 950 + i % 90);
    }
    check_ok(ap_profile_read(&profile, ap_buf_str(&profile_text), "test", &k->err), &k->err);
    k->options.profile = profile;
    check_ok(kit_import(k, kit_log_bytes(k, "long.txt", log.ptr, log.len)), &k->err);
    k->options.profile = NULL;
    assert_true(log.len > 1u << 20);
    assert_int_equal(k->result.files[0].counts.stored, 15000);
    ap_profile_free(profile);
    ap_buf_release(&log);
    ap_buf_release(&profile_text);
}

#define WITH_BOOK(test) cmocka_unit_test_setup_teardown(test, kit_setup, kit_teardown)

int main(void) {
    const struct CMUnitTest tests[] = {
        WITH_BOOK(each_thing_is_found_by_its_kind_or_the_word_beside_it),
        WITH_BOOK(what_is_denied_is_not_found),
        WITH_BOOK(a_weight_nobody_claims_is_a_question),
        WITH_BOOK(places_count_only_where_a_person_said_so),
        WITH_BOOK(the_grammar_refuses_what_can_not_be_found),
        WITH_BOOK(a_day_stands_for_the_lines_below_it_whatever_became_of_its_own),
        WITH_BOOK(long_logs_too),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
