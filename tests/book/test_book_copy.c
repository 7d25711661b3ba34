/* A copy of a book is whole, whoever writes meanwhile and wherever the disk fails; or there is none. */
#include <fcntl.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/sink.h"
#include "book/book_copy.h"
#include "book/handle.h"
#include "book/integrity.h"
#include "support/book_fixture.h"
#include "support/fault_vfs.h"

enum { NOTE_MAX = 2000 };

typedef struct setting {
    book_fixture it;
    char draft[320];
} setting;

/* Some hundred pages, of picks with long notes. */
static void make(setting *s, int picks) {
    char note[NOTE_MAX + 1];
    char number[16];
    memset(note, 'n', NOTE_MAX);
    note[NOTE_MAX] = '\0';
    fixture_make(&s->it);
    snprintf(s->draft, sizeof s->draft, "%s/draft", s->it.folder);
    for (int i = 0; i < picks; i++) {
        snprintf(number, sizeof number, "%d", i + 1);
        ap_pick pick = fixture_pick(&s->it, "J1", number, "2026-10-05", 2400);
        pick.notes = ap_str_from(note);
        fixture_store(&s->it, &pick, (char)('a' + i % 6));
    }
    fixture_reopen(&s->it, AP_BOOK_AS_IS);
}

static void empty_draft(const setting *s) {
    const int fd = open(s->draft, O_CREAT | O_TRUNC | O_WRONLY, 0600);
    assert_true(fd >= 0);
    close(fd);
}

static ap_status copy(ap_book_copy *out, const setting *s, ap_error *err) {
    ap_error_clear(err);
    empty_draft(s);
    return ap_book_copy_to(out, s->it.book, s->draft, "shown.book", err);
}

static void check_whole(const char *path, int64_t picks) {
    ap_error err;
    ap_book *book = NULL;
    ap_buf says;
    int troubles = -1;
    int64_t count = 0;
    ap_buf_init(&says, 1 << 16);
    check_ok(ap_book_open(&book, path, AP_BOOK_READ, &err), &err);
    check_ok(ap_book_check_integrity(&troubles, &says, book, &err), &err);
    assert_int_equal(troubles, 0);
    check_ok(ap_book_integer(&count, book, "SELECT count(*) FROM pick", 0, &err), &err);
    assert_int_equal(count, picks);
    ap_book_close(book);
    ap_buf_release(&says);
}

static void test_copy_is_the_book(void **state) {
    (void)state;
    setting s;
    ap_error err;
    ap_book_copy out;
    ap_buf book;
    ap_buf draft;
    make(&s, 40);
    ap_book_set_copy_step(7);
    check_ok(copy(&out, &s, &err), &err);
    ap_book_set_copy_step(4096);
    assert_int_equal(out.picks, 40);
    assert_int_equal(out.version, ap_book_version_known());
    check_ok(ap_file_read(&book, s.it.path, 1 << 26, &err), &err);
    check_ok(ap_file_read(&draft, s.draft, 1 << 26, &err), &err);
    assert_int_equal(out.bytes, draft.len);
    assert_int_equal(draft.len, book.len);
    /* All but the header's counters of changes (SQLite file format, 1.3). */
    assert_memory_equal(draft.ptr + 100, book.ptr + 100, book.len - 100);
    check_whole(s.draft, 40);
    ap_buf_release(&book);
    ap_buf_release(&draft);
    fixture_remove(&s.it);
}

/* What another program does to the book: it stores one pair of rows after another. In a copy there is no half pair. */
static int write_without_end(const char *path) {
    sqlite3 *db = NULL;
    int rc = sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL);
    sqlite3_busy_timeout(db, 5000);
    while (rc == SQLITE_OK || rc == SQLITE_BUSY) {
        rc = sqlite3_exec(db,
                          "BEGIN IMMEDIATE; INSERT INTO note_of_test VALUES (randomblob(3000)); "
                          "INSERT INTO note_of_test VALUES (randomblob(3000)); COMMIT",
                          NULL, NULL, NULL);
        usleep(2000);
    }
    return 1;
}

static const char *program;

/* SQLite's connections do not outlive a fork: the other program is this one, begun anew. */
static pid_t begin_writer(const char *path) {
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        execl(program, program, path, (char *)NULL);
        _exit(127);
    }
    return child;
}

