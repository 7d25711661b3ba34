/* The workbook reader from outside: what whole files give, what is refused and in which words, and the limits.
 * What the workbooks hold is written down in tests/workbook/make.py and, for suite.*, in tests/workbook/check.py. */
#include "support/check.h"

#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>
#include <zip.h>

#include "base/sink.h"
#include "text/stored_zip.h"
#include "text/workbook.h"

#if defined(__SANITIZE_ADDRESS__)
#define AP_TEST_SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define AP_TEST_SANITIZED 1
#endif
#endif
#ifndef AP_TEST_SANITIZED
#define AP_TEST_SANITIZED 0
#endif

#define FOLDER "tests/text/workbooks/"

static ap_workbook *open_book(const char *path, const ap_workbook_options *options) {
    ap_error err;
    ap_error_clear(&err);
    ap_workbook *book = NULL;
    check_ok(ap_workbook_open(&book, path, options, &err), &err);
    return book;
}

/* One row as "LINE a|b!trouble(cell)". */
static void render(ap_buf *out, const ap_row *row) {
    ap_buf_appendf(out, "%d ", (int)row->line);
    for (size_t i = 0; i < row->count; i++) {
        assert_non_null(row->cells[i].ptr);
        ap_buf_append_cstr(out, i > 0 ? "|" : "");
        ap_buf_append_str(out, row->cells[i]);
    }
    assert_true(row->line_last == row->line && row->trouble_cell < row->count);
    if (row->trouble) {
        ap_buf_appendf(out, "!%.24s(%zu)", row->trouble, row->trouble_cell);
    }
}

static void check_sheet(ap_workbook *book, size_t sheet, const char *const *want, size_t count) {
    ap_error err;
    ap_error_clear(&err);
    check_ok(ap_workbook_select(book, sheet, &err), &err);
    ap_buf got;
    ap_buf_init(&got, 1u << 20);
    for (size_t i = 0;; i++) {
        ap_row row;
        bool more = false;
        check_ok(ap_workbook_next(&row, &more, book, &err), &err);
        if (!more) {
            assert_int_equal(i, count);
            break;
        }
        assert_true(i < count);
        ap_buf_clear(&got);
        render(&got, &row);
        check_str(ap_buf_str(&got), want[i]);
    }
    ap_buf_release(&got);
}

#define CHECK_SHEET(book, sheet, want) check_sheet((book), (sheet), (want), sizeof(want) / sizeof(want)[0])

static const char *const picks_xlsx[] = {
    "1 pick|silver maple|two\nlines, and _x0041_||Eiche \u00FCber \U0001F332",
    "2 ",
    "3 2026-10-05|14:05|2026-10-05 14:05|35%|27:30|2026-10-05|2026-10-05|14:05:05",
    "4 0.3|4850 lb|J007|0231|4.85 t|0.001|1500|-12.5|3",
    "5 TRUE|FALSE|inline|text of a formula|12",
    "6 6|#DIV/0!!a formula's value is an (1)",
    "7 7||!a formula has no stored (2)",
    "8 1900-02-29!29 February 1900 was no (0)",
    "9 1900-02-28|1900-03-01|1900-01-01",
    "10 #REF!!a formula's value is an (0)",
    "11 ",
    "12 -1!a time is below zero(0)",
    "13 |13|14||99!a shared text is missing(4)",
};

static void test_xlsx(void **state) {
    (void)state;
    static const char *const hidden[] = {"1 1"};
    ap_workbook *book = open_book(FOLDER "values.xlsx", NULL);
    assert_string_equal(ap_workbook_kind(book), ".xlsx");
    assert_int_equal(ap_workbook_sheet_count(book), 2); /* the sheet that is a figure is left out */
    check_str(ap_workbook_sheet_name(book, 0), "Picks");
    check_str(ap_workbook_sheet_name(book, 1), "Old & hidden");
    assert_false(ap_workbook_sheet_is_hidden(book, 0));
    assert_true(ap_workbook_sheet_is_hidden(book, 1));
    CHECK_SHEET(book, 0, picks_xlsx);
    CHECK_SHEET(book, 1, hidden);
    CHECK_SHEET(book, 0, picks_xlsx); /* the same again */
    ap_workbook_close(book);
}

