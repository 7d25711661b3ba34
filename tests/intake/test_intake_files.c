/* Files that are no logs, headers that can not be used: said in plain words, the book as it was. */
#include "intake/kit.h"

static void test_no_file(void **state) {
    kit *k = *state;
    check_refused(kit_import(k, "/nowhere/at/all.csv"), AP_E_INPUT, &k->err, "there is no file '/nowhere/at/all.csv'");
    assert_int_equal(k->result.file_count, 1);
    assert_int_equal(k->result.files[0].outcome, AP_INTAKE_UNUSABLE);
    assert_int_equal(kit_picks(k), 0);
}

static void test_empty_file(void **state) {
    kit *k = *state;
    check_refused(kit_import(k, kit_log(k, "a.csv", "")), AP_E_INPUT, &k->err, "is empty");
}

static void test_header_only(void **state) {
    kit *k = *state;
    check_refused(kit_import(k, kit_log(k, "a.csv", KIT_HEADER)), AP_E_INPUT, &k->err, "header on line 1 and no rows");
    check_refused(kit_import(k, kit_log(k, "b.csv", KIT_HEADER ",,,,,,,,,,\n\n")), AP_E_INPUT, &k->err, "no rows");
    assert_int_equal(kit_picks(k), 0);
}

/* First bytes: PNG specification (W3C) 5.2; PDF 32000-1 7.5.2; the others zeros. */
static void test_binary_files(void **state) {
    kit *k = *state;
    static const unsigned char png[] = {0x89, 'P', 'N', 'G', 13, 10, 26, 10, 0, 0, 0, 13, 'I', 'H', 'D', 'R'};
    check_refused(kit_import(k, kit_log_bytes(k, "a.csv", png, sizeof png)), AP_E_INPUT, &k->err, "PNG image");
    check_refused(kit_import(k, kit_log(k, "b.csv", "%PDF-1.7\n%abc\n1 0 obj\n")), AP_E_INPUT, &k->err, "PDF");
    check_refused(kit_import(k, k->book_path), AP_E_INPUT, &k->err, "SQLite database");
}

static void test_folder_in_list(void **state) {
    kit *k = *state;
    char inner[300];
    snprintf(inner, sizeof inner, "%s/logs", k->folder);
    assert_int_equal(mkdir(inner, 0700), 0);
    check_refused(kit_import(k, inner), AP_E_INPUT, &k->err, "no file to import");
    kit_log(k, "logs/b.csv", KIT_HEADER "J1,2026-03-02,2,red maple,4800,,,,,,\n");
    kit_log(k, "logs/a.csv", KIT_HEADER KIT_ROW);
    kit_log(k, "logs/.hidden", "not read");
    snprintf(inner, sizeof inner, "%s/logs/deeper", k->folder);
    assert_int_equal(mkdir(inner, 0700), 0);
    snprintf(inner, sizeof inner, "%s/logs", k->folder);
    check_ok(kit_import(k, inner), &k->err);
    assert_int_equal(k->result.file_count, 2);
    kit_says(k->result.files[0].path, "logs/a.csv");
    kit_says(k->result.files[1].path, "logs/b.csv");
    assert_int_equal(k->result.totals.stored, 2);
}

static void test_one_bad_file_does_not_stop_the_others(void **state) {
    kit *k = *state;
    const char *paths[] = {kit_log(k, "a.csv", KIT_HEADER KIT_ROW), kit_log(k, "b.csv", ""),
                           kit_log(k, "c.csv", KIT_HEADER "J1,2026-03-02,2,red maple,4800,,,,,,\n")};
    check_ok(kit_import_list(k, paths, 3), &k->err);
    assert_int_equal(k->result.files[0].outcome, AP_INTAKE_READ);
    assert_int_equal(k->result.files[1].outcome, AP_INTAKE_UNUSABLE);
    kit_says(k->result.files[1].says, "is empty");
    assert_int_equal(k->result.files[2].outcome, AP_INTAKE_READ);
    assert_int_equal(kit_picks(k), 2);
}

static void test_header_is_found_on_a_later_line(void **state) {
    kit *k = *state;
    kit_import_text(k, "a.csv", "Tree crew log,,,,,,,,,,\nweek 9,,,,,,,,,,\n\n" KIT_HEADER KIT_ROW);
    kit_says(k->result.files[0].dialect, "comma");
    kit_says(k->result.files[0].dialect, "header on line 4");
    assert_int_equal(k->result.totals.stored, 1);
}