static void test_others_write_meanwhile(void **state) {
    (void)state;
    setting s;
    ap_error err;
    ap_book_copy out;
    make(&s, 60);
    fixture_change(&s.it, "CREATE TABLE note_of_test (a)");
    fixture_reopen(&s.it, AP_BOOK_AS_IS);
    const pid_t child = begin_writer(s.it.path);
    int64_t pairs = 0;
    for (int i = 0; i < 5 || (pairs < 3 && i < 1000); i++) {
        int64_t rows = 0;
        ap_book *is = NULL;
        ap_book_set_copy_step(i % 2 ? 3 : 40);
        check_ok(copy(&out, &s, &err), &err);
        assert_int_equal(out.picks, 60);
        check_ok(ap_book_open(&is, s.draft, AP_BOOK_READ, &err), &err);
        check_ok(ap_book_integer(&rows, is, "SELECT count(*) FROM note_of_test", 0, &err), &err);
        ap_book_close(is);
        assert_int_equal(rows % 2, 0);
        assert_true(rows / 2 >= pairs);
        pairs = rows / 2;
        check_whole(s.draft, 60);
    }
    assert_true(pairs >= 3);
    ap_book_set_copy_step(4096);
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
    fixture_remove(&s.it);
}

/* Whichever write of the copy fails. */
static void run_faults(int code, const char *says) {
    setting s;
    int struck = 0;
    make(&s, 30);
    const int64_t before = fixture_number(&s.it, "SELECT count(*) FROM pick");
    for (int n = 1; n < 1000; n++) {
        ap_error err;
        ap_book_copy out;
        fault_vfs_start();
        fixture_reopen(&s.it, AP_BOOK_AS_IS);
        fault_vfs_fail(n, code, 1);
        const ap_status status = copy(&out, &s, &err);
        const int hit = fault_vfs_struck();
        fault_vfs_stop();
        if (!hit) {
            check_ok(status, &err);
            break;
        }
        check_refused(status, AP_E_IO, &err, says);
        check_refused(status, AP_E_IO, &err, "shown.book");
        struck++;
    }
    assert_true(struck > 5);
    assert_int_equal(fixture_number(&s.it, "SELECT count(*) FROM pick"), before);
    fixture_remove(&s.it);
}

static void test_disk_full(void **state) {
    (void)state;
    run_faults(SQLITE_FULL, "the disk is full");
}

static void test_write_error(void **state) {
    (void)state;
    run_faults(SQLITE_IOERR_WRITE, "unable to write");
}

static void test_damaged_book(void **state) {
    (void)state;
    setting s;
    ap_error err;
    ap_book_copy out;
    char noise[4096];
    make(&s, 40);
    memset(noise, 0x5a, sizeof noise);
    const int fd = open(s.it.path, O_WRONLY);
    assert_true(fd >= 0);
    const off_t end = lseek(fd, 0, SEEK_END);
    for (int page = 1; page <= 8; page++) { /* the last ones hold picks */
        assert_int_equal(pwrite(fd, noise, sizeof noise, end - page * (off_t)sizeof noise), (ssize_t)sizeof noise);
    }
    close(fd);
    fixture_reopen(&s.it, AP_BOOK_AS_IS);
    check_refused(copy(&out, &s, &err), AP_E_BOOK, &err, "was not kept: what was read back is damaged");
    fixture_remove(&s.it);
}

static void test_book_held_by_another(void **state) {
    (void)state;
    setting s;
    ap_error err;
    ap_book_copy out;
    sqlite3 *other = NULL;
    make(&s, 3);
    ap_book_set_busy_wait(50);
    assert_int_equal(sqlite3_open_v2(s.it.path, &other, SQLITE_OPEN_READWRITE, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_exec(other, "BEGIN EXCLUSIVE", NULL, NULL, NULL), SQLITE_OK);
    check_refused(copy(&out, &s, &err), AP_E_BUSY, &err, "another program is using the book");
    assert_int_equal(sqlite3_exec(other, "COMMIT", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(other);
    ap_book_set_busy_wait(5000);
    check_ok(copy(&out, &s, &err), &err);
    fixture_remove(&s.it);
}

/* As it is: nothing is changed through it, an older book is read. */
static void test_as_it_is(void **state) {
    (void)state;
    setting s;
    ap_error err;
    ap_book_copy out;
    make(&s, 2);
    check_refused(ap_book_begin(s.it.book, &err), AP_E_INTERNAL, &err, "reading only");
    ap_book_close(s.it.book);
    s.it.book = NULL;
    fixture_change(&s.it, "PRAGMA user_version = 2");
    check_refused(ap_book_open(&s.it.book, s.it.path, AP_BOOK_READ, &err), AP_E_BOOK, &err, "'afterpick backup'");
    fixture_reopen(&s.it, AP_BOOK_AS_IS);
    check_ok(copy(&out, &s, &err), &err);
    assert_int_equal(out.version, 2);
    assert_int_equal(fixture_number(&s.it, "PRAGMA user_version"), 2);
    fixture_remove(&s.it);
}

int main(int argc, char **argv) {
    program = argv[0];
    if (argc == 2) {
        return write_without_end(argv[1]);
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_copy_is_the_book), cmocka_unit_test(test_others_write_meanwhile),
        cmocka_unit_test(test_disk_full),        cmocka_unit_test(test_write_error),
        cmocka_unit_test(test_damaged_book),     cmocka_unit_test(test_book_held_by_another),
        cmocka_unit_test(test_as_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
