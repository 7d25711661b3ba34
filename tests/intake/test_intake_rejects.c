/* Rows set aside, written with their reason, mended and imported again. */
#include "intake/kit.h"

static char *read_all(const char *path) {
    ap_buf text;
    ap_error err;
    ap_buf_init(&text, 1 << 20);
    check_ok(ap_file_read(&text, path, 1 << 20, &err), &err);
    char *copy = strdup(text.len ? text.ptr : "");
    ap_buf_release(&text);
    assert_non_null(copy);
    return copy;
}

static char *replaced(const char *text, const char *from, const char *to) {
    const char *at = strstr(text, from);
    assert_non_null(at);
    const size_t size = strlen(text) + strlen(to) + 1;
    char *out = malloc(size);
    assert_non_null(out);
    snprintf(out, size, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
    return out;
}

static void test_round_trip(void **state) {
    kit *k = *state;
    char rejects[300];
    snprintf(rejects, sizeof rejects, "%s/rejects.csv", k->folder);
    k->options.rejects = rejects;
    kit_import_text(k, "a.csv",
                    KIT_HEADER KIT_ROW
                    "J1,2026-03-02,2,red maple,approx 2t?,5400,gross,-18,24,16,\"said \"\"two\"\", twice\"\n"
                    "J1,2026-03-02,3,red maple,4800,,,,,,=1+1\n");
    assert_int_equal(k->result.totals.stored, 2);
    assert_int_equal(k->result.totals.set_aside, 1);
    check_str(k->result.rejects_written, rejects);
    char *text = read_all(rejects);
    assert_true(strncmp(text, "reason,job,date,pick,", 21) == 0);
    assert_non_null(strstr(text, "planned_weight 'approx 2t?'"));
    assert_non_null(strstr(text, "; also length '-18' is below"));
    assert_non_null(strstr(text, "\"said \"\"two\"\", twice\""));
    char *half = replaced(text, ",approx 2t?,", ",4400,");
    char *mended = replaced(half, ",-18,", ",18,");
    k->options.rejects = NULL;
    kit_import_text(k, "mended.csv", mended);
    assert_int_equal(k->result.totals.stored, 1);
    assert_int_equal(k->result.kept[AP_INTAKE_WARNING], 0); /* no word about the column 'reason' */
    ap_pick pick;
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    check_ok(ap_book_get_pick(&pick, &arena, k->book, AP_STR_LIT("J1/2"), &k->err), &k->err);
    check_str(pick.notes, "said \"two\", twice");
    ap_arena_release(&arena);
    free(text);
    free(half);
    free(mended);
}

/* What came back unmended is set aside once more, with one reason column still. */
static void test_unmended_comes_back_the_same(void **state) {
    kit *k = *state;
    char first[300];
    char second[300];
    snprintf(first, sizeof first, "%s/first.csv", k->folder);
    snprintf(second, sizeof second, "%s/second.csv", k->folder);
    k->options.rejects = first;
    kit_import_text(k, "a.csv", KIT_HEADER "J1,2026-03-02,2,red maple,heavy,,,,,,=SUM(A1)\nJ1,2026-03-02,3\n");
    assert_int_equal(k->result.totals.set_aside, 2);
    k->options.rejects = second;
    check_ok(kit_import(k, first), &k->err);
    assert_int_equal(k->result.totals.set_aside, 2);
    char *a = read_all(first);
    char *b = read_all(second);
    assert_non_null(strstr(a, ",'=SUM(A1)"));
    assert_non_null(strstr(b, ",'=SUM(A1)"));
    assert_null(strstr(b, "''=SUM(A1)"));
    assert_null(strstr(b, "reason,reason"));
    assert_int_equal(strncmp(a, b, strcspn(a, "\n")), 0);
    free(a);
    free(b);
}

static void test_other_headers_go_to_another_file(void **state) {
    kit *k = *state;
    char rejects[300];
    snprintf(rejects, sizeof rejects, "%s/r.csv", k->folder);
    k->options.rejects = rejects;
    const char *paths[] = {
        kit_log(k, "a.csv", KIT_HEADER "J1,2026-03-02,2,red maple,heavy,,,,,,\n"),
        kit_log(k, "b.csv", "job;date;pick;species;planned_weight_kg\nJ1;2026-03-02;4;red maple;heavy\n"),
        kit_log(k, "c.csv", KIT_HEADER "J1,2026-03-02,3,red maple,light,,,,,,\n")};
    check_ok(kit_import_list(k, paths, 3), &k->err);
    assert_int_equal(k->result.totals.set_aside, 3);
    kit_says(k->result.rejects_written, "r.csv; ");
    kit_says(k->result.rejects_written, "r-2.csv");
    char *a = read_all(rejects);
    assert_non_null(strstr(a, "heavy"));
    assert_non_null(strstr(a, "light"));
    free(a);
}

static void test_nothing_set_aside_writes_nothing(void **state) {
    kit *k = *state;
    char rejects[300];
    snprintf(rejects, sizeof rejects, "%s/r.csv", k->folder);
    k->options.rejects = rejects;
    kit_import_text(k, "a.csv", KIT_HEADER KIT_ROW);
    assert_int_equal(k->result.rejects_written.len, 0);
    assert_int_not_equal(access(rejects, F_OK), 0);
    k->options.rejects = "/nowhere/at/all/r.csv";
    const char *bad =
        kit_log(k, "b.csv", KIT_HEADER "J1,2026-03-02,7,red maple,4700,,,,,,\nJ1,2026-03-02,8,red maple,heavy,,,,,,\n");
    check_refused(kit_import(k, bad), AP_E_IO, &k->err, "r.csv");
    assert_int_equal(kit_picks(k), 1); /* the import failed as a whole */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_round_trip, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_unmended_comes_back_the_same, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_other_headers_go_to_another_file, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_nothing_set_aside_writes_nothing, kit_setup, kit_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
