/* C1..C5 are the numbered requirements at the head of child.c. */
#include "support/check.h"

#include <fcntl.h>
#include <signal.h>
#include <unistd.h>

#include "base/child.h"

static ap_error err;
static ap_child_result result;

#define ARGV(...) ((const char *const[]){__VA_ARGS__, NULL})
#define SH(script) ARGV("sh", "-c", script)

static ap_child_spec spec_of(const char *const *argv) {
    return (ap_child_spec){.argv = argv, .output_max = 1u << 20, .errors_max = 4096, .deadline_ms = 60000};
}

static void run_ok(const ap_child_spec *spec) {
    ap_error_clear(&err);
    check_ok(ap_child_run(&result, spec, &err), &err);
}

static int64_t clock_ms(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void c1_arguments_and_no_shell(void **state) {
    (void)state;
    ap_child_spec spec = spec_of(ARGV("printf", "%s|", "a b", "$(id)", "; exit 9", "`id`", "*", ""));
    run_ok(&spec);
    check_str(ap_buf_str(&result.output), "a b|$(id)|; exit 9|`id`|*||");
    assert_int_equal(result.exit_code, 0);
    assert_int_equal(result.signal, 0);
    ap_child_result_release(&result);
}

static void c1_environment(void **state) {
    (void)state;
    assert_int_equal(setenv("AFTERPICK_TEST_SECRET", "x", 1), 0);
    ap_child_spec spec = spec_of(ARGV("env"));
    run_ok(&spec);
    ap_str rest = ap_buf_str(&result.output);
    int lines = 0;
    while (rest.len > 0) {
        ap_str line = ap_str_split(rest, '\n', &rest);
        assert_true(ap_str_starts(line, AP_STR_LIT("PATH=")) || ap_str_starts(line, AP_STR_LIT("HOME=")) ||
                    ap_str_equal_word(line, "LC_ALL=C"));
        lines++;
    }
    assert_int_equal(lines, 3);
    ap_child_result_release(&result);
    spec.envp = ARGV("ONLY=this");
    run_ok(&spec);
    check_str(ap_buf_str(&result.output), "ONLY=this\n");
    ap_child_result_release(&result);
}

static void exit_codes_and_signals(void **state) {
    (void)state;
    ap_child_spec spec = spec_of(SH("echo out; echo err >&2; exit 7"));
    run_ok(&spec);
    assert_int_equal(result.exit_code, 7);
    check_str(ap_buf_str(&result.output), "out\n");
    check_str(ap_buf_str(&result.errors), "err\n");
    ap_child_result_release(&result);
    spec.argv = SH("kill -TERM $$");
    run_ok(&spec);
    assert_int_equal(result.exit_code, -1);
    assert_int_equal(result.signal, SIGTERM);
    ap_child_result_release(&result);
}

static void missing_program(void **state) {
    (void)state;
    ap_child_spec spec = spec_of(ARGV("afterpick-no-such-program"));
    check_refused(ap_child_run(&result, &spec, &err), AP_E_CHILD, &err,
                  "unable to start 'afterpick-no-such-program': No such file or directory");
    assert_null(result.output.ptr);
    ap_child_result_release(&result);     /* empty, and may be released */
    spec.argv = ARGV("src/base/child.h"); /* there, but no program */
    check_refused(ap_child_run(&result, &spec, &err), AP_E_CHILD, &err,
                  "unable to start 'src/base/child.h': Permission");
    spec.argv = ARGV("");
    check_refused(ap_child_run(&result, &spec, &err), AP_E_CHILD, &err, "unable to start ''");
}

/* Much more than pipes hold, both ways at once. */
static void large_input_comes_back(void **state) {
    (void)state;
    enum { SIZE = 1000000 };
    char *bytes = malloc(SIZE);
    assert_non_null(bytes);
    for (size_t i = 0; i < SIZE; i++) {
        bytes[i] = (char)(i * 31 % 251);
    }
    ap_child_spec spec = spec_of(ARGV("cat"));
    spec.input = (ap_str){bytes, SIZE};
    run_ok(&spec);
    assert_true(ap_str_equal(ap_buf_str(&result.output), spec.input));
    ap_child_result_release(&result);
    free(bytes);
}

static void c2_c4_deadline_takes_the_whole_group(void **state) {
    (void)state;
    char top[1024];
    char mark[1100];
    check_folder_make(top, sizeof top);
    snprintf(mark, sizeof mark, "%s/alive", top);
    ap_child_spec spec = spec_of(ARGV("sh", "-c", "(sleep 1; echo >\"$1\") & sleep 30", "sh", mark));
    spec.deadline_ms = 300;
    int64_t start = clock_ms();
    check_refused(ap_child_run(&result, &spec, &err), AP_E_CHILD, &err, "'sh' was ended: it ran longer than 300 ms");
    assert_true(clock_ms() - start < 20000);
    /* A child that has ended, but whose own child keeps the pipes open, does not hold us up, nor does that live on. */
    spec.argv = ARGV("sh", "-c", "(sleep 1; echo >\"$1\") & echo done", "sh", mark);
    spec.deadline_ms = 60000;
    run_ok(&spec);
    check_str(ap_buf_str(&result.output), "done\n");
    ap_child_result_release(&result);
    struct timespec pause = {1, 700000000};
    nanosleep(&pause, NULL);
    assert_int_not_equal(access(mark, F_OK), 0);
    check_folder_remove(top);
}

static void c4_deadline_with_closed_pipes(void **state) {
    (void)state;
    ap_child_spec spec = spec_of(SH("exec </dev/null >/dev/null 2>&1; sleep 30"));
    spec.deadline_ms = 200;
    int64_t start = clock_ms();
    check_refused(ap_child_run(&result, &spec, &err), AP_E_CHILD, &err, "longer than 200 ms");
    assert_true(clock_ms() - start < 20000);
}

static void c3_output_is_capped(void **state) {
    (void)state;
    ap_child_spec spec = spec_of(ARGV("head", "-c", "1000", "/dev/zero"));
    spec.output_max = 1000;
    run_ok(&spec);
    assert_int_equal(result.output.len, 1000);
    ap_child_result_release(&result);
    spec.output_max = 999;
    check_refused(ap_child_run(&result, &spec, &err), AP_E_LIMIT, &err, "more than 999 bytes");
    spec = spec_of(ARGV("cat", "/dev/zero"));
    check_refused(ap_child_run(&result, &spec, &err), AP_E_LIMIT, &err, "'cat' was ended");
    spec = spec_of(SH("head -c 300000 /dev/zero >&2; echo end; exit 3"));
    spec.errors_max = 100;
    run_ok(&spec);
    assert_int_equal(result.errors.len, 100);
    assert_int_equal(result.exit_code, 3);
    check_str(ap_buf_str(&result.output), "end\n");
    ap_child_result_release(&result);
}

static void c5_broken_pipes(void **state) {
    (void)state;
    static char bytes[500000];
    struct sigaction before;
    struct sigaction after;
    ap_child_spec spec = spec_of(ARGV("true"));
    spec.input = (ap_str){bytes, sizeof bytes};
    assert_int_equal(sigaction(SIGPIPE, NULL, &before), 0);
    run_ok(&spec); /* would kill us */
    assert_int_equal(result.exit_code, 0);
    ap_child_result_release(&result);
    assert_int_equal(sigaction(SIGPIPE, NULL, &after), 0);
    assert_true(before.sa_handler == after.sa_handler);
    /* A shell that starts with SIGPIPE ignored cannot take it back; here it must die of it. */
    spec = spec_of(SH("kill -PIPE $$; echo still here"));
    run_ok(&spec);
    assert_int_equal(result.signal, SIGPIPE);
    assert_int_equal(result.output.len, 0);
    ap_child_result_release(&result);
}

static void blocked_signals_are_not_handed_on(void **state) {
    (void)state;
    sigset_t term;
    sigset_t before;
    sigemptyset(&term);
    sigaddset(&term, SIGTERM);
    assert_int_equal(sigprocmask(SIG_BLOCK, &term, &before), 0);
    ap_child_spec spec = spec_of(SH("kill -TERM $$; echo still here"));
    run_ok(&spec);
    assert_int_equal(sigprocmask(SIG_SETMASK, &before, NULL), 0);
    assert_int_equal(result.signal, SIGTERM);
    ap_child_result_release(&result);
}

static int first_free(void) {
    int fd = open("/dev/null", O_RDONLY | O_CLOEXEC);
    assert_true(fd >= 0);
    close(fd);
    return fd;
}

static void descriptors_are_given_back(void **state) {
    (void)state;
    int before = first_free();
    for (int i = 0; i < 20; i++) {
        ap_child_spec spec = spec_of(i % 2 ? ARGV("true") : ARGV("afterpick-no-such-program"));
        ap_status status = ap_child_run(&result, &spec, NULL);
        assert_int_equal(status, i % 2 ? AP_OK : AP_E_CHILD);
        ap_child_result_release(&result);
    }
    assert_int_equal(first_free(), before);
}

/* Started with standard input closed, a pipe's end could land on number 0. */
static void works_without_standard_input(void **state) {
    (void)state;
    int kept = fcntl(0, F_DUPFD_CLOEXEC, 10);
    close(0);
    ap_child_spec spec = spec_of(ARGV("cat"));
    spec.input = AP_STR_LIT("hello");
    ap_error_clear(&err);
    ap_status status = ap_child_run(&result, &spec, &err);
    if (kept >= 0) {
        dup2(kept, 0);
        close(kept);
    }
    check_ok(status, &err);
    check_str(ap_buf_str(&result.output), "hello");
    ap_child_result_release(&result);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(c1_arguments_and_no_shell),
        cmocka_unit_test(c1_environment),
        cmocka_unit_test(exit_codes_and_signals),
        cmocka_unit_test(missing_program),
        cmocka_unit_test(large_input_comes_back),
        cmocka_unit_test(c2_c4_deadline_takes_the_whole_group),
        cmocka_unit_test(c4_deadline_with_closed_pipes),
        cmocka_unit_test(c3_output_is_capped),
        cmocka_unit_test(c5_broken_pipes),
        cmocka_unit_test(blocked_signals_are_not_handed_on),
        cmocka_unit_test(descriptors_are_given_back),
        cmocka_unit_test(works_without_standard_input),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
