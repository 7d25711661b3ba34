/* The SQL files against a fresh book: every query prepares, every parameter has a name, every table and column has its remark, and the
 * table pick is the field table. */
#include <sqlite3.h>

#include "base/asset.h"
#include "book/handle.h"
#include "book/pick_columns.h"
#include "support/book_fixture.h"

static void test_every_query(void **state) {
    (void)state;
    book_fixture it;
    size_t first = 0;
    fixture_make(&it);
    size_t count = ap_asset_range(&first, "sql/query/");
    assert_true(count > 40);
    for (size_t i = first; i < first + count; i++) {
        const ap_asset *asset = &ap_assets[i];
        sqlite3_stmt *statement = NULL;
        const char *rest = NULL;
        const char *text = (const char *)asset->bytes;
        if (sqlite3_prepare_v2(it.book->db, text, (int)asset->size, &statement, &rest) != SQLITE_OK) {
            fail_msg("%s: %s", asset->name, sqlite3_errmsg(it.book->db));
        }
        assert_non_null(statement);
        if (strspn(rest, " \t\r\n") != strlen(rest)) {
            fail_msg("%s: more than one statement", asset->name);
        }
        for (int at = 1; at <= sqlite3_bind_parameter_count(statement); at++) {
            const char *name = sqlite3_bind_parameter_name(statement, at);
            if (!name || name[0] != ':') {
                fail_msg("%s: parameter %d has no name", asset->name, at);
            }
        }
        if (strncmp(text, "-- ", 3) != 0) {
            fail_msg("%s: does not begin with a remark", asset->name);
        }
        sqlite3_finalize(statement);
    }
    fixture_remove(&it);
}

static void test_query_errors(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_query *query = NULL;
    bool row = true;
    fixture_make(&it);
    check_refused(ap_query_open(&query, it.book, "no_such_query", &err), AP_E_NOT_FOUND, &err,
                  "sql/query/no_such_query.sql");
    check_ok(ap_query_open(&query, it.book, "setting_get", &err), &err);
    ap_query_bind_int(query, ":nmae", 1);
    check_refused(ap_query_step(&row, query, &err), AP_E_INTERNAL, &err, "no parameter ':nmae'");
    ap_query_close(query);
    /* The same file twice at once, and again from the ones kept. */
    ap_query *a = NULL;
    ap_query *b = NULL;
    for (int i = 0; i < 3; i++) {
        check_ok(ap_query_open(&a, it.book, "species_all", &err), &err);
        check_ok(ap_query_open(&b, it.book, "species_all", &err), &err);
        check_ok(ap_query_step(&row, a, &err), &err);
        check_ok(ap_query_step(&row, a, &err), &err);
        check_ok(ap_query_step(&row, b, &err), &err);
        assert_true(ap_query_int(a, 0) > ap_query_int(b, 0));
        ap_query_close(a);
        ap_query_close(b);
    }
    fixture_remove(&it);
}

/* A remark behind "--" on the line of every column and on the line below CREATE TABLE; every CHECK has a name; tables are STRICT. */
static void check_table_sql(const char *table, const char *sql) {
    ap_str rest = ap_str_from(sql);
    int number = 0;
    if (!strstr(sql, ") STRICT")) {
        fail_msg("%s: is not STRICT", table);
    }
    while (rest.ptr) {
        ap_str line = ap_str_trim(ap_str_split(rest, '\n', &rest));
        number++;
        bool outside = number == 1 || line.len == 0 || line.ptr[0] == ')';
        bool constraint = ap_str_starts(line, AP_STR_LIT("CONSTRAINT ")) ||
                          ap_str_starts(line, AP_STR_LIT("PRIMARY KEY")) || ap_str_starts(line, AP_STR_LIT("UNIQUE")) ||
                          ap_str_starts(line, AP_STR_LIT("FOREIGN KEY"));
        char text[2048];
        snprintf(text, sizeof text, "%.*s", AP_STR_ARG(line));
        if (number == 2 && !ap_str_starts(line, AP_STR_LIT("-- "))) {
            fail_msg("%s: has no remark", table);
        }
        if (!outside && !constraint && !strstr(text, "-- ")) {
            fail_msg("%s: no remark on '%s'", table, text);
        }
        if (strstr(text, "CHECK") && !ap_str_starts(line, AP_STR_LIT("CONSTRAINT ")) &&
            !ap_str_starts(line, AP_STR_LIT("--"))) {
            fail_msg("%s: a CHECK without a name: %s", table, text);
        }
    }
}

