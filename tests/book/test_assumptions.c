#include "book/assumptions.h"

#include "support/book_fixture.h"

static ap_error err;

static ap_book_author author_on(const char *iso) {
    ap_book_author author = fixture_author();
    author.today = fixture_date(iso);
    return author;
}

static void accept(book_fixture *it, double density, const char *day, const char *why) {
    const ap_book_author author = author_on(day);
    const ap_assumption one = {.species_id = 802, /* white oak */
                               .density_kg_m3 = density,
                               .sd_log = 0.03,
                               .trees = 12,
                               .picks = 40,
                               .why = ap_str_from(why),
                               .evidence = AP_STR_LIT("invented")};
    check_ok(ap_book_begin(it->book, &err), &err);
    check_ok(ap_book_end(it->book, ap_book_assumption_accept(it->book, &one, &author, &err), &err), &err);
}

static ap_status undo(book_fixture *it, int64_t id, const char *day, const char *why) {
    const ap_book_author author = author_on(day);
    check_ok(ap_book_begin(it->book, &err), &err);
    return ap_book_end(it->book, ap_book_assumption_undo(it->book, id, ap_str_from(why), &author, &err), &err);
}

static double held_on(const ap_assumptions *all, const char *day) {
    const ap_assumption *one = ap_assumption_in_force(all, 802, day ? fixture_date(day) : AP_DATE_NONE);
    return one ? one->density_kg_m3 : 0;
}

/* A day's report uses what was in force on that day, whatever came later. */
static void test_dated(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_assumptions all;
    fixture_make(&it);
    ap_arena_init(&arena, 1u << 20);
    accept(&it, 1000, "2026-10-05", "first");
    accept(&it, 1050, "2026-10-20", "second");
    check_ok(ap_book_assumptions_read(&all, &arena, it.book, &err), &err);
    assert_int_equal(all.count, 2);
    check_ok(undo(&it, all.items[1].id, "2026-11-10", "a wrong tare"), &err);
    check_refused(undo(&it, all.items[1].id, "2026-11-11", "again"), AP_E_NOT_FOUND, &err, "already");
    check_ok(ap_book_assumptions_read(&all, &arena, it.book, &err), &err);
    static const struct {
        const char *day;
        double density;
    } want[] = {{"2026-10-04", 0},    {"2026-10-05", 1000}, {"2026-10-31", 1050},
                {"2026-11-09", 1050}, {"2026-11-10", 1000}, {NULL, 1000}};
    for (size_t i = 0; i < sizeof want / sizeof want[0]; i++) {
        check_close(held_on(&all, want[i].day), want[i].density, 0, "the table above, by hand");
    }
    check_str(all.items[1].undone_why, "a wrong tare");
    assert_null(ap_assumption_in_force(&all, 833, AP_DATE_NONE)); /* another species */
    accept(&it, 980, "2026-11-10", "a new one on the day the old one went");
    check_ok(ap_book_assumptions_read(&all, &arena, it.book, &err), &err);
    check_close(held_on(&all, "2026-11-10"), 980, 0, "the youngest");
    ap_arena_release(&arena);
    fixture_remove(&it);
}

static void test_needs_a_reason(void **state) {
    (void)state;
    book_fixture it;
    fixture_make(&it);
    const ap_book_author author = author_on("2026-10-05");
    ap_assumption one = {.species_id = 802, .density_kg_m3 = 1000, .evidence = AP_STR_LIT("invented")};
    check_ok(ap_book_begin(it.book, &err), &err);
    check_refused(ap_book_assumption_accept(it.book, &one, &author, &err), AP_E_USAGE, &err, "--why");
    check_refused(ap_book_assumption_undo(it.book, 1, AP_STR_LIT(" "), &author, &err), AP_E_USAGE, &err, "--why");
    one.why = AP_STR_LIT("lead by mistake");
    one.density_kg_m3 = 11340; /* no wood: the book's own rule */
    assert_int_not_equal(ap_book_assumption_accept(it.book, &one, &author, &err), AP_OK);
    ap_book_rollback(it.book);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_dated),
        cmocka_unit_test(test_needs_a_reason),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
