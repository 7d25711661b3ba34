/* gnuplot missing, hanging, old, broken or without a format: a sentence and no error. Stand-ins are small shell scripts on
 * PATH in front of the real one. */
#include <sys/stat.h>
#include <unistd.h>

#include "base/asset.h"
#include "base/sink.h"
#include "figures.h"

static char folder[256];
static char *old_path;
static char real_program[600];

static int setup(void **state) {
    (void)state;
    const char *path = getenv("PATH");
    old_path = strdup(path ? path : "/usr/bin:/bin");
    for (ap_str rest = ap_str_from(old_path); rest.len > 0 && !real_program[0];) {
        ap_str part = ap_str_split(rest, ':', &rest);
        char name[600];
        snprintf(name, sizeof name, "%.*s/gnuplot", AP_STR_ARG(part));
        if (access(name, X_OK) == 0) {
            snprintf(real_program, sizeof real_program, "%s", name);
        }
    }
    return real_program[0] ? 0 : -1;
}

static int teardown(void **state) {
    (void)state;
    free(old_path);
    return 0;
}

static int each_setup(void **state) {
    (void)state;
    check_folder_make(folder, sizeof folder);
    return 0;
}

static int each_teardown(void **state) {
    (void)state;
    setenv("PATH", old_path, 1);
    ap_asset_set_folder("plots", NULL);
    check_folder_remove(folder);
    return 0;
}

static void write_file(const char *name, const char *text) {
    char path[400];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    ap_error err;
    ap_error_clear(&err);
    check_ok(ap_file_write(path, ap_str_from(text), &err), &err);
    assert_int_equal(chmod(path, 0755), 0);
}

/* A gnuplot of ours in front on PATH; REAL in the script becomes the real one. */
static void stand_in(const char *body) {
    char script[4096];
    snprintf(script, sizeof script, "#!/bin/sh\nREAL='%s'\n%s\n", real_program, body);
    write_file("gnuplot", script);
    char path[8192];
    snprintf(path, sizeof path, "%s:%s", folder, old_path);
    setenv("PATH", path, 1);
}

static int64_t now_ms(void) {
    struct timespec time = {0};
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000 + time.tv_nsec / 1000000;
}

static bool holds(ap_str text, const char *what) {
    size_t len = strlen(what);
    for (size_t i = 0; i + len <= text.len; i++) {
        if (memcmp(text.ptr + i, what, len) == 0) {
            return true;
        }
    }
    return false;
}

typedef struct outcome {
    ap_arena arena;
    ap_figure_set *set;
    ap_str trouble;
    size_t drawn;
    int64_t took_ms;
} outcome;

static void finish(outcome *o, int deadline_ms) {
    ap_error err;
    ap_error_clear(&err);
    int64_t start = now_ms();
    check_ok(ap_figure_set_draw(&o->trouble, o->set, deadline_ms, &err), &err);
    o->took_ms = now_ms() - start;
    for (size_t i = 0; i < ap_figure_set_count(o->set); i++) {
        const ap_figure *figure = ap_figure_set_get(o->set, i);
        o->drawn += ap_figure_output(figure).len > 0;
        assert_true((ap_figure_output(figure).len > 0) != (ap_figure_missing(figure).len > 0));
    }
}

static void start(outcome *o, ap_figure_format format) {
    memset(o, 0, sizeof *o);
    ap_arena_init(&o->arena, 256u << 20);
    o->set = ap_figure_set_new(&o->arena, format);
    assert_non_null(o->set);
}

static void expect_trouble(outcome *o, size_t drawn, const char *says) {
    if (o->drawn != drawn || !holds(o->trouble, says)) {
        fail_msg("%zu drawn, want %zu; trouble '%.*s' should say '%s'", o->drawn, drawn, AP_STR_ARG(o->trouble), says);
    }
    assert_null(memchr(o->trouble.ptr, '\n', o->trouble.len));
    ap_arena_release(&o->arena);
}

static void test_not_installed(void **state) {
    (void)state;
    setenv("PATH", "/nonexistent", 1);
    outcome o;
    start(&o, AP_FIGURE_SVG);
    add_figures(o.set, 10, NULL);
    finish(&o, 20000);
    assert_true(holds(ap_figure_missing(ap_figure_set_get(o.set, 3)), "could not be started"));
    assert_true(o.took_ms < 5000);
    expect_trouble(&o, 0, "install it");
}

static void test_hangs(void **state) {
    (void)state;
    stand_in("exec sleep 60");
    outcome o;
    start(&o, AP_FIGURE_SVG);
    add_figures(o.set, 10, NULL);
    finish(&o, 1500);
    assert_true(o.took_ms < 4000);
    expect_trouble(&o, 0, "did not finish in time");
}

/* Reads nothing and closes nothing: the script does not fit into the pipe, so our writing would block too. */
static void test_hangs_unread(void **state) {
    (void)state;
    stand_in("exec sleep 60");
    outcome o;
    start(&o, AP_FIGURE_SVG);
    add_figures(o.set, 10000, NULL);
    finish(&o, 1200);
    assert_true(o.took_ms < 4000);
    expect_trouble(&o, 0, "did not finish in time");
}

