/* A folder of pages written again: P1 to P4 of cli/page_folder.h. */
#include "support/check.h"

#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/sink.h"
#include "cli/page_folder.h"

static char top[1024];
static char path_buf[4096];

static const char *in_book(const char *name) {
    snprintf(path_buf, sizeof path_buf, "%s/book/%s", top, name);
    return path_buf;
}

static const char *book(void) {
    static char path[2048];
    snprintf(path, sizeof path, "%s/book", top);
    return path;
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

static void holds(const char *name, const char *want) {
    ap_buf got;
    ap_error err;
    check_ok(ap_file_read(&got, in_book(name), 10000, &err), &err);
    check_str(ap_buf_str(&got), want);
    ap_buf_release(&got);
}

static bool is_there(const char *name) {
    struct stat info;
    return lstat(in_book(name), &info) == 0;
}

static void put(const char *name, const char *bytes) {
    ap_error err;
    check_ok(ap_file_write(in_book(name), ap_str_from(bytes), &err), &err);
}

/* One run that writes the named pages, each with its own name and `text`. */
static ap_page_folder run(const char *const *names, const char *text) {
    ap_page_folder folder;
    ap_error err;
    ap_error_clear(&err);
    ap_status status = ap_page_folder_open(&folder, book(), &err);
    for (size_t i = 0; status == AP_OK && names[i]; i++) {
        char page[256];
        snprintf(page, sizeof page, "%s %s", names[i], text);
        status = ap_page_folder_write(&folder, names[i], ap_str_from(page), &err);
    }
    check_ok(ap_page_folder_close(&folder, status, &err), &err);
    return folder;
}

static const char *const three[] = {"index.html", "pick-a.html", "pick-b.html", NULL};
static const char *const two[] = {"index.html", "pick-c.html", NULL};

static void pages_of_an_earlier_run_go(void **state) {
    (void)state;
    run(three, "first");
    ap_page_folder second = run(two, "second");
    assert_int_equal(second.removed, 2);
    assert_int_equal(second.left, 0);
    assert_false(is_there("pick-a.html"));
    holds("index.html", "index.html second");
    holds("pick-c.html", "pick-c.html second");
    /* The same once more: nothing to remove. */
    second = run(two, "second");
    assert_int_equal(second.removed, 0);
}

static void what_others_put_there_stays(void **state) {
    (void)state;
    run(three, "first");
    put("pick-a.html", "edited by hand");
    put("notes.txt", "a stranger's");
    put("pick-z.html", "a stranger's page");
    ap_page_folder second = run(two, "second");
    assert_int_equal(second.removed, 1);
    assert_int_equal(second.left, 1);
    holds("pick-a.html", "edited by hand");
    holds("notes.txt", "a stranger's");
    holds("pick-z.html", "a stranger's page");
    /* And it is told again the next time. */
    second = run(two, "third");
    assert_int_equal(second.left, 1);
    holds("pick-a.html", "edited by hand");
}

static void refuses(const char *name, const char *says) {
    ap_page_folder folder;
    ap_error err;
    ap_error_clear(&err);
    check_ok(ap_page_folder_open(&folder, book(), &err), &err);
    ap_status status = ap_page_folder_write(&folder, name, AP_STR_LIT("mine"), &err);
    check_refused(status, AP_E_INPUT, &err, says);
    assert_int_equal(ap_page_folder_close(&folder, status, &err), AP_E_INPUT);
}

static void a_file_of_that_name_is_not_overwritten(void **state) {
    (void)state;
    run(three, "first");
    put("pick-b.html", "edited by hand");
    refuses("pick-b.html", "not as an earlier review left it");
    holds("pick-b.html", "edited by hand");
    put("pick-z.html", "a stranger's page");
    refuses("pick-z.html", "move it away");
    holds("pick-z.html", "a stranger's page");
    /* A run that was refused removes nothing. */
    assert_true(is_there("pick-a.html"));
    /* What is byte for byte the page may be taken for it. */
    put("pick-y.html", "pick-y.html same");
    static const char *const same[] = {"pick-y.html", NULL};
    run(same, "same");
}

static void links_are_not_followed(void **state) {
    (void)state;
    ap_error err;
    char outside[2048];
    char list[4096];
    snprintf(outside, sizeof outside, "%s/outside.txt", top);
    run(three, "first");
    check_ok(ap_file_write(outside, AP_STR_LIT("precious"), &err), &err);
    assert_int_equal(symlink(outside, in_book("pick-c.html")), 0);
    refuses("pick-c.html", "not as an earlier review left it");
    /* A listed page that has become a link, even to the same bytes, is not removed and not followed. */
    assert_int_equal(rename(in_book("pick-a.html"), outside), 0);
    assert_int_equal(symlink(outside, in_book("pick-a.html")), 0);
    static const char *const index[] = {"index.html", NULL};
    ap_page_folder second = run(index, "second");
    assert_int_equal(second.left, 1);
    assert_true(is_there("pick-a.html"));
    assert_int_equal(access(outside, F_OK), 0);
    /* The list itself as a link: nothing is written through it. */
    snprintf(list, sizeof list, "%s", in_book("pages.sha256"));
    assert_int_equal(unlink(list), 0);
    assert_int_equal(symlink(outside, list), 0);
    ap_page_folder folder;
    assert_int_not_equal(ap_page_folder_open(&folder, book(), &err), AP_OK);
    assert_int_not_equal(ap_page_folder_close(&folder, AP_E_IO, &err), AP_OK);
}

static void a_list_that_leads_outside_is_passed_over(void **state) {
    (void)state;
    ap_error err;
    char outside[2048];
    char list[512];
    /* SHA-256 of "precious", by sha256sum(1). */
    static const char hex[] = "157fc55121ab2c59852c35d78aca98d840047e5d9668c423e4d3b146e1577901";
    snprintf(outside, sizeof outside, "%s/outside.html", top);
    check_ok(ap_file_write(outside, AP_STR_LIT("precious"), &err), &err);
    run(three, "first");
    snprintf(list, sizeof list, "%s  ../outside.html\n%s  /etc/hosts\nshort\n", hex, hex);
    put("pages.sha256", list);
    static const char *const another[] = {"pick-q.html", NULL};
    ap_page_folder second = run(another, "second");
    assert_int_equal(second.removed, 0);
    assert_int_equal(access(outside, F_OK), 0);
}

/* P4: the file system is full (here: a limit on the size of a file) in the middle of a run. */
static void a_run_that_breaks_off_can_be_made_again(void **state) {
    (void)state;
    run(three, "first");
    static char large[20000];
    memset(large, 'x', sizeof large - 1);
    pid_t child = fork();
    assert_int_not_equal(child, -1);
    if (child == 0) {
        ap_page_folder folder;
        ap_error err;
        const struct rlimit limit = {4096, 4096};
        signal(SIGXFSZ, SIG_IGN);
        int fine = setrlimit(RLIMIT_FSIZE, &limit) == 0 && ap_page_folder_open(&folder, book(), &err) == AP_OK &&
                   ap_page_folder_write(&folder, "pick-d.html", AP_STR_LIT("small"), &err) == AP_OK;
        ap_status status = fine ? ap_page_folder_write(&folder, "pick-a.html", ap_str_from(large), &err) : AP_OK;
        fine = fine && status == AP_E_IO && ap_page_folder_close(&folder, status, &err) == AP_E_IO;
        _exit(fine ? 0 : 1);
    }
    int end = 0;
    assert_int_equal(waitpid(child, &end, 0), child);
    assert_int_equal(end, 0);
    holds("pick-a.html", "pick-a.html first");
    holds("pick-d.html", "small");
    ap_page_folder second = run(three, "second");
    assert_int_equal(second.removed, 1); /* pick-d */
    assert_int_equal(second.left, 0);
    holds("pick-a.html", "pick-a.html second");
}

static void a_folder_nobody_may_write(void **state) {
    (void)state;
    run(three, "first");
    assert_int_equal(chmod(top, 0755), 0);
    assert_int_equal(chmod(book(), 0555), 0);
    pid_t child = fork();
    assert_int_not_equal(child, -1);
    if (child == 0) {
        ap_page_folder folder;
        ap_error err;
        ap_error_clear(&err);
        if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) {
            _exit(2);
        }
        ap_status status = ap_page_folder_open(&folder, book(), &err);
        if (status == AP_OK) { /* the list may be ours to write, the folder is not */
            status = ap_page_folder_write(&folder, "pick-n.html", AP_STR_LIT("n"), &err);
        }
        bool named = strstr(err.text, "book/") != NULL;
        _exit(ap_page_folder_close(&folder, status, &err) == AP_E_IO && named ? 0 : 1);
    }
    int end = 0;
    assert_int_equal(waitpid(child, &end, 0), child);
    chmod(book(), 0755);
    assert_int_equal(end, 0);
    holds("index.html", "index.html first");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(pages_of_an_earlier_run_go, setup, teardown),
        cmocka_unit_test_setup_teardown(what_others_put_there_stays, setup, teardown),
        cmocka_unit_test_setup_teardown(a_file_of_that_name_is_not_overwritten, setup, teardown),
        cmocka_unit_test_setup_teardown(links_are_not_followed, setup, teardown),
        cmocka_unit_test_setup_teardown(a_list_that_leads_outside_is_passed_over, setup, teardown),
        cmocka_unit_test_setup_teardown(a_run_that_breaks_off_can_be_made_again, setup, teardown),
        cmocka_unit_test_setup_teardown(a_folder_nobody_may_write, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