static void test_strict(void **state) {
    (void)state;
    static const char *const want[] = {"1 ", "2 |2026-10-05 14:05|2026-10-05||14:05:30|1904-01-01"};
    ap_workbook *book = open_book(FOLDER "strict_1904.xlsx", NULL);
    CHECK_SHEET(book, 0, want);
    ap_workbook_close(book);
}

static void test_ods(void **state) {
    (void)state;
    static const char *const want[] = {
        "1 pick|two runs   end\nsecond\tline|two runs   end\nsecond\tline",
        "2 ",
        "3 ",
        "4 ",
        "5 4850 lb|35%|2026-10-05|2026-10-05 14:05|14:05|27:30|TRUE|12.5|J231",
        "6 4850 lb|35%|2026-10-05|2026-10-05 14:05|14:05|27:30|TRUE|12.5|J231",
        "7 0.1||3",
        "8 #DIV/0!!a formula's value is an (0)",
        "9 !a formula has no stored (0)",
        "10 4850!a number and the text sh(0)",
        "11 |last",
    };
    static const char *const hidden[] = {"1 2"};
    ap_workbook *book = open_book(FOLDER "values.ods", NULL);
    assert_string_equal(ap_workbook_kind(book), ".ods");
    assert_int_equal(ap_workbook_sheet_count(book), 3);
    assert_false(ap_workbook_sheet_is_hidden(book, 0));
    assert_true(ap_workbook_sheet_is_hidden(book, 1));
    assert_true(ap_workbook_sheet_is_hidden(book, 2)); /* what is kept of a linked file */
    CHECK_SHEET(book, 0, want);
    CHECK_SHEET(book, 1, hidden);
    ap_workbook_close(book);
}

typedef struct feed {
    ap_str bytes;
    size_t at;
} feed;

static ap_status feed_read(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    (void)err;
    feed *from = context;
    *got = from->bytes.len - from->at < cap ? from->bytes.len - from->at : cap;
    memcpy(bytes, from->bytes.ptr + from->at, *got);
    from->at += *got;
    return AP_OK;
}

static size_t used_cells(const ap_row *row) {
    size_t count = row->count;
    while (count > 1 && row->cells[count - 1].len == 0) {
        count--;
    }
    return count;
}

/* A general-purpose office suite's files beside its own comma-separated text of them, row by row; and `raw` of each row,
 * read as comma-separated text, is the row. */
static void check_suite(const char *path) {
    ap_error err;
    ap_error_clear(&err);
    ap_buf text;
    check_ok(ap_file_read(&text, FOLDER "suite.csv", 1u << 20, &err), &err);
    feed from = {ap_buf_str(&text), 0};
    ap_delimited *csv = NULL;
    const ap_delimited_options comma = {.delimiter = ','};
    check_ok(ap_delimited_new(&csv, feed_read, &from, &comma, &err), &err);
    ap_workbook *book = open_book(path, NULL);
    check_ok(ap_workbook_select(book, 0, &err), &err);
    size_t rows = 0;
    size_t troubles = 0;
    for (bool more = true, more_csv = true;; rows++) {
        ap_row got, want, again;
        check_ok(ap_workbook_next(&got, &more, book, &err), &err);
        check_ok(ap_delimited_next(&want, &more_csv, csv, &err), &err);
        assert_int_equal(more, more_csv);
        if (!more) {
            break;
        }
        feed raw = {got.raw, 0};
        ap_delimited *reader = NULL;
        bool more_raw = false;
        check_ok(ap_delimited_new(&reader, feed_read, &raw, &comma, &err), &err);
        check_ok(ap_delimited_next(&again, &more_raw, reader, &err), &err);
        assert_int_equal(got.count, used_cells(&want));
        assert_true(got.raw.len == 0 || more_raw);
        for (size_t i = 0; i < got.count; i++) {
            assert_true(ap_str_equal(got.cells[i], want.cells[i]));
            assert_true(got.raw.len == 0 || (i < again.count && ap_str_equal(got.cells[i], again.cells[i])));
        }
        ap_delimited_free(reader);
        troubles += got.trouble != NULL;
    }
    assert_int_equal(rows, 47);
    assert_int_equal(troubles, 1);
    ap_workbook_close(book);
    ap_delimited_free(csv);
    ap_buf_release(&text);
}

