/* Write-ups, actions and duties as the book keeps them. */
#include "book/actions.h"
#include "book/duties.h"
#include "book/writeups.h"
#include "support/book_fixture.h"

static void every_text_kept_can_be_read_again(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    int64_t id = 0;
    int64_t revision = 0;
    ap_writeup writeup;
    ap_writeup_revision text;
    ap_book_author author = fixture_author();
    ap_arena_init(&arena, 16u << 20);
    fixture_make(&it);
    const ap_writeup_new fresh = {.title = AP_STR_LIT("Near miss"),
                                  .token = AP_STR_LIT("0123456789abcdef"),
                                  .picks = {AP_STR_LIT("A, B/1"), AP_STR_LIT("C/2")},
                                  .pick_count = 2};
    check_refused(ap_book_writeup_open(&id, it.book, &fresh, &author, &err), AP_E_INTERNAL, &err, "");
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_writeup_open(&id, it.book, &fresh, &author, &err), &err);
    const ap_str second = {"two\0\r\n\xFF", 7};
    check_ok(ap_book_writeup_keep(&revision, it.book, id, AP_STR_LIT("one\n"), AP_STR_NONE, &author, &err), &err);
    assert_int_equal(revision, 1);
    check_ok(ap_book_writeup_keep(&revision, it.book, id, second, AP_STR_LIT("why"), &author, &err), &err);
    assert_int_equal(revision, 2);
    check_ok(ap_book_commit(it.book, &err), &err);
    check_ok(ap_book_writeup_get(&writeup, &arena, it.book, id, &err), &err);
    check_str(writeup.picks, "A, B/1, C/2");
    check_str(writeup.pick_names, "A, B/1\x1F"
                                  "C/2"); /* a comma in a name is no border between two */
    check_str(writeup.state, "draft");
    assert_int_equal(writeup.revision, 2);
    check_ok(ap_book_writeup_text(&text, &arena, it.book, id, 0, &err), &err);
    assert_int_equal(text.revision, 2);
    assert_int_equal(text.text.len, second.len);
    assert_memory_equal(text.text.ptr, second.ptr, second.len);
    check_str(text.why, "why");
    check_ok(ap_book_writeup_text(&text, &arena, it.book, id, 1, &err), &err);
    check_str(text.text, "one\n");
    check_refused(ap_book_writeup_text(&text, &arena, it.book, id, 3, &err), AP_E_NOT_FOUND, &err, "no revision 3");
    check_refused(ap_book_writeup_get(&writeup, &arena, it.book, 99, &err), AP_E_NOT_FOUND, &err, "no write-up 99");
    check_refused(ap_book_writeup_get(&writeup, &arena, it.book, -1, &err), AP_E_NOT_FOUND, &err, "no write-up -1");
    fixture_remove(&it);
    ap_arena_release(&arena);
}

static void an_action_remembers_what_was_changed_and_why(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    int64_t id = 0;
    size_t count = 0;
    ap_action got;
    ap_action_change *changes;
    ap_book_author author = fixture_author();
    ap_arena_init(&arena, 16u << 20);
    fixture_make(&it);
    ap_action action = {.says = AP_STR_LIT("third leg"),
                        .owner = AP_STR_LIT("lead climber"),
                        .due = fixture_date("2026-12-01"),
                        .measure = {.figure = AP_STR_LIT("heavier"), .crew = AP_STR_LIT("A")}};
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_action_add(&id, it.book, &action, &author, &err), &err);
    action.writeup = 9;
    check_refused(ap_book_action_add(&id, it.book, &action, &author, &err), AP_E_NOT_FOUND, &err, "no write-up 9");
    action.writeup = 0;
    action.finding = 9;
    check_refused(ap_book_action_add(&id, it.book, &action, &author, &err), AP_E_NOT_FOUND, &err, "no finding 9");
    check_ok(ap_book_commit(it.book, &err), &err);
    check_ok(ap_book_action_get(&got, &arena, it.book, 1, &err), &err);
    check_str(got.state, "open");
    check_str(got.measure.figure, "heavier");
    check_str(got.measure.crew, "A");
    assert_int_equal(got.closed, AP_DATE_NONE);
    ap_action changed = got;
    changed.state = AP_STR_LIT("done");
    changed.due = fixture_date("2026-12-08");
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_action_change(it.book, &got, &changed, AP_STR_LIT("seen on site"), &author, &err), &err);
    check_ok(ap_book_commit(it.book, &err), &err);
    check_ok(ap_book_action_history(&changes, &count, &arena, it.book, 1, &err), &err);
    assert_int_equal(count, 2); /* the state and the day, not the owner */
    for (size_t i = 0; i < count; i++) {
        check_str(changes[i].why, "seen on site");
        check_str(changes[i].who, "safety officer");
    }
    check_ok(ap_book_action_get(&got, &arena, it.book, 1, &err), &err);
    check_str(got.state, "done");
    assert_int_equal(got.due, fixture_date("2026-12-08"));
    assert_int_equal(got.closed, author.today);
    check_refused(ap_book_action_get(&got, &arena, it.book, 2, &err), AP_E_NOT_FOUND, &err, "2");
    fixture_remove(&it);
    ap_arena_release(&arena);
}

static const ap_duty *duty_of(const ap_duty *duties, size_t count, const char *source) {
    for (size_t i = 0; i < count; i++) {
        if (ap_str_equal_word(duties[i].source, source)) {
            return &duties[i];
        }
    }
    return NULL;
}

/* Times as published: 29 CFR 1904.39(a)(1) eight hours, (a)(2) twenty-four hours, 1904.29(b)(3) seven calendar days. */
static void the_common_us_duties_have_the_times_of_their_source(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    ap_duty *duties;
    size_t count = 0;
    ap_arena_init(&arena, 16u << 20);
    fixture_make(&it);
    check_ok(ap_book_duties(&duties, &count, &arena, it.book, AP_STR_LIT("us-osha"), &err), &err);
    const ap_duty *death = duty_of(duties, count, "29 CFR 1904.39(a)(1)");
    const ap_duty *hospital = duty_of(duties, count, "29 CFR 1904.39(a)(2)");
    const ap_duty *forms = duty_of(duties, count, "29 CFR 1904.29(b)(3)");
    assert_true(death && hospital && forms);
    assert_int_equal(death->hours, 8);
    assert_int_equal(hospital->hours, 24);
    assert_int_equal(forms->days, 7);
    assert_int_equal(forms->hours, 0);
    assert_non_null(strstr(hospital->says.ptr, "amputation"));
    assert_non_null(strstr(hospital->says.ptr, "eye"));
    check_ok(ap_book_duties(&duties, &count, &arena, it.book, AP_STR_LIT("elsewhere"), &err), &err);
    assert_int_equal(count, 0);
    check_ok(ap_book_duties(&duties, &count, &arena, it.book, AP_STR_NONE, &err), &err);
    assert_int_equal(count, 0);
    fixture_remove(&it);
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_text_kept_can_be_read_again),
        cmocka_unit_test(an_action_remembers_what_was_changed_and_why),
        cmocka_unit_test(the_common_us_duties_have_the_times_of_their_source),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
