#include "hostile.h"
#include "page/glyph.h"
#include "page/plain.h"
#include "page_support.h"

static size_t widest_line(ap_str text) {
    size_t most = 0;
    ap_str rest = text;
    while (rest.ptr) {
        size_t width = ap_glyph_width(ap_str_split(rest, '\n', &rest));
        most = width > most ? width : most;
    }
    return most;
}

static void test_hostile_texts(void **state) {
    (void)state;
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        for (int width = 0; width <= 200; width += 100) {
            page p;
            page_open(&p, AP_UNITS_US);
            page_fill(p.doc, ap_str_from(hostile_texts[i]));
            check_ok(ap_page_write_text(&p.sink, p.doc, width, false, &p.err), &p.err);
            assert_true(ap_utf8_is_valid(ap_buf_str(&p.buf)));
            for (size_t k = 0; k < p.buf.len; k++) {
                unsigned char c = (unsigned char)p.buf.ptr[k];
                assert_true((c >= 0x20 || c == '\n') && c != 0x7F);
            }
            size_t room = width < 80 ? 80 : (size_t)width;
            if (widest_line(ap_buf_str(&p.buf)) > room) {
                fail_msg("text %zu: a line of %zu columns, room for %zu:\n%s", i, widest_line(ap_buf_str(&p.buf)), room,
                         p.buf.ptr);
            }
            page_close(&p);
        }
    }
}

/* Wrapping loses nothing: without blanks and line ends, what went in comes out. */
static void test_nothing_is_dropped(void **state) {
    (void)state;
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        page p;
        page_open(&p, AP_UNITS_US);
        ap_doc_paragraph(p.doc, ap_str_from(hostile_texts[i]));
        check_ok(ap_page_write_text(&p.sink, p.doc, 80, false, &p.err), &p.err);
        ap_buf got;
        ap_buf want;
        ap_buf_init(&got, 1u << 16);
        ap_buf_init(&want, 1u << 16);
        const char *body = strstr(p.buf.ptr, "Subtitle\n\n");
        assert_non_null(body);
        for (const char *c = body + 10; *c; c++) {
            if (*c != ' ' && *c != '\n') {
                ap_buf_append_char(&got, *c);
            }
        }
        ap_glyph glyph;
        ap_str text = ap_str_from(hostile_texts[i]);
        for (size_t at = 0; ap_glyph_next(&glyph, text, &at, AP_GLYPH_SHOW_LINES);) {
            for (size_t k = 0; k < glyph.len; k++) {
                if (glyph.bytes[k] != ' ') {
                    ap_buf_append_char(&want, glyph.bytes[k]);
                }
            }
        }
        check_str(ap_buf_str(&got), want.ptr);
        ap_buf_release(&got);
        ap_buf_release(&want);
        page_close(&p);
    }
}

static void check_lines(const char *text, size_t width, const char *first, const char *second) {
    ap_str rest = ap_str_from(text);
    ap_str line = AP_STR_NONE;
    assert_true(ap_plain_take_line(&line, &rest, width));
    check_str(line, first);
    assert_true(ap_plain_take_line(&line, &rest, width));
    check_str(line, second);
}

/* A word wider than all there is breaks behind its hyphen; elsewhere a hyphen is no place to break. */
static void test_hyphens(void **state) {
    (void)state;
    check_lines("yellow-poplar", 12, "yellow-", "poplar");
    check_lines("yellowpoplar-", 12, "yellowpoplar", "-");
    check_lines("say --fail-on", 10, "say", "--fail-on");
    check_lines("-1234567890", 8, "-1234567", "890");
}

static void test_table_layout(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    ap_column columns[] = {{S("species"), S("Species"), AP_CELL_TEXT, AP_DIM_NONE, false, 0},
                           {S("picks"), S("Picks"), AP_CELL_COUNT, AP_DIM_NONE, false, 0},
                           {S("load"), S("Load"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0}};
    ap_table *table = ap_doc_table(p.doc, S("t"), S("By species"), columns, 3);
    ap_table_has_marks(table);
    ap_table_row(table);
    ap_table_text(table, S("red oak"));
    ap_table_value(table, 1204);
    ap_table_value(table, 4850 * 0.45359237);
    ap_table_row(table);
    ap_table_text(table, S("樫"));
    ap_table_value(table, 3);
    ap_table_value(table, (double)NAN);
    ap_table_row_mark(table, S("look"));
    check_ok(ap_page_write_text(&p.sink, p.doc, 80, false, &p.err), &p.err);
    assert_has(&p, "By species\n"
                   "Species  Picks  Load (lb)  mark\n"
                   "-------  -----  ---------  ----\n"
                   "red oak  1,204      4,850\n"
                   "樫           3          —  look\n");
    page_close(&p);
}

static void test_wide_tables(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    ap_column columns[14];
    for (size_t i = 0; i < 14; i++) {
        columns[i] = (ap_column){S("c"), ap_doc_printf(p.doc, "Column %zu", i), AP_CELL_COUNT, AP_DIM_NONE, false, 0};
    }
    columns[0].kind = AP_CELL_TEXT;
    ap_table *table = ap_doc_table(p.doc, S("t"), S("Wide"), columns, 14);
    ap_table_row(table);
    ap_table_text(table, S("a long text that must be wrapped somewhere and must not be lost"));
    for (int i = 1; i < 14; i++) {
        ap_table_value(table, 1000000.0 * i);
    }
    check_ok(ap_page_write_text(&p.sink, p.doc, 80, false, &p.err), &p.err);
    assert_true(widest_line(ap_buf_str(&p.buf)) <= 80);
    for (int i = 1; i < 14; i++) {
        char want[32];
        snprintf(want, sizeof want, "%d,000,000", i);
        assert_has(&p, want); /* a number is never broken */
    }
    assert_has(&p, "Column 13: 13,000,000");
    page_close(&p);
}

static void test_colour_only_adds(void **state) {
    (void)state;
    page plain;
    page colour;
    page_open(&plain, AP_UNITS_US);
    page_open(&colour, AP_UNITS_US);
    page_fill(plain.doc, S("over chart"));
    page_fill(colour.doc, S("over chart"));
    check_ok(ap_page_write_text(&plain.sink, plain.doc, 80, false, &plain.err), &plain.err);
    check_ok(ap_page_write_text(&colour.sink, colour.doc, 80, true, &colour.err), &colour.err);
    ap_buf stripped;
    ap_buf_init(&stripped, 1u << 16);
    for (const char *c = colour.buf.ptr; *c; c++) {
        if (*c == '\033') {
            c = strchr(c, 'm');
            continue;
        }
        ap_buf_append_char(&stripped, *c);
    }
    check_str(ap_buf_str(&stripped), plain.buf.ptr);
    assert_true(colour.buf.len > plain.buf.len);
    ap_buf_release(&stripped);
    page_close(&plain);
    page_close(&colour);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_hostile_texts),    cmocka_unit_test(test_nothing_is_dropped),
        cmocka_unit_test(test_table_layout),     cmocka_unit_test(test_wide_tables),
        cmocka_unit_test(test_colour_only_adds), cmocka_unit_test(test_hyphens),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
