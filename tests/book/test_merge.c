/* Another crew's book: opened so that nothing of it is written or run, and what was amended there kept with its picks. */
#include <sqlite3.h>
#include <sys/stat.h>

#include "base/sink.h"
#include "book/amend.h"
#include "book/merge_amendments.h"
#include "book/stranger.h"
#include "support/book_fixture.h"

static void close_it(book_fixture *it) {
    ap_book_close(it->book);
    it->book = NULL;
}

static void check_not_taken(book_fixture *it, const char *sql, const char *says) {
    ap_error err;
    ap_book *book = NULL;
    ap_buf bytes;
    ap_error_clear(&err);
    check_ok(ap_file_read(&bytes, it->path, 1 << 26, &err), &err);
    fixture_change(it, sql);
    check_refused(ap_book_open_stranger(&book, it->path, &err), AP_E_BOOK, &err, says);
    assert_null(book);
    check_ok(ap_file_write(it->path, ap_buf_str(&bytes), &err), &err);
    ap_buf_release(&bytes);
}

static void test_tables_of_its_own(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_book *book = NULL;
    fixture_make(&it);
    close_it(&it);
    check_not_taken(&it, "DROP TABLE action_history",
                    "its table 'action_history' is not made as this program makes it");
    check_not_taken(&it, "ALTER TABLE job ADD COLUMN more TEXT", "its table 'job' is not made");
    check_not_taken(&it, "CREATE TABLE trap (a)", "its table 'trap' is none of this program's");
    check_not_taken(&it, "CREATE INDEX trap ON job (upper(job))", "its index 'trap' is none of this program's");
    check_not_taken(&it, "PRAGMA user_version = 1", "version 1");
    /* Harmless: what is not run, and what SQLite's ANALYZE leaves. */
    fixture_change(&it, "CREATE VIEW mine AS SELECT * FROM pick; ANALYZE");
    check_ok(ap_book_open_stranger(&book, it.path, &err), &err);
    ap_book_close(book);
    fixture_remove(&it);
}

static void test_nothing_is_written(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_book *book = NULL;
    ap_buf before;
    ap_buf after;
    fixture_make(&it);
    ap_pick pick = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    fixture_store(&it, &pick, 'a');
    close_it(&it);
    check_ok(ap_file_read(&before, it.path, 1 << 26, &err), &err);
    check_ok(ap_book_open_stranger(&book, it.path, &err), &err);
    check_refused(ap_book_begin(book, &err), AP_E_INTERNAL, &err, "reading only");
    ap_book_close(book);
    check_ok(ap_file_read(&after, it.path, 1 << 26, &err), &err);
    assert_int_equal(after.len, before.len);
    assert_memory_equal(after.ptr, before.ptr, before.len);
    ap_buf_release(&before);
    ap_buf_release(&after);
    fixture_remove(&it);
}

static void amend_length(book_fixture *it, const char *name, double feet, const char *role) {
    ap_error err;
    ap_pick value;
    const ap_book_author author = {.role = ap_str_from(role), .today = fixture_date("2026-10-06")};
    ap_pick_clear(&value);
    fixture_set_quantity(&value, AP_F_length, feet, AP_UNIT_FT, 0);
    check_ok(ap_book_begin(it->book, &err), &err);
    check_ok(ap_book_amend(it->book, ap_str_from(name), AP_F_length, &value, AP_STR_LIT("misread"), &author, &err),
             &err);
    check_ok(ap_book_commit(it->book, &err), &err);
}

static void test_amendments_come_with_their_picks(void **state) {
    (void)state;
    book_fixture here;
    book_fixture there;
    ap_error err;
    int64_t count = 0;
    fixture_make(&here);
    fixture_make(&there);
    ap_pick both = fixture_pick(&there, "J1", "1", "2026-10-05", 2400);
    ap_pick new_one = fixture_pick(&there, "J1", "2026-10-05/2", "2026-10-05", 2600);
    fixture_store(&there, &both, 'a');
    fixture_store(&there, &new_one, 'b');
    fixture_store(&here, &both, 'a');
    amend_length(&there, "J1/1", 18, "foreman");
    amend_length(&there, "J1/2026-10-05/2", 20, "foreman");
    amend_length(&there, "J1/2026-10-05/2", 21, "");
    fixture_change(&there, "UPDATE amendment SET field = 'no_such_field' WHERE new_value = '20 ft'");
    fixture_store(&here, &new_one, 'b'); /* the newest import here */
    check_refused(ap_book_merge_amendments(&count, here.book, there.book, AP_STR_LIT("north.book"), &err),
                  AP_E_INTERNAL, &err, "outside a transaction");
    check_ok(ap_book_begin(here.book, &err), &err);
    check_ok(ap_book_merge_amendments(&count, here.book, there.book, AP_STR_LIT("north.book"), &err), &err);
    check_ok(ap_book_commit(here.book, &err), &err);
    assert_int_equal(count, 1);
    assert_int_equal(fixture_number(&here, "SELECT count(*) FROM amendment"), 1);
    assert_int_equal(
        fixture_number(&here, "SELECT count(*) FROM amendment JOIN pick ON pick.id = pick_id "
                              "WHERE pick.pick = '2026-10-05/2' AND pick_name = 'J1/2026-10-05/2' AND field = 'length' "
                              "AND old_value = '20 ft' AND new_value = '21 ft' AND who = '(north.book)' "
                              "AND why = 'misread' AND amended_on = '2026-10-06' AND old_si = 20 * 0.3048"),
        1);
    fixture_remove(&here);
    fixture_remove(&there);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_tables_of_its_own),
        cmocka_unit_test(test_nothing_is_written),
        cmocka_unit_test(test_amendments_come_with_their_picks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