static void test_suite(void **state) {
    (void)state;
    check_suite(FOLDER "suite.xlsx");
    check_suite(FOLDER "suite.ods");
}

/* "6.125" is a number cell's own point, "6,125" a text somebody typed. */
static void test_cell_is_number(void **state) {
    (void)state;
    static const char *const paths[] = {FOLDER "suite.xlsx", FOLDER "suite.ods"};
    static const char numbers[] = "1001110010"; /* pick, share, weight, job, sum of the second row */
    for (size_t i = 0; i < 2; i++) {
        ap_error err;
        ap_error_clear(&err);
        ap_row row;
        bool more = false;
        ap_workbook *book = open_book(paths[i], NULL);
        check_ok(ap_workbook_select(book, 0, &err), &err);
        for (int line = 1; line <= 2; line++) {
            check_ok(ap_workbook_next(&row, &more, book, &err), &err);
            for (size_t cell = 0; cell < 10; cell++) {
                assert_int_equal(ap_workbook_cell_is_number(book, cell), line == 2 && numbers[cell] == '1');
            }
        }
        assert_false(ap_workbook_cell_is_number(book, 10));
        for (; more && row.line < 15; check_ok(ap_workbook_next(&row, &more, book, &err), &err)) {
        }
        assert_int_equal(row.line, 15); /* a blank row ahead of one that is read already */
        assert_false(ap_workbook_cell_is_number(book, 0));
        ap_workbook_close(book);
    }
}

/* ---- finding one's way ---- */

static bool starts_with_pick(void *context, const ap_row *row) {
    ++*(int *)context;
    return ap_str_equal_word(row->cells[0], "pick");
}

static bool starts_with_two(void *context, const ap_row *row) {
    (void)context;
    return ap_str_equal_word(row->cells[0], "2");
}

static bool never(void *context, const ap_row *row) {
    (void)row;
    ++*(int *)context;
    return false;
}

static void test_find_header(void **state) {
    (void)state;
    ap_error err;
    ap_error_clear(&err);
    ap_workbook *book = open_book(FOLDER "values.ods", NULL);
    bool found = false;
    size_t sheet = 9;
    int64_t line = 0;
    int asked = 0;
    ap_row row;
    bool more = false;
    check_ok(ap_workbook_find_header(&found, &sheet, &line, book, 5, starts_with_pick, &asked, &err), &err);
    assert_true(found && sheet == 0 && line == 1 && asked == 1);
    check_ok(ap_workbook_next(&row, &more, book, &err), &err);
    check_str(row.cells[0], "pick"); /* from the top */
    check_ok(ap_workbook_find_header(&found, &sheet, &line, book, 5, starts_with_two, NULL, &err), &err);
    assert_true(found && sheet == 1 && line == 1); /* a hidden sheet, last */
    asked = 0;
    check_ok(ap_workbook_find_header(&found, &sheet, &line, book, 3, never, &asked, &err), &err);
    assert_true(!found && sheet == 1 && asked == 4); /* 3 rows of the first, 1 of the second; blank ones do not count */
    check_refused(ap_workbook_next(&row, &more, book, &err), AP_E_USAGE, &err, "no sheet");
    ap_workbook_close(book);
}

static void test_sheet_names(void **state) {
    (void)state;
    ap_error err;
    ap_error_clear(&err);
    size_t sheet = 9;
    ap_workbook *book = open_book(FOLDER "values.xlsx", NULL);
    check_ok(ap_workbook_sheet_get(&sheet, book, AP_STR_LIT("Old & hidden"), &err), &err);
    assert_int_equal(sheet, 1);
    check_ok(ap_workbook_sheet_get(&sheet, book, AP_STR_LIT("PICKS"), &err), &err);
    assert_int_equal(sheet, 0);
    check_refused(ap_workbook_sheet_get(&sheet, book, AP_STR_LIT("Pick"), &err), AP_E_NOT_FOUND, &err,
                  "has no sheet 'Pick': it has 'Picks', 'Old & hidden'");
    check_refused(ap_workbook_select(book, 2, &err), AP_E_NOT_FOUND, &err, "has 2 sheets");
    ap_workbook_close(book);
}

