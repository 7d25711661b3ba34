#include "support/book_fixture.h"

#include "analysis/sling_register.h"
#include "book/cranes.h"
#include "book/slings.h"

/* By hand: one leg hangs plumb and carries the whole piece, so tension = weight. 1000 lb on a limit of
 * 1000 lb with a factor of 0.8 uses 1.25 of it; 700 lb uses 0.875. (1 lb = 0.453 592 37 kg, NIST SP 811 B.8.) */
static ap_pick plumb(book_fixture *it, const char *name, const char *date, double pounds, const char *tag) {
    ap_pick pick = fixture_pick(it, "J1", name, date, pounds);
    pick.measured_as = AP_WEIGHED_AS_NET;
    fixture_set_quantity(&pick, AP_F_length, 20, AP_UNIT_FT, 0);
    fixture_set_quantity(&pick, AP_F_balance_point, 9, AP_UNIT_FT, 0);
    fixture_set_quantity(&pick, AP_F_COUNT + AP_LF_at, 8, AP_UNIT_FT, 0);
    fixture_set_quantity(&pick, AP_F_COUNT + AP_LF_length, 10, AP_UNIT_FT, 0);
    pick.legs[0].tag = ap_str_from(tag);
    pick.legs[0].kind = AP_LEG_KIND_ROUND;
    pick.legs[0].hitch = AP_HITCH_CHOKER;
    ap_pick_count_legs(&pick);
    return pick;
}

typedef struct shed {
    book_fixture it;
    ap_arena arena;
    ap_settings settings;
    ap_company company;
    ap_sling_register reg;
} shed;

static void make(shed *s) {
    memset(s, 0, sizeof *s);
    fixture_make(&s->it);
    ap_arena_init(&s->arena, 4 << 20);
    ap_settings_defaults(&s->settings);
    s->company.settings = &s->settings;
}

static void drop(shed *s) {
    ap_arena_release(&s->arena);
    fixture_remove(&s->it);
}

static void look(shed *s, const char *tag) {
    ap_error err;
    check_ok(ap_book_slings(&s->company.slings, &s->company.sling_count, &s->arena, s->it.book, &err), &err);
    check_ok(ap_sling_register_read(&s->reg, &s->arena, s->it.book, &s->company, AP_DATE_NONE,
                                    tag ? ap_str_from(tag) : AP_STR_NONE, &err),
             &err);
}

static const ap_sling_row *row(const shed *s, const char *tag) {
    const ap_sling_row *found = ap_sling_register_find(&s->reg, ap_str_from(tag));
    assert_non_null(found);
    return found;
}

static void enter(shed *s, const char *tag, ap_sling_field field, double value) {
    ap_error err;
    ap_book_author author = fixture_author();
    const ap_sling_edit edit = {.tag = ap_str_from(tag), .why = AP_STR_LIT("its tag"), .author = &author};
    check_ok(ap_book_begin(s->it.book, &err), &err);
    check_ok(
        ap_book_end(s->it.book, ap_book_sling_set(s->it.book, &edit, field, value, AP_STR_LIT("as said"), &err), &err),
        &err);
}

static void on_day(shed *s, const char *tag, const char *day, bool retire) {
    ap_error err;
    ap_book_author author = fixture_author();
    const ap_sling_edit edit = {.tag = ap_str_from(tag), .why = AP_STR_LIT("looked at"), .author = &author};
    check_ok(ap_book_begin(s->it.book, &err), &err);
    ap_status status = retire ? ap_book_sling_retire(s->it.book, &edit, fixture_date(day), &err)
                              : ap_book_sling_inspected(s->it.book, &edit, fixture_date(day), &err);
    check_ok(ap_book_end(s->it.book, status, &err), &err);
}

static void store_three(shed *s) {
    fixture_import_begin(&s->it, "log.csv", '1');
    ap_pick one = plumb(&s->it, "1", "2026-08-01", 1000, "S7");
    ap_pick two = plumb(&s->it, "2", "2026-09-01", 700, " s7");
    ap_pick three = plumb(&s->it, "3", "2026-09-10", 700, "S8");
    three.movement = AP_MOVE_BIT(AP_MOVEMENT_DROP);
    fixture_offer(&s->it, &one, NULL);
    fixture_offer(&s->it, &two, NULL);
    fixture_offer(&s->it, &three, NULL);
    fixture_import_end(&s->it);
}

static void the_worst_use_of_each_tag(void **state) {
    (void)state;
    shed s;
    make(&s);
    store_three(&s);
    look(&s, "S7");
    assert_int_equal(s.reg.count, 2);
    assert_true(isnan(row(&s, "s7")->worst_use)); /* no limit logged or entered */
    check_str(s.reg.uses[0].why, "no working load limit");

    enter(&s, "S7", AP_SLING_WLL, 1000 * 0.45359237);
    enter(&s, "s7", AP_SLING_FACTOR, 0.8);
    look(&s, "S7");
    const ap_sling_row *s7 = row(&s, "S7");
    assert_int_equal(s7->picks, 2);
    assert_int_equal(s7->judged, 2);
    check_close(s7->worst_use, 1.25, 1e-9, "1000 lb / (1000 lb x 0.8)");
    check_str(s7->worst_pick, "J1/1");
    assert_int_equal(s7->over, 1);
    assert_int_equal(s7->last_over, fixture_date("2026-08-01"));
    assert_int_equal(s.reg.use_count, 2);
    check_close(s.reg.uses[1].use, 0.875, 1e-9, "700 / 800");
    check_close(s.reg.uses[0].angle_deg, 90, 1e-9, "plumb");
    assert_int_equal(row(&s, "S8")->shocks, 1);
    drop(&s);
}

