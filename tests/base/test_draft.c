/* A file takes its name whole or not at all, and never that of a file it was not to replace. */
#include <dirent.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/draft.h"
#include "base/sink.h"
#include "support/check.h"

static char folder[200];

static const char *in_folder(const char *name) {
    static char path[4][300];
    static int next;
    next = (next + 1) % 4;
    snprintf(path[next], sizeof path[next], "%s/%s", folder, name);
    return path[next];
}

static int files(void) {
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    int count = 0;
    for (const struct dirent *entry = readdir(dir); entry; entry = readdir(dir)) {
        count += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    }
    closedir(dir);
    return count;
}

static void check_content(const char *path, const char *wanted) {
    ap_error err;
    ap_buf text;
    check_ok(ap_file_read(&text, path, 1000, &err), &err);
    check_str(ap_buf_str(&text), wanted);
    ap_buf_release(&text);
}

static void open_and_fill(ap_draft *draft, const char *path) {
    ap_error err;
    check_ok(ap_draft_open(draft, path, &err), &err);
    assert_int_equal(write(draft->fd, "new", 3), 3);
}

static void test_name_comes_last(void **state) {
    (void)state;
    ap_error err;
    ap_draft draft;
    struct stat info;
    const mode_t mask = umask(027);
    open_and_fill(&draft, in_folder("a"));
    assert_int_equal(access(in_folder("a"), F_OK), -1);
    check_ok(ap_draft_finish(&draft, false, &err), &err);
    umask(mask);
    check_content(in_folder("a"), "new");
    assert_int_equal(stat(in_folder("a"), &info), 0);
    assert_int_equal(info.st_mode & 0777, 0640);
    ap_draft_drop(&draft);
    assert_int_equal(files(), 1);
}

static void test_dropped_draft_leaves_nothing(void **state) {
    (void)state;
    ap_draft draft;
    open_and_fill(&draft, in_folder("a"));
    assert_int_equal(files(), 1);
    ap_draft_drop(&draft);
    ap_draft_drop(&draft);
    assert_int_equal(files(), 0);
}

/* Another program took the name between the look and the end. */
static void test_taken_name_stays(void **state) {
    (void)state;
    ap_error err;
    ap_draft draft;
    open_and_fill(&draft, in_folder("a"));
    check_ok(ap_file_write(in_folder("a"), AP_STR_LIT("old"), &err), &err);
    check_refused(ap_draft_finish(&draft, false, &err), AP_E_USAGE, &err, "exists already");
    check_content(in_folder("a"), "old");
    assert_int_equal(files(), 1);
    open_and_fill(&draft, in_folder("a"));
    check_ok(ap_draft_finish(&draft, true, &err), &err);
    check_content(in_folder("a"), "new");
    assert_int_equal(files(), 1);
}

static void test_link_is_followed_and_mode_kept(void **state) {
    (void)state;
    ap_error err;
    ap_draft draft;
    struct stat info;
    check_ok(ap_file_write(in_folder("a"), AP_STR_LIT("old"), &err), &err);
    assert_int_equal(chmod(in_folder("a"), 0600), 0);
    assert_int_equal(symlink("a", in_folder("link")), 0);
    open_and_fill(&draft, in_folder("link"));
    check_ok(ap_draft_finish(&draft, true, &err), &err);
    assert_int_equal(lstat(in_folder("link"), &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    assert_int_equal(stat(in_folder("a"), &info), 0);
    assert_int_equal(info.st_mode & 0777, 0600);
    check_content(in_folder("a"), "new");
}

static void test_what_can_not_be_written(void **state) {
    (void)state;
    ap_error err;
    ap_draft draft;
    check_refused(ap_draft_open(&draft, folder, &err), AP_E_IO, &err, "directory");
    check_refused(ap_draft_open(&draft, in_folder("no/such/file"), &err), AP_E_IO, &err, "No such file");
    check_refused(ap_draft_open(&draft, "/dev/null", &err), AP_E_IO, &err, "not a plain file");
    ap_draft_drop(&draft);
    assert_int_equal(files(), 0);
}

static int make_folder(void **state) {
    (void)state;
    check_folder_make(folder, sizeof folder);
    return 0;
}

static int remove_folder(void **state) {
    (void)state;
    check_folder_remove(folder);
    return 0;
}

int main(void) {
#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, remove_folder)
    const struct CMUnitTest tests[] = {
        IN_FOLDER(test_name_comes_last),         IN_FOLDER(test_dropped_draft_leaves_nothing),
        IN_FOLDER(test_taken_name_stays),        IN_FOLDER(test_link_is_followed_and_mode_kept),
        IN_FOLDER(test_what_can_not_be_written),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