/* ---- refusals ---- */

static void check_open_refused(const char *path, ap_status code, const char *says) {
    ap_error err;
    ap_error_clear(&err);
    ap_workbook *book = NULL;
    check_refused(ap_workbook_open(&book, path, NULL, &err), code, &err, says);
    assert_null(book);
}

static void check_rows_refused(const char *path, const ap_workbook_options *options, ap_status code, const char *says) {
    ap_error err;
    ap_error_clear(&err);
    ap_workbook *book = open_book(path, options);
    ap_status status = ap_workbook_select(book, 0, &err);
    bool more = true;
    while (status == AP_OK && more) {
        ap_row row;
        status = ap_workbook_next(&row, &more, book, &err);
    }
    check_refused(status, code, &err, says);
    ap_workbook_close(book);
}

static void test_refusals(void **state) {
    (void)state;
    check_open_refused(FOLDER "password.xlsx", AP_E_INPUT, "password");
    check_open_refused(FOLDER "password.ods", AP_E_INPUT, "password");
    check_open_refused(FOLDER "binary.xlsb", AP_E_INPUT, "binary workbook (.xlsb)");
    check_open_refused(FOLDER "letter.ods", AP_E_INPUT, "not a spreadsheet");
    check_open_refused(FOLDER "doctype.ods", AP_E_INPUT, "document type");
    check_open_refused(FOLDER "no_cells.xlsx", AP_E_INPUT, "no sheet with cells");
    check_open_refused(FOLDER "none.xlsx", AP_E_NOT_FOUND, "no such file");
    check_open_refused(FOLDER "suite.csv", AP_E_INPUT, "text, not a workbook");
    check_open_refused(FOLDER, AP_E_INPUT, "not a file");
    check_rows_refused(FOLDER "damaged.xlsx", NULL, AP_E_INPUT, "sheet 'A' behind row 1: its part");
    check_rows_refused(FOLDER "deep.xlsx", NULL, AP_E_LIMIT, "more than 100 deep");
    const ap_workbook_options small = {.part_max = 20000};
    check_rows_refused(FOLDER "suite.xlsx", &small, AP_E_LIMIT, "unpacks to more than");
}

static void write_file(const char *path, ap_str bytes) {
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes.ptr, 1, bytes.len, file), bytes.len);
    assert_int_equal(fclose(file), 0);
}

#define CONTENT_HEAD                                                                                                   \
    "<office:document-content xmlns:office='urn:oasis:names:tc:opendocument:xmlns:office:1.0' "                        \
    "xmlns:table='urn:oasis:names:tc:opendocument:xmlns:table:1.0' "                                                   \
    "xmlns:text='urn:oasis:names:tc:opendocument:xmlns:text:1.0'><office:body><office:spreadsheet>"                    \
    "<table:table table:name='Picks'>"
#define CONTENT_END "</table:table></office:spreadsheet></office:body></office:document-content>"

static void write_ods(const char *path, ap_str rows) {
    ap_buf content;
    ap_buf_init(&content, 1u << 28);
    ap_buf_append_cstr(&content, CONTENT_HEAD);
    ap_buf_append_str(&content, rows);
    ap_buf_append_cstr(&content, CONTENT_END);
    stored_zip zip;
    stored_zip_init(&zip);
    stored_zip_add(&zip, "mimetype", AP_STR_LIT("application/vnd.oasis.opendocument.spreadsheet"));
    stored_zip_add(&zip, "content.xml", ap_buf_str(&content));
    write_file(path, stored_zip_end(&zip));
    stored_zip_release(&zip);
    ap_buf_release(&content);
}