/* A logged limit counts before an entered one. */
static void the_logged_limit_comes_first(void **state) {
    (void)state;
    shed s;
    make(&s);
    fixture_import_begin(&s.it, "log.csv", '1');
    ap_pick pick = plumb(&s.it, "1", "2026-08-01", 1000, "S7");
    fixture_set_quantity(&pick, AP_F_COUNT + AP_LF_wll, 2000, AP_UNIT_LB, 0);
    fixture_offer(&s.it, &pick, NULL);
    fixture_import_end(&s.it);
    enter(&s, "S7", AP_SLING_WLL, 1000 * 0.45359237);
    enter(&s, "S7", AP_SLING_FACTOR, 1.0);
    look(&s, "S7");
    check_close(row(&s, "S7")->worst_use, 0.5, 1e-9, "1000 lb / 2000 lb");
    assert_true(row(&s, "S7")->wll_varies);
    drop(&s);
}

static void an_inspection_settles_what_came_before(void **state) {
    (void)state;
    shed s;
    make(&s);
    store_three(&s);
    enter(&s, "S7", AP_SLING_WLL, 1000 * 0.45359237);
    enter(&s, "S7", AP_SLING_FACTOR, 0.8);
    look(&s, NULL);
    assert_true(ap_sling_needs_inspection(row(&s, "S7")));
    assert_true(ap_sling_needs_inspection(row(&s, "S8")));
    on_day(&s, "S7", "2026-08-01", false);
    on_day(&s, "S8", "2026-09-09", false);
    look(&s, NULL);
    assert_false(ap_sling_needs_inspection(row(&s, "S7")));
    assert_int_equal(row(&s, "S7")->over, 1); /* it stays in the register */
    assert_true(ap_sling_needs_inspection(row(&s, "S8")));
    on_day(&s, "S8", "2026-09-05", true);
    look(&s, NULL);
    assert_false(ap_sling_needs_inspection(row(&s, "S8")));
    assert_true(ap_sling_used_retired(row(&s, "S8")));
    check_str(s.reg.rows[0].tag, "S8"); /* what needs somebody stands first */
    drop(&s);
}

/* Shock: above 15 %, not at it. */
static void a_peak_is_a_shock_above_the_line(void **state) {
    (void)state;
    shed s;
    make(&s);
    fixture_import_begin(&s.it, "log.csv", '1');
    ap_pick tie = plumb(&s.it, "1", "2026-08-01", 1000, "T");
    fixture_set_quantity(&tie, AP_F_peak_load, 1150, AP_UNIT_LB, 0);
    ap_pick over = plumb(&s.it, "2", "2026-08-02", 1000, "O");
    fixture_set_quantity(&over, AP_F_peak_load, 1160, AP_UNIT_LB, 0);
    ap_pick bare = plumb(&s.it, "3", "2026-08-03", 1000, "");
    fixture_offer(&s.it, &tie, NULL);
    fixture_offer(&s.it, &over, NULL);
    fixture_offer(&s.it, &bare, NULL);
    fixture_import_end(&s.it);
    look(&s, NULL);
    assert_int_equal(row(&s, "T")->shocks, 0);
    assert_int_equal(row(&s, "O")->shocks, 1);
    assert_int_equal(s.reg.untagged, 1);
    drop(&s);
}

static void what_no_sling_has_is_refused(void **state) {
    (void)state;
    shed s;
    ap_error err;
    ap_book_author author = fixture_author();
    char long_tag[AP_SLING_TAG_MAX + 1];
    memset(long_tag, 'x', sizeof long_tag);
    make(&s);
    check_ok(ap_book_begin(s.it.book, &err), &err);
    const ap_str tags[] = {
        AP_STR_NONE, AP_STR_LIT(" "), AP_STR_LIT("a\tb"), AP_STR_LIT("\xc3"), {long_tag, sizeof long_tag}};
    for (size_t i = 0; i < sizeof tags / sizeof tags[0]; i++) {
        const ap_sling_edit edit = {.tag = tags[i], .author = &author};
        check_refused(ap_book_sling_set(s.it.book, &edit, AP_SLING_WLL, 500, AP_STR_LIT("500 kg"), &err), AP_E_INPUT,
                      &err, "tag");
        check_refused(ap_book_sling_inspected(s.it.book, &edit, 20000, &err), AP_E_INPUT, &err, "tag");
    }
    const ap_sling_edit good = {.tag = AP_STR_LIT("S1"), .author = &author};
    static const struct {
        ap_sling_field field;
        double value;
    } bad[] = {{AP_SLING_WLL, 0},    {AP_SLING_WLL, -1},     {AP_SLING_WLL, INFINITY}, {AP_SLING_LENGTH, 101},
               {AP_SLING_FACTOR, 0}, {AP_SLING_FACTOR, 2.1}, {AP_SLING_KIND, 7},       {AP_SLING_FIELDS, 1}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_int_not_equal(ap_book_sling_set(s.it.book, &good, bad[i].field, bad[i].value, AP_STR_LIT("x"), &err),
                             AP_OK);
    }
    check_refused(ap_book_sling_retire(s.it.book, &good, AP_DATE_NONE, &err), AP_E_NOT_FOUND, &err, "not retired");
    ap_book_rollback(s.it.book);
    look(&s, NULL);
    assert_int_equal(s.reg.count, 0);
    drop(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_worst_use_of_each_tag),
        cmocka_unit_test(the_logged_limit_comes_first),
        cmocka_unit_test(an_inspection_settles_what_came_before),
        cmocka_unit_test(a_peak_is_a_shock_above_the_line),
        cmocka_unit_test(what_no_sling_has_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
