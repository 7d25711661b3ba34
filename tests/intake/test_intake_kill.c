/* An import that is killed leaves the book as it was, or has it whole; the next import works and sweeps up behind it. */
#include <dirent.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include "intake/kit.h"

enum { ROWS = 8000, KILLS = 50 };

static size_t leftovers(const kit *k) {
    char folder[300];
    size_t count = 0;
    snprintf(folder, sizeof folder, "%s/crew.book-logs", k->folder);
    DIR *dir = opendir(folder);
    for (struct dirent *entry = dir ? readdir(dir) : NULL; entry; entry = readdir(dir)) {
        count += strncmp(entry->d_name, "incoming-", 9) == 0;
    }
    if (dir) {
        closedir(dir);
    }
    return count;
}

static void import_in_child(const kit *k, const char *path) {
    ap_error err;
    ap_book *book = NULL;
    ap_intake_result result;
    ap_intake_result_init(&result);
    if (ap_book_open(&book, k->book_path, AP_BOOK_WRITE, &err) != AP_OK ||
        ap_intake_files(&result, book, &path, 1, &k->options, &err) != AP_OK) {
        _exit(9);
    }
    ap_book_close(book);
    _exit(0);
}

/* An empty book in place of the one that is there. */
static void fresh_book(kit *k) {
    unlink(k->book_path);
    check_ok(ap_book_open(&k->book, k->book_path, AP_BOOK_CREATE, &k->err), &k->err);
    ap_book_close(k->book);
    k->book = NULL;
}

static int64_t now_ns(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec * 1000000000LL + now.tv_nsec;
}

static void test_killed_at_any_moment(void **state) {
    kit *k = *state;
    ap_buf text;
    ap_buf_init(&text, 16 << 20);
    ap_buf_append_cstr(&text, KIT_HEADER);
    for (int i = 0; i < ROWS; i++) {
        ap_buf_appendf(&text, "J%d,2026-03-02,%d,red maple,4800,5400,gross,18,24,16,\n", i / 20, i % 20);
    }
    const char *path = kit_log_bytes(k, "a.csv", text.ptr, text.len);
    ap_buf_release(&text);
    ap_book_close(k->book);
    k->book = NULL;
    /* How long a whole one takes here and now: the moments are spread over that, by a fixed sequence. */
    int how = 0;
    const int64_t start = now_ns();
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        import_in_child(k, path);
    }
    assert_int_equal(waitpid(child, &how, 0), child);
    assert_true(WIFEXITED(how) && WEXITSTATUS(how) == 0);
    const int64_t whole_ns = now_ns() - start;
    fresh_book(k);

    int killed = 0;
    uint32_t moment = 1;
    for (int round = 0; round < KILLS; round++) {
        moment = moment * 1664525u + 1013904223u; /* a common congruential sequence, constants from memory */
        const int64_t pause_ns = (int64_t)((double)(moment >> 8) / (1 << 24) * (double)whole_ns);
        child = fork();
        assert_true(child >= 0);
        if (child == 0) {
            import_in_child(k, path);
        }
        const struct timespec pause = {.tv_sec = pause_ns / 1000000000, .tv_nsec = pause_ns % 1000000000};
        nanosleep(&pause, NULL);
        kill(child, SIGKILL);
        assert_int_equal(waitpid(child, &how, 0), child);
        killed += WIFSIGNALED(how);
        check_ok(ap_book_open(&k->book, k->book_path, AP_BOOK_WRITE, &k->err), &k->err);
        const int64_t picks = kit_picks(k);
        if (picks != 0 && picks != ROWS) {
            fail_msg("killed after %lld us: %lld of %d picks", (long long)(pause_ns / 1000), (long long)picks,
                     (int)ROWS);
        }
        if (!WIFSIGNALED(how)) {
            assert_int_equal(picks, ROWS);
        }
        ap_book_close(k->book);
        k->book = NULL;
        if (picks == ROWS) {
            fresh_book(k);
        }
    }
    assert_true(killed > KILLS / 2);
    check_ok(ap_book_open(&k->book, k->book_path, AP_BOOK_WRITE, &k->err), &k->err);
    check_ok(kit_import(k, path), &k->err);
    assert_int_equal(kit_picks(k), ROWS);
    assert_int_equal(leftovers(k), 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_killed_at_any_moment, kit_setup, kit_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