static void test_one_hangs(void **state) {
    (void)state;
    stand_in("all=$(cat; echo x)\ncase $all in *dawdles*) exec sleep 60 ;; esac\nprintf '%s' \"${all%x}\" | \"$REAL\" "
             "-d /dev/stdin");
    outcome o;
    start(&o, AP_FIGURE_SVG);
    add_figures(o.set, 10, NULL);
    ap_figure *slow =
        ap_figure_add(o.set, AP_PLOT_PLANNED_MEASURED, "slow", AP_STR_LIT("this one dawdles"), AP_STR_LIT("d"));
    ap_figure_block(slow, "picks");
    ap_figure_row(slow, (double[]){1, 1}, 2);
    finish(&o, 8000);
    assert_true(o.took_ms < 11000);
    assert_true(holds(ap_figure_missing(slow), "did not finish in time"));
    expect_trouble(&o, 12, "1 of 13 figures could not be drawn, first 'slow'");
}

static void test_old(void **state) {
    (void)state;
    stand_in("sed 's/GPVAL_VERSION/4.6/g' | \"$REAL\" -d /dev/stdin");
    outcome o;
    start(&o, AP_FIGURE_SVG);
    add_figures(o.set, 10, NULL);
    finish(&o, 20000);
    expect_trouble(&o, 0, "older than 5.2");
}

static void test_without_format(void **state) {
    (void)state;
    stand_in("sed \"s/GPVAL_TERMINALS/'svg dumb'/g\" | \"$REAL\" -d /dev/stdin");
    outcome o;
    start(&o, AP_FIGURE_PNG);
    add_figures(o.set, 10, NULL);
    finish(&o, 20000);
    expect_trouble(&o, 0, "cannot write PNG; SVG works");
    start(&o, AP_FIGURE_PDF);
    add_figures(o.set, 10, NULL);
    finish(&o, 20000);
    expect_trouble(&o, 0, "cannot write PDF");
}

static void test_dies(void **state) {
    (void)state;
    stand_in("kill -9 $$");
    outcome o;
    start(&o, AP_FIGURE_SVG);
    add_figures(o.set, 10, NULL);
    finish(&o, 20000);
    expect_trouble(&o, 0, "gnuplot failed: it died of signal 9");
}

static void test_exits_1(void **state) {
    (void)state;
    stand_in("cat >/dev/null; echo 'no such thing' >&2; exit 1");
    outcome o;
    start(&o, AP_FIGURE_SVG);
    add_figures(o.set, 10, NULL);
    finish(&o, 20000);
    expect_trouble(&o, 0, "no such thing");
}

/* Of two figures each has its try; a program that hung all along is not asked a dozen times. */
static void test_hangs_and_is_left(void **state) {
    (void)state;
    stand_in("echo x >>\"$(dirname \"$0\")/tries\"; exec sleep 60");
    outcome o;
    start(&o, AP_FIGURE_SVG);
    add_figures(o.set, 10, NULL);
    finish(&o, 3000);
    char path[400];
    snprintf(path, sizeof path, "%s/tries", folder);
    ap_buf tries;
    ap_buf_init(&tries, 4096);
    ap_error err;
    ap_error_clear(&err);
    check_ok(ap_file_read(&tries, path, 4096, &err), &err);
    assert_int_equal(tries.len, 6); /* "x\n" for all at once and for two alone */
    ap_buf_release(&tries);
    expect_trouble(&o, 0, "did not finish in time");
}

/* A drawing that carries what gnuplot does not write is not used. */
static void test_forged_drawing(void **state) {
    (void)state;
    stand_in("\"$REAL\" -d /dev/stdin | sed 's|<defs>|<defs><script>x</script>|'");
    outcome o;
    start(&o, AP_FIGURE_SVG);
    add_figures(o.set, 10, NULL);
    finish(&o, 20000);
    expect_trouble(&o, 0, "an element that does not draw");
}

static void copy_asset(const char *name) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 20);
    ap_error err;
    ap_error_clear(&err);
    char asset[80];
    snprintf(asset, sizeof asset, "plots/%s", name);
    ap_str text;
    check_ok(ap_asset_get(&text, &arena, asset, &err), &err);
    char path[400];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    check_ok(ap_file_write(path, text, &err), &err);
    ap_arena_release(&arena);
}

/* One plot file stops gnuplot in the middle of a report: only its figure is missing, and gnuplot's words are there. */
static void test_one_broken(void **state) {
    (void)state;
    copy_asset("family.gp");
    copy_asset("planned_measured.gp");
    write_file("broken.gp", "eval sheet(300, 200)\nplot nowhere_defined\n");
    write_file("leftover.gp", "eval sheet(300, 200)\nif (exists(\"secret\")) { plot undefined_too }\nplot [0:1] x\n");
    ap_asset_set_folder("plots", folder);
    outcome o;
    start(&o, AP_FIGURE_SVG);
    static const char *const plots[] = {"planned_measured", "broken", "planned_measured", "leftover", "absent"};
    for (size_t i = 0; i < 5; i++) {
        ap_figure *figure = ap_figure_add(o.set, plots[i], plots[i], AP_STR_LIT("t"), AP_STR_LIT("d"));
        if (i != 3) {
            ap_figure_number(figure, "secret", 1); /* G3: figure 4 must not see it */
        }
        ap_figure_block(figure, "picks");
        ap_figure_row(figure, (double[]){100, 120}, 2);
    }
    finish(&o, 20000);
    assert_true(holds(ap_figure_missing(ap_figure_set_get(o.set, 1)), "undefined variable: nowhere_defined"));
    assert_true(holds(ap_figure_missing(ap_figure_set_get(o.set, 4)), "absent"));
    expect_trouble(&o, 3, "2 of 5 figures could not be drawn, first 'broken'");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_not_installed, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_hangs, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_hangs_unread, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_one_hangs, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_old, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_without_format, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_dies, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_exits_1, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_hangs_and_is_left, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_forged_drawing, each_setup, each_teardown),
        cmocka_unit_test_setup_teardown(test_one_broken, each_setup, each_teardown),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
