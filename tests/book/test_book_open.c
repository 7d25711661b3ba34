/* Opening: what is not a book, or not ours to read, is refused and stays as it was. */
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/sink.h"
#include "book/handle.h"
#include "book/integrity.h"
#include "support/book_fixture.h"
#include "support/fault_vfs.h"

static void write_file(const char *path, const char *text, size_t len) {
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, len, file), len);
    fclose(file);
}

static void run_sql(const char *path, const char *sql) {
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    char *says = NULL;
    if (sqlite3_exec(db, sql, NULL, NULL, &says) != SQLITE_OK) {
        fail_msg("%s", says);
    }
    sqlite3_close(db);
}

/* Refused in every mode, and not a byte has changed. */
static void refused(const char *path, ap_status code, const char *says) {
    ap_error err;
    ap_book *book = NULL;
    ap_buf before;
    ap_buf after;
    ap_error_clear(&err);
    check_ok(ap_file_read(&before, path, 1 << 22, &err), &err);
    for (int mode = AP_BOOK_READ; mode <= AP_BOOK_WRITE; mode++) {
        check_refused(ap_book_open(&book, path, (ap_book_mode)mode, &err), code, &err, says);
        assert_null(book);
    }
    check_ok(ap_file_read(&after, path, 1 << 22, &err), &err);
    assert_true(ap_str_equal(ap_buf_str(&before), ap_buf_str(&after)));
    ap_buf_release(&before);
    ap_buf_release(&after);
}

static void test_create(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_buf says;
    int troubles = -1;
    fixture_make(&it);
    assert_true(ap_book_version(it.book) >= 1);
    assert_int_equal(fixture_number(&it, "PRAGMA application_id"), AP_BOOK_APPLICATION_ID);
    assert_int_equal(fixture_number(&it, "PRAGMA user_version"), ap_book_version_known());
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM species"), 130);
    ap_buf_init(&says, 1 << 16);
    check_ok(ap_book_check_integrity(&troubles, &says, it.book, &err), &err);
    assert_int_equal(troubles, 0);
    ap_buf_release(&says);
    /* An existing file is never taken over. */
    ap_book *other = NULL;
    check_refused(ap_book_open(&other, it.path, AP_BOOK_CREATE, &err), AP_E_USAGE, &err, "exists already");
    fixture_reopen(&it, AP_BOOK_READ);
    fixture_remove(&it);
}

static void test_not_a_book(void **state) {
    (void)state;
    char folder[256];
    char path[320];
    ap_error err;
    ap_book *book = NULL;
    check_folder_make(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/x.book", folder);
    check_refused(ap_book_open(&book, path, AP_BOOK_READ, &err), AP_E_NOT_FOUND, &err, "afterpick init");
    check_refused(ap_book_open(&book, folder, AP_BOOK_READ, &err), AP_E_BOOK, &err, "not a plain file");
    write_file(path, "", 0);
    refused(path, AP_E_BOOK, "is empty");
    static const char log[] = "job,date,pick,species,measured_weight_lb\nJ1,2026-10-05,1,silver maple,2400\n"
                              "J1,2026-10-05,2,silver maple,1800\n";
    write_file(path, log, sizeof log - 1);
    refused(path, AP_E_BOOK, "is not a book");
    check_folder_remove(folder);
}

static void test_foreign(void **state) {
    (void)state;
    char folder[256];
    char path[320];
    check_folder_make(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/x.book", folder);
    run_sql(path, "CREATE TABLE a (b); PRAGMA user_version = 1;");
    refused(path, AP_E_BOOK, "another program");
    run_sql(path, "PRAGMA application_id = 252006674;");
    refused(path, AP_E_BOOK, "another program");
    check_folder_remove(folder);
}

static void test_newer(void **state) {
    (void)state;
    book_fixture it;
    fixture_make(&it);
    ap_book_close(it.book);
    it.book = NULL;
    char sql[64];
    snprintf(sql, sizeof sql, "PRAGMA user_version = %d", ap_book_version_known() + 1);
    run_sql(it.path, sql);
    refused(it.path, AP_E_BOOK, "take a newer afterpick");
    fixture_remove(&it);
}

/* Version 0: our application id, nothing in it. A report refuses, a change brings it up to date. */
static void test_version_0(void **state) {
    (void)state;
    char folder[256];
    char path[320];
    ap_error err;
    ap_book *book = NULL;
    check_folder_make(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/x.book", folder);
    run_sql(path, "PRAGMA application_id = 1097224299;");
    assert_int_equal(AP_BOOK_APPLICATION_ID, 1097224299);
    check_refused(ap_book_open(&book, path, AP_BOOK_READ, &err), AP_E_BOOK, &err, "brought up to date");
    check_ok(ap_book_open(&book, path, AP_BOOK_WRITE, &err), &err);
    assert_int_equal(ap_book_version(book), ap_book_version_known());
    ap_book_close(book);
    check_ok(ap_book_open(&book, path, AP_BOOK_READ, &err), &err);
    ap_book_close(book);
    check_folder_remove(folder);
}

static void test_busy(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_book *second = NULL;
    fixture_make(&it);
    ap_book_set_busy_wait(30);
    check_ok(ap_book_open(&second, it.path, AP_BOOK_WRITE, &err), &err);
    check_ok(ap_book_begin(it.book, &err), &err);
    check_refused(ap_book_begin(second, &err), AP_E_BUSY, &err, "another program is using the book");
    check_ok(ap_book_begin_read(second, &err), &err); /* a report is not held up by a writer that has not stored yet */
    ap_book_rollback(second);
    ap_book_rollback(it.book);
    check_ok(ap_book_begin(second, &err), &err);
    ap_book_rollback(second);
    ap_book_close(second);
    ap_book_set_busy_wait(5000);
    fixture_remove(&it);
}

static void test_reader_changes_nothing(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_query *query = NULL;
    fixture_make(&it);
    fixture_reopen(&it, AP_BOOK_READ);
    check_refused(ap_book_begin(it.book, &err), AP_E_INTERNAL, &err, "reading only");
    check_ok(ap_query_open(&query, it.book, "import_insert", &err), &err);
    ap_query_bind_text(query, ":who", AP_STR_LIT("nobody"));
    ap_query_bind_date(query, ":today", 0);
    check_refused(ap_query_run(query, &err), AP_E_IO, &err, "may not be written");
    ap_query_close(query);
    fixture_remove(&it);
}

static void test_readonly_file(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_book *book = NULL;
    fixture_make(&it);
    ap_book_close(it.book);
    it.book = NULL;
    fault_vfs_start();
    fault_vfs_readonly(1);
    check_refused(ap_book_open(&book, it.path, AP_BOOK_WRITE, &err), AP_E_IO, &err, "may not be written");
    check_ok(ap_book_open(&book, it.path, AP_BOOK_READ, &err), &err);
    ap_book_close(book);
    fault_vfs_stop();
    fixture_remove(&it);
}

static void test_writes_need_a_transaction(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    int64_t id = 0;
    ap_book_author author = fixture_author();
    fixture_make(&it);
    check_refused(ap_book_import_begin(&id, it.book, &author, &err), AP_E_INTERNAL, &err, "outside a transaction");
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_create),
        cmocka_unit_test(test_not_a_book),
        cmocka_unit_test(test_foreign),
        cmocka_unit_test(test_newer),
        cmocka_unit_test(test_version_0),
        cmocka_unit_test(test_busy),
        cmocka_unit_test(test_reader_changes_nothing),
        cmocka_unit_test(test_readonly_file),
        cmocka_unit_test(test_writes_need_a_transaction),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
