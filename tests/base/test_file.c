#include "support/check.h"

#include <dirent.h>
#include <errno.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/sink.h"

static char top[1024];
static char path_buf[2048];

static const char *in_top(const char *name) {
    snprintf(path_buf, sizeof path_buf, "%s/%s", top, name);
    return path_buf;
}

static int setup(void **state) {
    (void)state;
    check_folder_make(top, sizeof top);
    return 0;
}

static int teardown(void **state) {
    (void)state;
    check_folder_remove(top);
    return 0;
}

static void holds(const char *path, const char *want) {
    ap_buf got;
    ap_error err;
    ap_error_clear(&err);
    check_ok(ap_file_read(&got, path, 1000, &err), &err);
    check_str(ap_buf_str(&got), want);
    ap_buf_release(&got);
}

static int entries(void) {
    int count = 0;
    DIR *dir = opendir(top);
    assert_non_null(dir);
    for (struct dirent *entry = readdir(dir); entry; entry = readdir(dir)) {
        count += entry->d_name[0] != '.' || strlen(entry->d_name) > 2;
    }
    closedir(dir);
    return count;
}

static void writes_and_replaces(void **state) {
    (void)state;
    ap_error err;
    struct stat info;
    ap_error_clear(&err);
    mode_t before = umask(027);
    check_ok(ap_file_write(in_top("a.md"), AP_STR_LIT("first"), &err), &err);
    umask(before);
    holds(path_buf, "first");
    assert_int_equal(stat(path_buf, &info), 0);
    assert_int_equal(info.st_mode & 07777, 0640); /* 0666 less the umask, as any new file */
    assert_int_equal(chmod(path_buf, 0604), 0);
    check_ok(ap_file_write(path_buf, AP_STR_LIT("second"), &err), &err);
    holds(path_buf, "second");
    assert_int_equal(stat(path_buf, &info), 0);
    assert_int_equal(info.st_mode & 07777, 0604); /* the old file's */
    check_ok(ap_file_write(path_buf, AP_STR_NONE, &err), &err);
    holds(path_buf, "");
    assert_int_equal(entries(), 1); /* no draft left */
}

static void follows_a_link(void **state) {
    (void)state;
    ap_error err;
    struct stat info;
    char link_path[2048];
    ap_error_clear(&err);
    check_ok(ap_file_write(in_top("real"), AP_STR_LIT("old"), &err), &err);
    snprintf(link_path, sizeof link_path, "%s/link", top);
    assert_int_equal(symlink("real", link_path), 0);
    check_ok(ap_file_write(link_path, AP_STR_LIT("new"), &err), &err);
    holds(in_top("real"), "new");
    assert_int_equal(lstat(link_path, &info), 0);
    assert_true(S_ISLNK(info.st_mode));
}

static void relative_name(void **state) {
    (void)state;
    ap_error err;
    char here[2048];
    ap_error_clear(&err);
    assert_non_null(getcwd(here, sizeof here));
    assert_int_equal(chdir(top), 0);
    ap_status status = ap_file_write("plain", AP_STR_LIT("x"), &err);
    assert_int_equal(chdir(here), 0);
    check_ok(status, &err);
    holds(in_top("plain"), "x");
}

/* A limit on the size of files stands in for a full disk: the write fails half way. */
static void failed_write_leaves_the_old(void **state) {
    (void)state;
    ap_error err;
    static char big[100000];
    struct rlimit before;
    ap_error_clear(&err);
    memset(big, 'x', sizeof big);
    check_ok(ap_file_write(in_top("kept"), AP_STR_LIT("old"), &err), &err);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
    struct rlimit small = {5000, before.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    ap_status status = ap_file_write(path_buf, (ap_str){big, sizeof big}, &err);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    signal(SIGXFSZ, handler);
    check_refused(status, AP_E_IO, &err, "File too large");
    assert_non_null(strstr(err.text, path_buf));
    holds(path_buf, "old");
    assert_int_equal(entries(), 1);
}

static void refusals_say_path_and_reason(void **state) {
    (void)state;
    ap_error err;
    ap_buf got;
    ap_error_clear(&err);
    check_refused(ap_file_write(in_top("no/such/file"), AP_STR_LIT("x"), &err), AP_E_IO, &err,
                  "/no/such/file': No such file or directory");
    check_refused(ap_file_write(top, AP_STR_LIT("x"), &err), AP_E_IO, &err, "Is a directory");
    check_refused(ap_file_write("/dev/null", AP_STR_LIT("x"), &err), AP_E_IO, &err, "not a plain file");
    check_refused(ap_file_write("", AP_STR_LIT("x"), &err), AP_E_IO, &err, "No such file");
    check_refused(ap_file_read(&got, in_top("absent"), 10, &err), AP_E_INPUT, &err, "unable to read '");
    assert_non_null(strstr(err.text, "absent': No such file or directory"));
    check_refused(ap_file_read(&got, top, 10, &err), AP_E_INPUT, &err, "Is a directory");
    assert_null(got.ptr);
}

static void reading_is_bounded(void **state) {
    (void)state;
    ap_error err;
    ap_buf got;
    ap_error_clear(&err);
    check_ok(ap_file_write(in_top("ten"), AP_STR_LIT("0123456789"), &err), &err);
    check_ok(ap_file_read(&got, path_buf, 10, &err), &err);
    check_str(ap_buf_str(&got), "0123456789");
    ap_buf_release(&got);
    check_refused(ap_file_read(&got, path_buf, 9, &err), AP_E_LIMIT, &err, "more than 9 bytes");
    check_refused(ap_file_read(&got, "/dev/zero", 1u << 20, &err), AP_E_LIMIT, &err, "more than 1048576 bytes");
    assert_null(got.ptr);
}

static void folders(void **state) {
    (void)state;
    ap_error err;
    struct stat info;
    ap_error_clear(&err);
    check_ok(ap_folder_make(in_top("a/b//c/"), &err), &err);
    assert_int_equal(stat(in_top("a/b/c"), &info), 0);
    assert_true(S_ISDIR(info.st_mode));
    check_ok(ap_folder_make(in_top("a/b/c"), &err), &err);
    check_ok(ap_file_write(in_top("file"), AP_STR_LIT("x"), &err), &err);
    check_refused(ap_folder_make(in_top("file/x"), &err), AP_E_IO, &err, "file': Not a directory");
    check_refused(ap_folder_make("", &err), AP_E_IO, &err, "unable to make folder ''");
    char longer[5000];
    memset(longer, 'x', sizeof longer - 1);
    longer[sizeof longer - 1] = '\0';
    check_refused(ap_folder_make(longer, &err), AP_E_IO, &err, "unable to make folder");
}

#define WITH_FOLDER(test) cmocka_unit_test_setup_teardown(test, setup, teardown)

int main(void) {
    const struct CMUnitTest tests[] = {
        WITH_FOLDER(writes_and_replaces),
        WITH_FOLDER(follows_a_link),
        WITH_FOLDER(relative_name),
        WITH_FOLDER(failed_write_leaves_the_old),
        WITH_FOLDER(refusals_say_path_and_reason),
        WITH_FOLDER(reading_is_bounded),
        WITH_FOLDER(folders),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
