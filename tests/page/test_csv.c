/* RFC 4180, read back by a small reader of its own; formula guard by OWASP "CSV Injection". */
#include "hostile.h"
#include "page_support.h"

enum { CELLS_MAX = 512 };
typedef struct csv {
    ap_arena arena;
    ap_str cells[CELLS_MAX];
    size_t cell_count;
    size_t line_cells[64];
    size_t line_count;
} csv;

static void csv_read(csv *out, ap_str text) {
    memset(out, 0, sizeof *out);
    ap_arena_init(&out->arena, 1u << 20);
    size_t at = 0;
    while (at < text.len) {
        ap_buf cell;
        ap_buf_init(&cell, 1u << 16);
        bool quoted = text.ptr[at] == '"';
        at += quoted;
        for (;;) {
            assert_true(at < text.len); /* every line ends in CR LF */
            char c = text.ptr[at];
            if (quoted && c == '"') {
                if (at + 1 < text.len && text.ptr[at + 1] == '"') {
                    at++;
                } else {
                    at++;
                    break;
                }
            } else if (!quoted && (c == ',' || c == '\r')) {
                break;
            }
            assert_false(!quoted && (c == '"' || c == '\n'));
            ap_buf_append_char(&cell, c);
            at++;
        }
        assert_true(out->cell_count < CELLS_MAX && out->line_count < 64);
        out->cells[out->cell_count++] = ap_arena_str(&out->arena, cell.len ? ap_buf_str(&cell) : S(""));
        out->line_cells[out->line_count]++;
        ap_buf_release(&cell);
        if (text.ptr[at] == '\r') {
            assert_true(at + 1 < text.len && text.ptr[at + 1] == '\n');
            at += 2;
            out->line_count++;
        } else {
            assert_true(text.ptr[at] == ',');
            at++;
        }
    }
}

static void test_units_and_blanks(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    ap_column columns[] = {{S("pick"), S("Pick"), AP_CELL_PICK, AP_DIM_NONE, false, 0},
                           {S("day"), S("Day"), AP_CELL_DATE, AP_DIM_NONE, false, 0},
                           {S("load"), S("Load"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0},
                           {S("radius"), S("Radius"), AP_CELL_QUANTITY, AP_DIM_LENGTH, false, 0},
                           {S("butt"), S("Butt"), AP_CELL_QUANTITY, AP_DIM_LENGTH, true, 0},
                           {S("lean"), S("Lean"), AP_CELL_QUANTITY, AP_DIM_ANGLE, false, 0},
                           {S("tension"), S("Tension"), AP_CELL_QUANTITY, AP_DIM_FORCE, false, 0},
                           {S("density"), S("Density"), AP_CELL_QUANTITY, AP_DIM_DENSITY, false, 0},
                           {S("share"), S("Share"), AP_CELL_PERCENT, AP_DIM_NONE, false, 0},
                           {S("ratio"), S("Ratio"), AP_CELL_RATIO, AP_DIM_NONE, false, 0},
                           {S("picks"), S("Picks"), AP_CELL_COUNT, AP_DIM_NONE, false, 0}};
    ap_table *table = ap_doc_table(p.doc, S("t"), S("T"), columns, 11);
    ap_date day;
    assert_true(ap_date_from_civil(&day, 2026, 10, 14));
    ap_table_row(table);
    ap_table_text(table, S("J1/2"));
    ap_table_date(table, day);
    ap_table_value(table, 4850 * 0.45359237);
    ap_table_value(table, 62.5 * 0.3048);
    ap_table_value(table, 24 * 0.0254);
    ap_table_value(table, -12);
    ap_table_value(table, 1000 * 0.45359237 * 9.80665);
    ap_table_value(table, 63 * 0.45359237 / 0.028316846592);
    ap_table_value(table, 0.184);
    ap_table_value(table, 1.0625);
    ap_table_value(table, 1204);
    ap_table_row(table);
    ap_table_text(table, AP_STR_NONE);
    ap_table_date(table, AP_DATE_NONE);
    ap_table_value(table, (double)NAN);
    check_ok(ap_page_write_csv(&p.sink, p.doc, AP_STR_NONE, &p.err), &p.err);
    check_str(ap_buf_str(&p.buf),
              "pick,day,load_lb,radius_ft,butt_in,lean_deg,tension_lb,density_lb_per_ft3,share_percent,"
              "ratio,picks\r\n"
              "J1/2,2026-10-14,4850,62.5,24,-12,1000,63,18.4,1.0625,1204\r\n"
              ",,,,,,,,,,\r\n");
    page_close(&p);
}

static void test_hostile_cells_read_back(void **state) {
    (void)state;
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        page p;
        page_open(&p, AP_UNITS_METRIC);
        ap_str text = ap_str_from(hostile_texts[i]);
        page_fill(p.doc, text);
        check_ok(ap_page_write_csv(&p.sink, p.doc, AP_STR_NONE, &p.err), &p.err);
        assert_true(ap_utf8_is_valid(ap_buf_str(&p.buf)));
        csv back;
        csv_read(&back, ap_buf_str(&p.buf));
        assert_int_equal(back.line_count, 2);
        assert_int_equal(back.line_cells[0], 4);
        assert_int_equal(back.line_cells[1], 4);
        for (size_t k = 0; k < back.cell_count; k++) {
            ap_str cell = ap_str_trim(back.cells[k]);
            assert_false(cell.len > 0 && strchr("=+-@\t\r", cell.ptr[0]));
            for (size_t b = 0; b < cell.len; b++) {
                unsigned char c = (unsigned char)cell.ptr[b];
                assert_true(c >= 0x20 || c == '\n' || c == '\r' || c == '\t');
            }
        }
        page_close(&p);
        ap_arena_release(&back.arena);
    }
}

