/* Never count a pick twice, never lose one: the same file, the same pick, undone imports, copies of the logs. */
#include <dirent.h>
#include <sys/wait.h>

#include "intake/kit.h"
#include "intake/source.h"

#define TWO KIT_HEADER KIT_ROW "J1,2026-03-02,2,red maple,3000,3600,gross,12,20,14,\n"

static size_t files_in(const char *folder) {
    DIR *dir = opendir(folder);
    size_t count = 0;
    for (struct dirent *entry = dir ? readdir(dir) : NULL; entry; entry = readdir(dir)) {
        count += entry->d_name[0] != '.';
    }
    if (dir) {
        closedir(dir);
    }
    return count;
}

static char *logs_folder(const kit *k) {
    char *path = malloc(strlen(k->book_path) + 8);
    assert_non_null(path);
    snprintf(path, strlen(k->book_path) + 8, "%s-logs", k->book_path);
    return path;
}

static void test_same_file_twice_adds_nothing(void **state) {
    kit *k = *state;
    const char *path = kit_log(k, "a.csv", TWO);
    check_ok(kit_import(k, path), &k->err);
    assert_int_equal(k->result.totals.stored, 2);
    const int64_t first = k->result.import_id;
    assert_true(first > 0);
    check_ok(kit_import(k, path), &k->err);
    assert_int_equal(k->result.files[0].outcome, AP_INTAKE_KNOWN);
    assert_int_equal(k->result.files[0].known_import, first);
    assert_int_equal(k->result.import_id, 0);
    assert_int_equal(kit_picks(k), 2);
    const char *twice[] = {kit_log(k, "b.csv", KIT_HEADER "J2,2026-03-02,1,red maple,3000,,,,,,\n"), k->path[1]};
    check_ok(kit_import_list(k, twice, 2), &k->err);
    assert_int_equal(k->result.files[0].outcome, AP_INTAKE_READ);
    assert_int_equal(k->result.files[1].outcome, AP_INTAKE_KNOWN);
    assert_int_equal(kit_picks(k), 3);
}

static void test_undone_file_goes_in_again(void **state) {
    kit *k = *state;
    const char *path = kit_log(k, "a.csv", TWO);
    check_ok(kit_import(k, path), &k->err);
    check_ok(ap_book_begin(k->book, &k->err), &k->err);
    check_ok(ap_book_import_undo(k->book, k->result.import_id, AP_STR_LIT("wrong ton"), &k->options.author, &k->err),
             &k->err);
    check_ok(ap_book_commit(k->book, &k->err), &k->err);
    assert_int_equal(kit_picks(k), 0);
    check_ok(kit_import(k, path), &k->err);
    assert_int_equal(k->result.files[0].outcome, AP_INTAKE_READ);
    assert_int_equal(kit_picks(k), 2);
}

static void test_same_pick_from_another_file(void **state) {
    kit *k = *state;
    kit_import_text(k, "a.csv", TWO);
    kit_import_text(k, "b.csv", KIT_HEADER KIT_ROW "J1,2026-03-02,3,red maple,3000,,,,,,\n");
    assert_int_equal(k->result.totals.unchanged, 1);
    assert_int_equal(k->result.totals.stored, 1);
    kit_adds_up(k);
    kit_import_text(k, "c.csv", KIT_HEADER "J1,2026-03-02,1,red maple,4900,5400,gross,18,24,16,\n");
    assert_int_equal(k->result.totals.conflicts, 1);
    kit_adds_up(k);
    kit_one(k, AP_INTAKE_CONFLICT, 2, 5, "planned_weight", "'4900' differs: the book has J1/1 with '4800 lb', from '");
    kit_says(kit_problem(k, AP_INTAKE_CONFLICT, 0)->reason, "a.csv' line 2");
    assert_int_equal(kit_picks(k), 3);
}

static void test_pick_twice_in_one_file(void **state) {
    kit *k = *state;
    kit_import_text(k, "a.csv", KIT_HEADER KIT_ROW KIT_ROW "J1,2026-03-02,1,red maple,4800,5500,gross,18,24,16,\n");
    assert_int_equal(k->result.totals.stored, 1);
    assert_int_equal(k->result.totals.unchanged, 1);
    assert_int_equal(k->result.totals.conflicts, 1);
    kit_adds_up(k);
    kit_one(k, AP_INTAKE_CONFLICT, 4, 6, "measured_weight", "line 2");
    assert_int_equal(kit_picks(k), 1);
}

static void test_dry_run_keeps_nothing(void **state) {
    kit *k = *state;
    k->options.dry_run = true;
    const char *path = kit_log(k, "a.csv", TWO);
    check_ok(kit_import(k, path), &k->err);
    assert_int_equal(k->result.totals.stored, 2);
    assert_int_equal(k->result.import_id, 0);
    assert_int_equal(kit_picks(k), 0);
    char *logs = logs_folder(k);
    assert_int_equal(files_in(logs), 0);
    free(logs);
    k->options.dry_run = false;
    check_ok(kit_import(k, path), &k->err);
    assert_int_equal(kit_picks(k), 2);
}

/* The digest of "abc": FIPS 180-4 example, SHA256("abc") (NIST example values). The log must be a log, so its digest is
 * checked against the name of the copy and the copy against the log; the library itself against the published value in
 * test_sha256_of_abc below. */
