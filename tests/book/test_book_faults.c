/* Disk faults: whichever change of a file fails, the book is afterwards as it was, or the change is in it whole. */
#include <sqlite3.h>
#include <unistd.h>

#include "base/sink.h"
#include "book/integrity.h"
#include "book/species.h"
#include "support/book_fixture.h"
#include "support/fault_vfs.h"

static const char digest_sql[] =
    "SELECT (SELECT count(*) FROM pick) * 1000000 + (SELECT count(*) FROM import) * 10000 + "
    "(SELECT count(*) FROM job) * 100 + (SELECT count(*) FROM import_file) FROM (SELECT 1)";

static void check_whole(book_fixture *it) {
    ap_error err;
    ap_buf says;
    int troubles = -1;
    ap_error_clear(&err);
    ap_buf_init(&says, 1 << 16);
    check_ok(ap_book_open(&it->book, it->path, AP_BOOK_READ, &err), &err);
    check_ok(ap_book_check_integrity(&troubles, &says, it->book, &err), &err);
    if (troubles != 0) {
        fail_msg("%.*s", AP_STR_ARG(ap_buf_str(&says)));
    }
    ap_buf_release(&says);
    ap_book_close(it->book);
    it->book = NULL;
}

/* An import of some picks; the first failure ends it, as a program would. */
static ap_status import_some(ap_book *book, const ap_pick *model, int count, ap_error *err) {
    ap_pick_writer *writer = NULL;
    int64_t import_id = 0;
    ap_book_author author = fixture_author();
    ap_import_file file = {.path = AP_STR_LIT("b.csv"),
                           .sha256 = AP_STR_LIT("0000000000000000000000000000000000000000000000000000000000000000"),
                           .bytes = 1,
                           .dialect = AP_STR_LIT("d"),
                           .date_order = AP_STR_LIT("ISO"),
                           .columns = AP_STR_LIT("[]")};
    ap_origin origin = {0, 0, 1, AP_STR_NONE};
    ap_status status = ap_book_begin(book, err);
    status = status == AP_OK ? ap_book_import_begin(&import_id, book, &author, err) : status;
    status = status == AP_OK ? ap_book_import_file_add(&origin.file_id, book, import_id, &file, err) : status;
    status = status == AP_OK ? ap_pick_writer_new(&writer, book, err) : status;
    for (int i = 0; i < count && status == AP_OK; i++) {
        char job[16];
        char number[16];
        ap_stored stored;
        int differs;
        snprintf(job, sizeof job, "J%d", 100 + i / 20);
        snprintf(number, sizeof number, "%d", i);
        ap_pick pick = *model;
        pick.job = ap_str_from(job);
        pick.pick = ap_str_from(number);
        origin.line++;
        status = ap_pick_writer_offer(&stored, &differs, writer, &pick, AP_STR_NONE, &origin, err);
    }
    ap_file_counts counts = {.stored = count};
    status = status == AP_OK ? ap_book_import_file_end(book, origin.file_id, &counts, err) : status;
    ap_pick_writer_free(writer);
    if (status == AP_OK) {
        status = ap_book_commit(book, err);
    }
    ap_book_rollback(book);
    return status;
}

static void copy_file(const char *from, const char *to) {
    ap_error err;
    ap_buf bytes;
    check_ok(ap_file_read(&bytes, from, 1 << 26, &err), &err);
    check_ok(ap_file_write(to, ap_buf_str(&bytes), &err), &err);
    ap_buf_release(&bytes);
}

static void run_faults(int code, int lasting, ap_status want) {
    enum { PICKS = 60 };
    book_fixture it;
    char kept[360];
    fixture_make(&it);
    ap_pick model = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    model.notes = AP_STR_LIT("a note long enough that some pages fill: the butt came up a foot and the tip settled");
    fixture_store(&it, &model, 'a');
    ap_book_close(it.book);
    it.book = NULL;
    snprintf(kept, sizeof kept, "%s/kept", it.folder);
    copy_file(it.path, kept);
    int64_t before = fixture_number(&it, digest_sql);
    int struck = 0;
    int stored = 0;
    for (int n = 1; stored == 0 && n < 1000; n++) {
        ap_error err;
        ap_error_clear(&err);
        copy_file(kept, it.path);
        fault_vfs_start();
        check_ok(ap_book_open(&it.book, it.path, AP_BOOK_WRITE, &err), &err);
        fault_vfs_fail(n, code, lasting);
        ap_status status = import_some(it.book, &model, PICKS, &err);
        int hit = fault_vfs_struck();
        ap_book_close(it.book);
        it.book = NULL;
        fault_vfs_stop();
        check_whole(&it); /* plays a journal back, as the next program would */
        int64_t after = fixture_number(&it, digest_sql);
        if (status == AP_OK) {
            assert_int_equal(after, before + PICKS * 1000000 + 10000 + 300 + 1);
            stored = !hit;
        } else {
            struck++;
            assert_int_equal(status, want);
            assert_true(strlen(err.text) > 20);
            assert_int_equal(after, before);
        }
    }
    assert_true(stored);
    assert_true(struck > 8); /* journal, pages, syncs: a fault at each */
    fixture_remove(&it);
}

static void test_disk_full(void **state) {
    (void)state;
    run_faults(SQLITE_FULL, 1, AP_E_IO);
}

static void test_write_error_once(void **state) {
    (void)state;
    run_faults(SQLITE_IOERR_WRITE, 0, AP_E_IO);
}

static void test_write_error_lasting(void **state) {
    (void)state;
    run_faults(SQLITE_IOERR_WRITE, 1, AP_E_IO);
}

/* A book that cannot be made leaves no file behind. */
static void test_create(void **state) {
    (void)state;
    char folder[256];
    char path[320];
    check_folder_make(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/new.book", folder);
    bool made = false;
    int failed = 0;
    /* Every change at first, then in strides: a fresh book is a few hundred pages. */
    for (int n = 1; !made && n < 5000; n += n < 40 ? 1 : 13) {
        ap_error err;
        ap_book *book = NULL;
        ap_error_clear(&err);
        fault_vfs_start();
        fault_vfs_fail(n, SQLITE_FULL, 1);
        ap_status status = ap_book_open(&book, path, AP_BOOK_CREATE, &err);
        fault_vfs_fail(0, 0, 0);
        if (status == AP_OK) {
            made = true;
            ap_book_close(book);
        } else {
            failed++;
            assert_null(book);
            assert_int_equal(status, AP_E_IO);
            assert_int_equal(access(path, F_OK), -1);
        }
        fault_vfs_stop();
    }
    assert_true(made);
    assert_true(failed > 20);
    check_folder_remove(folder);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_disk_full),
        cmocka_unit_test(test_write_error_once),
        cmocka_unit_test(test_write_error_lasting),
        cmocka_unit_test(test_create),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