static void check_cell(ap_str text, const char *want) {
    page p;
    page_open(&p, AP_UNITS_METRIC);
    ap_column column = {S("text"), S("Text"), AP_CELL_TEXT, AP_DIM_NONE, false, 0};
    ap_table *table = ap_doc_table(p.doc, S("t"), S("T"), &column, 1);
    ap_table_row(table);
    ap_table_text(table, text);
    check_ok(ap_page_write_csv(&p.sink, p.doc, S("t"), &p.err), &p.err);
    ap_buf whole;
    ap_buf_init(&whole, 4096);
    ap_buf_appendf(&whole, "text\r\n%s\r\n", want);
    check_str(ap_buf_str(&p.buf), whole.ptr);
    ap_buf_release(&whole);
    page_close(&p);
}

static void test_guard(void **state) {
    (void)state;
    check_cell(S("=1+1"), "\"'=1+1\"");
    check_cell(S("  =1+1"), "\"'  =1+1\"");
    check_cell(S("+1"), "\"'+1\"");
    check_cell(S("-1"), "-1"); /* a number through and through runs nothing */
    check_cell(S("-33.66"), "-33.66");
    check_cell(S("-1+1"), "\"'-1+1\"");
    check_cell(S("-"), "\"'-\"");
    check_cell(S("-1.2.3"), "\"'-1.2.3\"");
    check_cell(S("-.5"), "\"'-.5\"");
    check_cell(S("--1"), "\"'--1\"");
    check_cell(S(" -1"), "\"' -1\"");
    check_cell(S("@x"), "\"'@x\"");
    check_cell(S("\t=1"), "\"'\t=1\"");
    check_cell(S("＝1"), "\"'＝1\"");
    check_cell(S("a=1"), "a=1");
    check_cell(S("a\r\nb"), "\"a\r\nb\"");
    check_cell(S("say \"x\""), "\"say \"\"x\"\"\"");
    check_cell(S("樫, oak"), "\"樫, oak\"");
    check_cell(S(""), "");
}

/* A number in words of its own: what a person reads on a page is a number in a spreadsheet, and runs nothing there. */
static void test_words_for_a_number(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_METRIC);
    const ap_column column = {.key = S("slope"), .label = S("a year"), .kind = AP_CELL_PERCENT};
    ap_table *table = ap_doc_table(p.doc, S("t"), S(""), &column, 1);
    const struct {
        double value;
        const char *words;
    } cells[] = {{.07, "+7 %"}, {1.5, ">+100 %"}, {(double)NAN, "new"}, {(double)NAN, ""}};
    for (size_t i = 0; i < sizeof cells / sizeof cells[0]; i++) {
        ap_table_row(table);
        ap_table_value_as(table, cells[i].value, ap_str_from(cells[i].words));
    }
    check_ok(ap_page_write_csv(&p.sink, p.doc, AP_STR_NONE, &p.err), &p.err);
    check_str(ap_buf_str(&p.buf), "slope_percent\r\n7\r\n150\r\n\r\n\r\n");
    ap_buf_clear(&p.buf);
    check_ok(ap_page_write_markdown(&p.sink, p.doc, &p.err), &p.err);
    assert_non_null(strstr(p.buf.ptr, "+7 %"));
    assert_non_null(strstr(p.buf.ptr, ">+100 %"));
    assert_null(strstr(p.buf.ptr, "150"));
    page_close(&p);
}

static void test_refusals(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    ap_doc_paragraph(p.doc, S("no table here"));
    check_refused(ap_page_write_csv(&p.sink, p.doc, AP_STR_NONE, &p.err), AP_E_NOT_FOUND, &p.err, "no table");
    check_refused(ap_page_write_csv(&p.sink, p.doc, S("x"), &p.err), AP_E_NOT_FOUND, &p.err, "'x'");
    check_refused(ap_page_write_csv(&p.sink, NULL, S("x"), &p.err), AP_E_MEMORY, &p.err, "memory");
    page_close(&p);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_units_and_blanks),   cmocka_unit_test(test_hostile_cells_read_back),
        cmocka_unit_test(test_words_for_a_number), cmocka_unit_test(test_guard),
        cmocka_unit_test(test_refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