/* Cut short anywhere, a byte changed anywhere: rows or a refusal, and never a cell that was not in the whole file. */
static void test_damage(void **state) {
    (void)state;
    char folder[256];
    char path[300];
    check_folder_make(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/damaged.xlsx", folder);
    ap_error err;
    ap_error_clear(&err);
    ap_buf whole;
    check_ok(ap_file_read(&whole, FOLDER "values.xlsx", 1u << 20, &err), &err);
    int refused = 0;
    for (size_t len = 0; len < whole.len; len += 37) {
        write_file(path, (ap_str){whole.ptr, len});
        ap_workbook *book = NULL;
        ap_status status = ap_workbook_open(&book, path, NULL, &err);
        assert_true(status == AP_E_INPUT && err.text[0]);
        refused++;
    }
    for (size_t at = 0; at < whole.len; at += 13) {
        whole.ptr[at] = (char)(whole.ptr[at] ^ 0x41);
        write_file(path, ap_buf_str(&whole));
        whole.ptr[at] = (char)(whole.ptr[at] ^ 0x41);
        ap_workbook *book = NULL;
        ap_status status = ap_workbook_open(&book, path, NULL, &err);
        for (size_t i = 0; status == AP_OK && i < ap_workbook_sheet_count(book); i++) {
            bool more = true;
            status = ap_workbook_select(book, i, &err);
            while (status == AP_OK && more) {
                ap_row row;
                status = ap_workbook_next(&row, &more, book, &err);
            }
        }
        assert_true(status == AP_OK || err.text[0]);
        refused += status != AP_OK;
        ap_workbook_close(book);
    }
    assert_true(refused > 150);
    ap_buf_release(&whole);
    check_folder_remove(folder);
}

/* ---- limits ---- */

static void test_limits(void **state) {
    (void)state;
    char folder[256];
    char path[300];
    check_folder_make(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/limits.ods", folder);
    const ap_workbook_options small = {.cell_max = 8, .row_max = 32, .cells_max = 4};
    static const char *const want[] = {
        "1 123456\xC3\xA9!cell longer than 8 bytes(0)",
        "2 a|a|a|a!more than 4 cells(3)",
        "3 1|||!more than 4 cells(3)",
        "4 1",
        "5 12345678|12345678|12345678|1234567!row longer than 32 bytes(3)",
    };
#define TEXT(text) "<table:table-cell office:value-type='string'><text:p>" text "</text:p></table:table-cell>"
#define ROW(cells) "<table:table-row>" cells "</table:table-row>"
    write_ods(
        path,
        AP_STR_LIT(
            ROW(TEXT("123456\xC3\xA9\xC3\xA9")) ROW(
                "<table:table-cell table:number-columns-repeated='99999999999' office:value-type='string'>"
                "<text:p>a</text:p></table:table-cell>")
                ROW(TEXT("1") "<table:table-cell table:number-columns-repeated='16384'/>" TEXT("2"))
                    ROW(TEXT("1") "<table:table-cell table:number-columns-repeated='16384'/>")
                        ROW(TEXT("12345678") TEXT("12345678") TEXT("12345678") TEXT(
                            "1234567")) "<table:table-row "
                                        "table:number-rows-repeated='1048576'><table:table-cell/></table:table-row>"));
    ap_workbook *book = open_book(path, &small);
    CHECK_SHEET(book, 0, want);
    ap_workbook_close(book);
    write_ods(path, AP_STR_LIT("<table:table-row table:number-rows-repeated='1048577'>" TEXT(
                        "1") "</table:table-row>" ROW(TEXT("2"))));
    check_rows_refused(path, NULL, AP_E_LIMIT, "more than 1048576 rows");
    /* A tag of 40 MiB: expat would keep it whole. */
    ap_buf huge;
    ap_buf_init(&huge, 1u << 28);
    ap_buf_append_cstr(&huge, "<table:table-row table:style-name='");
    for (int i = 0; i < 40 * 1024; i++) {
        char fill[1024];
        memset(fill, 'a', sizeof fill);
        ap_buf_append(&huge, fill, sizeof fill);
    }
    ap_buf_append_cstr(&huge, "'/>");
    write_ods(path, ap_buf_str(&huge));
    ap_buf_release(&huge);
    check_open_refused(path, AP_E_LIMIT, "past 32 MiB");
    check_folder_remove(folder);
}

/* Written by libzip itself, deflated. */
static void write_packed(const char *path, ap_str content) {
    int code = 0;
    zip_t *zip = zip_open(path, ZIP_CREATE | ZIP_TRUNCATE, &code);
    assert_non_null(zip);
    zip_source_t *source = zip_source_buffer(zip, content.ptr, content.len, 0);
    assert_true(zip_file_add(zip, "content.xml", source, 0) >= 0);
    assert_int_equal(zip_close(zip), 0);
}

static void test_bombs(void **state) {
    (void)state;
    char folder[256];
    char path[300];
    check_folder_make(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/bomb.ods", folder);
    ap_buf bomb;
    ap_buf_init(&bomb, 1u << 28);
    ap_buf_append_cstr(&bomb, CONTENT_HEAD);
    char blanks[4096];
    memset(blanks, ' ', sizeof blanks);
    for (int i = 0; i < 15 * 1024; i++) { /* 60 MiB of blanks, some 60 KiB packed */
        ap_buf_append(&bomb, blanks, sizeof blanks);
    }
    ap_buf_append_cstr(&bomb, CONTENT_END);
    write_packed(path, ap_buf_str(&bomb));
    ap_buf_release(&bomb);
    check_open_refused(path, AP_E_LIMIT, "times its size");

    stored_zip many;
    stored_zip_init(&many);
    for (int i = 0; i < 4097; i++) {
        char name[32];
        snprintf(name, sizeof name, "part%d.xml", i);
        stored_zip_add(&many, name, AP_STR_LIT(""));
    }
    write_file(path, stored_zip_end(&many));
    stored_zip_release(&many);
    check_open_refused(path, AP_E_LIMIT, "claims 4097 parts");
    check_folder_remove(folder);
}

/* A sheet of 120,000 rows: the peak of memory grows by far less than the sheet (some 24 MiB of XML). */
static void test_memory(void **state) {
    (void)state;
#if AP_TEST_SANITIZED
    print_message("memory of a long sheet: not run (sanitizer)\n");
#else
    char folder[256];
    char path[300];
    check_folder_make(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/long.ods", folder);
    fflush(NULL);
    if (fork() == 0) { /* the file is made in a child, so that its own memory does not count */
        ap_buf rows;
        ap_buf_init(&rows, 1u << 28);
        for (int i = 1; i <= 120000; i++) {
            ap_buf_appendf(&rows,
                           "<table:table-row><table:table-cell office:value-type='float' office:value='%d'/>"
                           "<table:table-cell office:value-type='string'><text:p>note %d</text:p></table:table-cell>"
                           "</table:table-row>",
                           i, i);
        }
        write_ods(path, ap_buf_str(&rows));
        _exit(0);
    }
    struct stat info;
    int status = -1;
    assert_true(wait(&status) > 0 && status == 0);
    assert_int_equal(stat(path, &info), 0);
    assert_true(info.st_size > 20 * 1024 * 1024);
    struct rusage before, after;
    getrusage(RUSAGE_SELF, &before);
    ap_error err;
    ap_error_clear(&err);
    ap_workbook *book = open_book(path, NULL);
    check_ok(ap_workbook_select(book, 0, &err), &err);
    int64_t rows = 0;
    for (bool more = true; more; rows += more) {
        ap_row row;
        check_ok(ap_workbook_next(&row, &more, book, &err), &err);
    }
    getrusage(RUSAGE_SELF, &after);
    assert_int_equal(rows, 120000);
    assert_true(after.ru_maxrss - before.ru_maxrss < 8 * 1024); /* KiB */
    ap_workbook_close(book);
    check_folder_remove(folder);
#endif
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_memory), /* first: the peak of memory only grows */
        cmocka_unit_test(test_xlsx),        cmocka_unit_test(test_strict),         cmocka_unit_test(test_ods),
        cmocka_unit_test(test_suite),       cmocka_unit_test(test_cell_is_number), cmocka_unit_test(test_find_header),
        cmocka_unit_test(test_sheet_names), cmocka_unit_test(test_refusals),       cmocka_unit_test(test_damage),
        cmocka_unit_test(test_limits),      cmocka_unit_test(test_bombs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