static void test_remarks(void **state) {
    (void)state;
    book_fixture it;
    sqlite3_stmt *statement = NULL;
    int tables = 0;
    fixture_make(&it);
    assert_int_equal(
        sqlite3_prepare_v2(it.book->db,
                           "SELECT name, sql FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'", -1,
                           &statement, NULL),
        SQLITE_OK);
    while (sqlite3_step(statement) == SQLITE_ROW) {
        check_table_sql((const char *)sqlite3_column_text(statement, 0),
                        (const char *)sqlite3_column_text(statement, 1));
        tables++;
    }
    sqlite3_finalize(statement);
    assert_true(tables > 25);
    fixture_remove(&it);
}

static const char *type_of(ap_field_kind kind) {
    switch (kind) {
    case AP_KIND_TEXT:
    case AP_KIND_DATE:
    case AP_KIND_TIME:
        return "TEXT";
    case AP_KIND_QTY:
        return "REAL";
    default:
        return "INTEGER";
    }
}

/* Canonical order, names and types, in the table and in the view people use. */
static void test_pick_is_the_field_table(void **state) {
    (void)state;
    book_fixture it;
    fixture_make(&it);
    int at_table = 0;
    int at_view = 0;
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        const ap_field *field = ap_field_get(column);
        char sql[300];
        ap_buf name;
        ap_buf_init(&name, 200);
        ap_pick_column_name(&name, column);
        snprintf(sql, sizeof sql, "SELECT cid FROM pragma_table_info('picks') WHERE name = '%.*s'",
                 AP_STR_ARG(ap_buf_str(&name)));
        int at = (int)fixture_number(&it, sql);
        if (at <= at_view) {
            fail_msg("view picks: %s is missing or out of order", name.ptr);
        }
        at_view = at;
        if (column != AP_F_job && column != AP_F_tree && column != AP_F_pick) {
            snprintf(sql, sizeof sql, "SELECT cid FROM pragma_table_info('pick') WHERE name = '%.*s' AND type = '%s'",
                     AP_STR_ARG(ap_buf_str(&name)), type_of(field->kind));
            at = (int)fixture_number(&it, sql);
            if (at <= at_table) {
                fail_msg("table pick: %s is missing, of another type or out of order", name.ptr);
            }
            at_table = at;
        }
        ap_buf_release(&name);
    }
    /* Nothing in the table that the program does not know: the plain columns, their ten companions. */
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM pragma_table_info('pick')"),
                     AP_PLAIN_COUNT + 1 + AP_PICK_FIRST_FIELD - 1);
    fixture_remove(&it);
}

static void test_legs_view(void **state) {
    (void)state;
    book_fixture it;
    fixture_make(&it);
    ap_pick pick = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    pick.legs[0].hitch = AP_HITCH_COW;
    pick.legs[2].wll_kg = 900;
    pick.legs[3].tag = AP_STR_LIT("S4");
    ap_pick_count_legs(&pick);
    fixture_store(&it, &pick, 'a');
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM legs WHERE name = 'J1/1'"), 3);
    assert_int_equal(fixture_number(&it, "SELECT leg_no FROM legs WHERE hitch = 'cow'"), 1);
    assert_int_equal(fixture_number(&it, "SELECT leg_no FROM legs WHERE wll_kg = 900"), 3);
    assert_int_equal(fixture_number(&it, "SELECT leg_no FROM legs WHERE tag = 'S4'"), 4);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_query), cmocka_unit_test(test_query_errors),
        cmocka_unit_test(test_remarks),     cmocka_unit_test(test_pick_is_the_field_table),
        cmocka_unit_test(test_legs_view),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
