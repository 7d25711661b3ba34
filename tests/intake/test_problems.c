/* Rows set aside: listed while their import counts, dropped by a person with a reason, stored since by a later log. */
#include "book/problems.h"

#include "book/amend.h"
#include "intake/row_again.h"
#include "support/book_fixture.h"

static void set_aside(book_fixture *it, const char *raw) {
    ap_error err;
    const ap_set_aside row = {.line = 4,
                              .column = 2,
                              .field = AP_STR_LIT("date"),
                              .text = AP_STR_LIT("June"),
                              .reason = AP_STR_LIT("'June' is not a date"),
                              .remedy = AP_STR_LIT("write the date"),
                              .raw = ap_str_from(raw)};
    check_ok(ap_book_set_aside_add(it->book, it->file_id, &row, &err), &err);
}

static ap_aside_list list(book_fixture *it, ap_arena *arena, bool all) {
    ap_aside_list out;
    ap_error err;
    check_ok(ap_book_asides(&out, arena, it->book, all, &err), &err);
    return out;
}

static void test_dropped_rows_stay_in_the_history(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    const ap_book_author author = fixture_author();
    fixture_make(&it);
    ap_arena_init(&arena, 1 << 20);
    fixture_import_begin(&it, "june.csv", '1');
    set_aside(&it, "J7,June,5");
    fixture_import_end(&it);
    ap_aside_list open = list(&it, &arena, false);
    assert_int_equal(open.count, 1);
    check_str(open.items[0].file, "june.csv");
    assert_int_equal(open.items[0].dropped_on, AP_DATE_NONE);

    check_refused(ap_book_aside_drop(it.book, open.items[0].id, AP_STR_LIT("x"), &author, &err), AP_E_INTERNAL, &err,
                  "transaction");
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_aside_drop(it.book, open.items[0].id, AP_STR_LIT("no pick"), &author, &err), &err);
    check_ok(ap_book_commit(it.book, &err), &err);
    assert_int_equal(list(&it, &arena, false).count, 0);
    ap_aside_list all = list(&it, &arena, true);
    assert_int_equal(all.count, 1);
    check_str(all.items[0].dropped_why, "no pick");
    assert_int_equal(all.items[0].dropped_on, author.today);

    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_import_undo(it.book, it.import_id, AP_STR_LIT("wrong file"), &author, &err), &err);
    check_ok(ap_book_commit(it.book, &err), &err);
    assert_int_equal(list(&it, &arena, true).count, 0);
    ap_arena_release(&arena);
    fixture_remove(&it);
}

static void test_stored_since_means_a_later_file(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_error err;
    ap_str name;
    fixture_make(&it);
    ap_arena_init(&arena, 1 << 20);
    ap_pick pick = fixture_pick(&it, "J7", "5", "2026-10-01", 4000);
    fixture_store(&it, &pick, '1');
    int64_t first = it.file_id;
    check_ok(ap_book_stored_since(&name, &arena, it.book, first - 1, AP_STR_LIT("j7"), AP_STR_LIT("5"), &err), &err);
    check_str(name, "J7/5");
    check_ok(ap_book_stored_since(&name, &arena, it.book, first, AP_STR_LIT("J7"), AP_STR_LIT("5"), &err), &err);
    assert_null(name.ptr);
    check_ok(ap_book_stored_since(&name, &arena, it.book, first - 1, AP_STR_LIT("J7"), AP_STR_LIT("6"), &err), &err);
    assert_null(name.ptr);
    ap_arena_release(&arena);
    fixture_remove(&it);
}

static void check_again(ap_arena *arena, const ap_aside *aside, const char *job, const char *pick, ap_date date) {
    ap_row_again again;
    ap_error err;
    check_ok(ap_row_again_read(&again, arena, aside, &err), &err);
    if (job) {
        check_str(again.job, job);
        check_str(again.pick, pick);
    } else {
        assert_int_equal(again.job.len, 0);
    }
    assert_int_equal(again.date, date);
}

static void test_a_row_is_split_as_its_log_was(void **state) {
    (void)state;
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    ap_aside aside = {.job_column = 1, .date_column = 2, .pick_column = 3, .dialect = AP_STR_LIT("comma, UTF-8")};
    aside.raw = AP_STR_LIT("\"J,7\", 2026-10-05 ,5,x");
    check_again(&arena, &aside, "J,7", "5", fixture_date("2026-10-05"));
    aside.dialect = AP_STR_LIT("semicolon, Windows-1252");
    aside.raw = AP_STR_LIT("J7;05/06/2026;5");
    aside.date_order = AP_STR_LIT("d/m/y (given)");
    check_again(&arena, &aside, "J7", "5", fixture_date("2026-06-05"));
    aside.date_order = AP_STR_LIT("m/d/y (settled by line 14)");
    check_again(&arena, &aside, "J7", "5", fixture_date("2026-05-06"));
    aside.date_order = AP_STR_LIT("ISO");
    check_again(&arena, &aside, "J7", "5", AP_DATE_NONE);
    aside.raw = AP_STR_LIT("J7;\"never closed");
    check_again(&arena, &aside, NULL, NULL, AP_DATE_NONE);
    aside.raw = AP_STR_LIT("J7");
    aside.job_column = 9;
    check_again(&arena, &aside, NULL, NULL, AP_DATE_NONE);
    aside.raw = AP_STR_LIT("");
    check_again(&arena, &aside, NULL, NULL, AP_DATE_NONE);
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_dropped_rows_stay_in_the_history),
        cmocka_unit_test(test_stored_since_means_a_later_file),
        cmocka_unit_test(test_a_row_is_split_as_its_log_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
