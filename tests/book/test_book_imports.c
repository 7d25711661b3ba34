/* Provenance and undo. */
#include "book/amend.h"
#include "support/book_fixture.h"

static void test_provenance(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    int64_t found = -1;
    fixture_make(&it);
    fixture_import_begin(&it, "june.csv", 'e');
    ap_set_aside row = {.line = 41,
                        .column = 7,
                        .field = AP_STR_LIT("planned_weight"),
                        .text = AP_STR_LIT("approx 2t?"),
                        .reason = AP_STR_LIT("is not a weight"),
                        .remedy = AP_STR_LIT("write one number with its unit"),
                        .raw = AP_STR_LIT("J1,\"a, b\",approx 2t?")};
    check_ok(ap_book_set_aside_add(it.book, it.file_id, &row, &err), &err);
    check_ok(ap_book_warning_add(it.book, it.file_id, 12, AP_STR_LIT("length"), AP_STR_LIT("is long for a limb"), &err),
             &err);
    ap_pick pick = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    fixture_offer(&it, &pick, NULL);
    fixture_import_end(&it);
    ap_file_counts counts = {.stored = 1, .unchanged = 2, .set_aside = 1, .conflicts = 3};
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_import_file_end(it.book, it.file_id, &counts, &err), &err);
    check_ok(ap_book_commit(it.book, &err), &err);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM import_file WHERE stored = 1 AND unchanged = 2 AND set_aside = 1 "
                            "AND conflicts = 3 AND path = 'june.csv' AND bytes = 1000"),
        1);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM import WHERE imported_on = '2026-10-05' AND who = 'safety officer'"),
        1);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM set_aside WHERE line = 41 AND column = 7 AND text = 'approx 2t?'"),
        1);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM warning WHERE line = 12 AND field = 'length'"), 1);
    char sha256[65];
    memset(sha256, 'e', 64);
    sha256[64] = '\0';
    check_ok(ap_book_import_find_file(&found, it.book, ap_str_from(sha256), &err), &err);
    assert_int_equal(found, it.import_id);
    sha256[0] = '0';
    check_ok(ap_book_import_find_file(&found, it.book, ap_str_from(sha256), &err), &err);
    assert_int_equal(found, 0);
    fixture_remove(&it);
}

static void test_undo(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_book_author author = fixture_author();
    fixture_make(&it);
    ap_pick keep = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    fixture_store(&it, &keep, 'a');
    int64_t first = it.import_id;
    fixture_import_begin(&it, "b.csv", 'b');
    for (int i = 2; i < 9; i++) {
        char number[16];
        snprintf(number, sizeof number, "%d", i);
        ap_pick pick = fixture_pick(&it, "J1", number, "2026-10-05", 1000);
        fixture_offer(&it, &pick, NULL);
    }
    ap_pick other = keep;
    fixture_set_quantity(&other, AP_F_measured_weight, 3000, AP_UNIT_LB, 0);
    fixture_offer(&it, &other, NULL);
    assert_int_equal(it.stored, AP_STORED_CONFLICT);
    fixture_import_end(&it);
    int64_t second = it.import_id;

    /* An amendment, a finding and a write-up rest on the second import. */
    ap_pick value;
    ap_pick_clear(&value);
    value.notes = AP_STR_LIT("butt came up");
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_amend(it.book, AP_STR_LIT("J1/2"), AP_F_notes, &value, AP_STR_LIT("left out"), &author, &err),
             &err);
    check_ok(ap_book_commit(it.book, &err), &err);
    ap_book_close(it.book);
    it.book = NULL;
    static const char sql[] =
        "INSERT INTO finding (detector, scope, first_pick, last_pick, last_date, class, says, "
        "picks, state, found_on, seen_on) VALUES ('moved', 'pick', "
        "'J1/2', 'J1/3', '2026-10-05', 'certain', 'it moved', 2, 'acknowledged', '2026-10-05', '2026-10-05');"
        "INSERT INTO finding_pick SELECT 1, row_number() OVER (ORDER BY id), 'J1/' || pick, id "
        "FROM pick WHERE pick IN ('2', '3');"
        "INSERT INTO writeup (pick_id, pick_name, title, opened_on) SELECT id, 'J1/3', 't', "
        "'2026-10-05' FROM pick WHERE pick = '3';";
    fixture_change(&it, sql);
    fixture_reopen(&it, AP_BOOK_WRITE);

    ap_import_rests rests = {0, 0, 0, 0};
    check_ok(ap_book_import_rests(&rests, it.book, second, &err), &err);
    assert_int_equal(rests.picks, 7);
    assert_int_equal(rests.amendments, 1);
    assert_int_equal(rests.findings, 1);
    assert_int_equal(rests.writeups, 1);

    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_import_undo(it.book, second, AP_STR_LIT("the wrong ton"), &author, &err), &err);
    check_ok(ap_book_commit(it.book, &err), &err);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM pick"), 1);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM import WHERE undone_why = 'the wrong ton' AND picks_taken_out = 7 "
                            "AND undone_by = 'safety officer' AND undone_on = '2026-10-05'"),
        1);
    /* What people wrote stays, by the pick's name. */
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM amendment WHERE pick_id IS NULL AND pick_name = 'J1/2'"),
                     1);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM finding_pick WHERE pick_id IS NULL"), 2);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM writeup WHERE pick_id IS NULL AND pick_name = 'J1/3'"),
                     1);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM conflict WHERE state = 'open'"), 0);

    check_ok(ap_book_begin(it.book, &err), &err);
    check_refused(ap_book_import_undo(it.book, second, AP_STR_LIT("again"), &author, &err), AP_E_NOT_FOUND, &err,
                  "taken out already");
    check_refused(ap_book_import_undo(it.book, 77, AP_STR_LIT("none"), &author, &err), AP_E_NOT_FOUND, &err,
                  "no import 77");
    ap_book_rollback(it.book);

    /* The same file may come again, and its picks are new ones. */
    int64_t found = -1;
    char sha256[65];
    memset(sha256, 'b', 64);
    sha256[64] = '\0';
    check_ok(ap_book_import_find_file(&found, it.book, ap_str_from(sha256), &err), &err);
    assert_int_equal(found, 0);
    ap_pick again = fixture_pick(&it, "J1", "2", "2026-10-05", 1000);
    fixture_store(&it, &again, 'b');
    assert_int_equal(it.stored, AP_STORED_NEW);
    assert_true(first < it.import_id);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_provenance), cmocka_unit_test(test_undo)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