static void test_copy_beside_the_book(void **state) {
    kit *k = *state;
    char *logs = logs_folder(k);
    kit_import_text(k, "a.csv", TWO);
    assert_int_equal(files_in(logs), 1);
    char *name = malloc(strlen(logs) + 80);
    assert_non_null(name);
    snprintf(name, strlen(logs) + 80, "%s/%.*s", logs, AP_STR_ARG(k->result.files[0].sha256));
    ap_buf copy;
    ap_buf_init(&copy, 1 << 20);
    check_ok(ap_file_read(&copy, name, 1 << 20, &k->err), &k->err);
    check_str(ap_buf_str(&copy), TWO);
    ap_buf_release(&copy);
    assert_int_equal(unlink(name), 0);
    check_ok(kit_import(k, k->path[0]), &k->err); /* known, but its copy went missing: made again */
    assert_int_equal(files_in(logs), 1);
    k->options.no_copy = true;
    kit_import_text(k, "b.csv", KIT_HEADER "J7,2026-03-02,3,red maple,3000,,,,,,\n");
    assert_int_equal(files_in(logs), 1);
    k->options.no_copy = false;
    assert_int_not_equal(kit_import(k, kit_log(k, "c.csv", "no,log,at\nall,,\n")), AP_OK);
    assert_int_equal(files_in(logs), 1); /* nothing stays of a file that was not taken */
    free(name);
    free(logs);
}

static void test_sha256_of_abc(void **state) {
    kit *k = *state;
    ap_source *source = NULL;
    char hex[AP_SHA256_HEX + 1];
    check_ok(ap_source_open(&source, kit_log(k, "abc", "abc"), NULL, &k->err), &k->err);
    check_ok(ap_source_digest(hex, source, &k->err), &k->err);
    ap_source_close(source);
    assert_string_equal(hex,
                        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"); /* FIPS 180-4 example */
}

/* A file that grows while it is read is refused, not half taken. */
static void test_file_that_changes(void **state) {
    kit *k = *state;
    ap_source *source = NULL;
    char hex[AP_SHA256_HEX + 1];
    const char *path = kit_log(k, "a.csv", TWO);
    check_ok(ap_source_open(&source, path, NULL, &k->err), &k->err);
    FILE *more = fopen(path, "a");
    assert_non_null(more);
    fputs("J1,2026-03-02,9,red maple,3000,,,,,,\n", more);
    fclose(more);
    check_refused(ap_source_digest(hex, source, &k->err), AP_E_INPUT, &k->err, "changed while it was read");
    ap_source_close(source);
}

/* Big enough that the digest is made while rows are read. */
static void test_big_file_in_one_pass(void **state) {
    kit *k = *state;
    ap_buf text;
    ap_buf_init(&text, 8 << 20);
    ap_buf_append_cstr(&text, KIT_HEADER);
    for (int i = 0; i < 22000; i++) {
        ap_buf_appendf(&text, "J%d,2026-03-02,%d,red maple,4800,5400,gross,18,24,16,\n", i / 20, i % 20);
    }
    const char *path = kit_log_bytes(k, "a.csv", text.ptr, text.len);
    assert_true(text.len > 1 << 20);
    check_ok(kit_import(k, path), &k->err);
    assert_int_equal(k->result.totals.stored, 22000);
    kit_adds_up(k);
    assert_int_equal(k->result.files[0].sha256.len, 64);
    check_ok(kit_import(k, path), &k->err);
    assert_int_equal(k->result.files[0].outcome, AP_INTAKE_KNOWN);
    assert_int_equal(kit_picks(k), 22000);
    ap_buf_release(&text);
}

static void count_stored(void *context, const ap_pick *pick) {
    int *calls = context;
    *calls += ap_str_equal_word(pick->name, "J1/1") || ap_str_equal_word(pick->name, "J1/2");
}

static void test_callback_for_new_picks(void **state) {
    kit *k = *state;
    int calls = 0;
    k->options.stored = count_stored;
    k->options.stored_context = &calls;
    kit_import_text(k, "a.csv", TWO);
    assert_int_equal(calls, 2);
    kit_import_text(k, "b.csv", TWO "\n");
    assert_int_equal(calls, 2);
}

/* As another user than root, in a child: root writes everywhere. */
static void test_folder_that_can_not_be_written(void **state) {
    kit *k = *state;
    const char *path = kit_log(k, "a.csv", TWO);
    assert_int_equal(chmod(k->folder, 0755), 0);
    assert_int_equal(chmod(path, 0644), 0);
    assert_int_equal(chmod(k->book_path, 0644), 0);
    ap_book_close(k->book);
    k->book = NULL;
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) {
            _exit(77);
        }
        if (geteuid() != 0 && chmod(k->folder, 0555) != 0 && geteuid() != 65534) {
            _exit(77);
        }
        ap_error err;
        ap_book *book = NULL;
        ap_status status = ap_book_open(&book, k->book_path, AP_BOOK_WRITE, &err);
        if (status == AP_OK) {
            status = ap_intake_files(&k->result, book, &path, 1, &k->options, &err);
        }
        ap_book_close(book);
        _exit(status == AP_OK ? 0 : err.text[0] ? 3 : 4);
    }
    int how = 0;
    assert_int_equal(waitpid(child, &how, 0), child);
    chmod(k->folder, 0755);
    assert_true(WIFEXITED(how));
    if (WEXITSTATUS(how) == 77) {
        printf("a folder that can not be written: not run (no other user to become)\n");
    } else {
        assert_int_equal(WEXITSTATUS(how), 3);
    }
    check_ok(ap_book_open(&k->book, k->book_path, AP_BOOK_WRITE, &k->err), &k->err);
    assert_int_equal(kit_picks(k), 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_same_file_twice_adds_nothing, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_undone_file_goes_in_again, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_same_pick_from_another_file, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_pick_twice_in_one_file, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_dry_run_keeps_nothing, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_copy_beside_the_book, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_sha256_of_abc, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_file_that_changes, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_big_file_in_one_pass, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_callback_for_new_picks, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_folder_that_can_not_be_written, kit_setup, kit_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