static void test_header_as_people_write_it(void **state) {
    kit *k = *state;
    kit_import_text(k, "a.csv",
                    "JOB;Date;Pick;Species;Planned Weight (lb);Butt-Diameter [in];LENGTH ft\nJ1;2026-03-02;1;red "
                    "maple;4800;24;18\n");
    ap_pick pick;
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    check_ok(ap_book_get_pick(&pick, &arena, k->book, AP_STR_LIT("J1/1"), &k->err), &k->err);
    check_close(pick.planned_weight_kg, 4800 * 0.45359237, 1e-9, "NIST SP 811 B.8: 1 lb = 0.45359237 kg");
    check_close(pick.butt_diameter_m, 24 * 0.0254, 1e-12, "NIST SP 811 B.8: 1 in = 0.0254 m");
    check_close(pick.length_m, 18 * 0.3048, 1e-12, "NIST SP 811 B.8: 1 ft = 0.3048 m");
    ap_arena_release(&arena);
}

static void test_headers_that_are_refused(void **state) {
    kit *k = *state;
    check_refused(kit_import(k, kit_log(k, "a.csv", "1,2,3\n4,5,6\n")), AP_E_INPUT, &k->err, "no header row");
    check_refused(kit_import(k, kit_log(k, "b.csv", "job,date,pick,planned_weight_lb\nJ1,2026-03-02,1,4800\n")),
                  AP_E_INPUT, &k->err, "no column 'species'");
    check_refused(kit_import(k, kit_log(k, "c.csv", "job,date,pick,species\nJ1,2026-03-02,1,red maple\n")), AP_E_INPUT,
                  &k->err, "neither 'planned_weight' nor 'measured_weight'");
    check_refused(
        kit_import(
            k, kit_log(k, "d.csv", "job,date,pick,species,planned_weight_lb,Job\nJ1,2026-03-02,1,red maple,4800,J1\n")),
        AP_E_INPUT, &k->err, "columns 1 ('job') and 6 ('Job') are both job");
    check_refused(
        kit_import(k, kit_log(k, "e.csv", "job,date,pick,species,planned_weight_ft\nJ1,2026-03-02,1,red maple,4800\n")),
        AP_E_INPUT, &k->err, "can not be the unit");
    assert_int_equal(kit_picks(k), 0);
}

static void test_unknown_column_is_named(void **state) {
    kit *k = *state;
    kit_import_text(
        k, "a.csv",
        "job,date,pick,species,planned_weight_lb,est wt,blorb,reason\nJ1,2026-03-02,1,red maple,4800,1,2,\n");
    assert_int_equal(k->result.totals.stored, 1);
    assert_int_equal(k->result.kept[AP_INTAKE_WARNING], 2); /* 'reason' is ours and passed over */
    kit_says(kit_problem(k, AP_INTAKE_WARNING, 0)->reason,
             "column 6 ('est wt') was not read: rename it planned_weight");
    kit_says(kit_problem(k, AP_INTAKE_WARNING, 1)->reason, "column 7 ('blorb') was not read: no such column");
}

static void test_standard_input(void **state) {
    kit *k = *state;
    const char *path = kit_log(k, "a.csv", KIT_HEADER KIT_ROW);
    assert_non_null(freopen(path, "r", stdin));
    check_ok(kit_import(k, "-"), &k->err);
    kit_says(k->result.files[0].path, "standard input");
    assert_int_equal(kit_picks(k), 1);
    check_ok(kit_import(k, path), &k->err); /* the same bytes by another way */
    assert_int_equal(k->result.files[0].outcome, AP_INTAKE_KNOWN);
}

static void test_encodings(void **state) {
    kit *k = *state;
    kit_import_text(k, "bom.csv", "\xEF\xBB\xBF" KIT_HEADER KIT_ROW);
    assert_int_equal(k->result.totals.stored, 1);
    kit_import_text(
        k, "cp.csv",
        "job\tdate\tpick\tspecies\tplanned_weight_kg\tnotes\r\nJ1\t2026-03-02\t2\tred maple\t900\tna\xEFve\r\n");
    assert_int_equal(k->result.totals.stored, 1);
    kit_says(k->result.files[0].dialect, "tab");
    kit_says(k->result.files[0].dialect, "1252");
    ap_pick pick;
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    check_ok(ap_book_get_pick(&pick, &arena, k->book, AP_STR_LIT("J1/2"), &k->err), &k->err);
    check_str(pick.notes, "na\xC3\xAFve");
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_no_file, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_empty_file, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_header_only, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_binary_files, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_folder_in_list, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_one_bad_file_does_not_stop_the_others, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_header_is_found_on_a_later_line, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_header_as_people_write_it, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_headers_that_are_refused, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_unknown_column_is_named, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_standard_input, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_encodings, kit_setup, kit_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
