#include "support/book_fixture.h"

#include <sqlite3.h>

#include "book/species.h"

ap_book_author fixture_author(void) {
    return (ap_book_author){AP_STR_LIT("safety officer"), fixture_date("2026-10-05")};
}

ap_date fixture_date(const char *iso) {
    ap_date date = AP_DATE_NONE;
    assert_true(ap_date_from_iso(&date, ap_str_from(iso)));
    return date;
}

void fixture_make(book_fixture *it) {
    ap_error err;
    ap_error_clear(&err);
    memset(it, 0, sizeof *it);
    check_folder_make(it->folder, sizeof it->folder);
    snprintf(it->path, sizeof it->path, "%s/crew.book", it->folder);
    check_ok(ap_book_open(&it->book, it->path, AP_BOOK_CREATE, &err), &err);
}

void fixture_remove(book_fixture *it) {
    ap_pick_writer_free(it->writer);
    ap_book_close(it->book);
    check_folder_remove(it->folder);
}

void fixture_reopen(book_fixture *it, ap_book_mode mode) {
    ap_error err;
    ap_error_clear(&err);
    ap_book_close(it->book);
    it->book = NULL;
    check_ok(ap_book_open(&it->book, it->path, mode, &err), &err);
}

void fixture_import_begin(book_fixture *it, const char *path, char digit) {
    ap_error err;
    ap_error_clear(&err);
    ap_book_author author = fixture_author();
    char sha256[65];
    memset(sha256, digit, 64);
    sha256[64] = '\0';
    ap_import_file file = {.path = ap_str_from(path),
                           .sha256 = ap_str_from(sha256),
                           .bytes = 1000,
                           .dialect = AP_STR_LIT("comma, UTF-8, header on line 1"),
                           .date_order = AP_STR_LIT("ISO"),
                           .columns = AP_STR_LIT("[]")};
    check_ok(ap_book_begin(it->book, &err), &err);
    check_ok(ap_book_import_begin(&it->import_id, it->book, &author, &err), &err);
    check_ok(ap_book_import_file_add(&it->file_id, it->book, it->import_id, &file, &err), &err);
    check_ok(ap_pick_writer_new(&it->writer, it->book, &err), &err);
    it->line = 1;
    it->fresh = 0;
}

void fixture_import_end(book_fixture *it) {
    ap_error err;
    ap_error_clear(&err);
    ap_file_counts counts = {.stored = it->fresh};
    check_ok(ap_book_import_file_end(it->book, it->file_id, &counts, &err), &err);
    ap_pick_writer_free(it->writer);
    it->writer = NULL;
    check_ok(ap_book_commit(it->book, &err), &err);
}

ap_pick fixture_pick(book_fixture *it, const char *job, const char *pick, const char *date, double pounds) {
    ap_error err;
    ap_error_clear(&err);
    const ap_species *species = NULL;
    ap_pick out;
    ap_pick_clear(&out);
    check_ok(ap_book_species_find(&species, it->book, AP_STR_LIT("silver maple"), &err), &err);
    out.job = ap_str_from(job);
    out.pick = ap_str_from(pick);
    out.date = fixture_date(date);
    out.species = AP_STR_LIT("silver maple");
    out.species_id = species->id;
    fixture_set_quantity(&out, AP_F_measured_weight, pounds, AP_UNIT_LB, 0);
    return out;
}

void fixture_set_quantity(ap_pick *pick, int column, double value, ap_unit unit, uint8_t quantum) {
    *(double *)ap_pick_at(pick, column) = ap_unit_to_si(unit, value);
    pick->written[column] = (ap_written){(uint8_t)unit, quantum};
    ap_pick_count_legs(pick);
}

void fixture_offer(book_fixture *it, const ap_pick *pick, const char *part) {
    ap_error err;
    ap_error_clear(&err);
    ap_origin origin = {it->import_id, it->file_id, ++it->line, AP_STR_LIT("the row as it stood")};
    check_ok(ap_pick_writer_offer(&it->stored, &it->differs, it->writer, pick, ap_str_from(part), &origin, &err), &err);
    it->fresh += it->stored == AP_STORED_NEW ? 1 : 0;
}

void fixture_store(book_fixture *it, const ap_pick *pick, char digit) {
    char path[] = "log-?.csv";
    path[4] = digit;
    fixture_import_begin(it, path, digit);
    fixture_offer(it, pick, NULL);
    fixture_import_end(it);
}

int64_t fixture_number(const book_fixture *it, const char *sql) {
    sqlite3 *db = NULL;
    sqlite3_stmt *statement = NULL;
    int64_t value = -1;
    assert_int_equal(sqlite3_open_v2(it->path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    if (sqlite3_prepare_v2(db, sql, -1, &statement, NULL) != SQLITE_OK) {
        print_error("%s\n", sqlite3_errmsg(db));
    } else if (sqlite3_step(statement) == SQLITE_ROW) {
        value = sqlite3_column_int64(statement, 0);
    }
    sqlite3_finalize(statement);
    sqlite3_close(db);
    return value;
}

void fixture_change(const book_fixture *it, const char *sql) {
    sqlite3 *db = NULL;
    char *says = NULL;
    assert_int_equal(sqlite3_open_v2(it->path, &db, SQLITE_OPEN_READWRITE, NULL), SQLITE_OK);
    if (sqlite3_exec(db, sql, NULL, NULL, &says) != SQLITE_OK) {
        fail_msg("%s", says);
    }
    sqlite3_close(db);
}
