/* What the Markdown writer escapes is judged by a CommonMark parser (libcmark): a hostile text must come out as text. */
#include <cmark.h>

#include "hostile.h"
#include "page/glyph.h"
#include "page_support.h"

static void check_only_text(ap_str markdown) {
    cmark_node *root = cmark_parse_document(markdown.ptr, markdown.len, CMARK_OPT_DEFAULT);
    cmark_iter *iter = cmark_iter_new(root);
    size_t headings = 0;
    for (cmark_event_type event = cmark_iter_next(iter); event != CMARK_EVENT_DONE; event = cmark_iter_next(iter)) {
        cmark_node *node = cmark_iter_get_node(iter);
        switch (cmark_node_get_type(node)) {
        case CMARK_NODE_HTML_BLOCK:
        case CMARK_NODE_HTML_INLINE:
        case CMARK_NODE_LINK:
        case CMARK_NODE_IMAGE:
        case CMARK_NODE_CODE:
        case CMARK_NODE_CODE_BLOCK:
            fail_msg("a %s in:\n%.*s", cmark_node_get_type_string(node), AP_STR_ARG(markdown));
            break;
        case CMARK_NODE_HEADING:
            headings += event == CMARK_EVENT_ENTER;
            break;
        case CMARK_NODE_LIST:
            assert_int_equal(cmark_node_get_list_type(node), CMARK_BULLET_LIST);
            break;
        default:
            break;
        }
    }
    assert_int_equal(headings, 2); /* the title and the one section */
    cmark_iter_free(iter);
    cmark_node_free(root);
}

/* The text content of a document that holds nothing but the given paragraph. */
static void check_paragraph_text(ap_str text) {
    page p;
    page_open(&p, AP_UNITS_US);
    ap_doc_paragraph(p.doc, text);
    check_ok(ap_page_write_markdown(&p.sink, p.doc, &p.err), &p.err);
    ap_buf shown;
    ap_buf_init(&shown, 1u << 16);
    ap_sink sink = ap_sink_to_buf(&shown);
    ap_glyph_put(&sink, ap_str_trim(text));
    cmark_node *root = cmark_parse_document(p.buf.ptr, p.buf.len, CMARK_OPT_DEFAULT);
    cmark_node *node = cmark_node_next(cmark_node_next(cmark_node_first_child(root))); /* behind title and subtitle */
    assert_int_equal(cmark_node_get_type(node), CMARK_NODE_PARAGRAPH);
    char *plain = cmark_render_xml(node, CMARK_OPT_DEFAULT);
    ap_buf got;
    ap_buf_init(&got, 1u << 16);
    for (cmark_node *part = cmark_node_first_child(node); part; part = cmark_node_next(part)) {
        if (cmark_node_get_type(part) != CMARK_NODE_TEXT) {
            fail_msg("not only text: %s", plain);
        }
        ap_buf_append_cstr(&got, cmark_node_get_literal(part));
    }
    check_str(ap_str_trim(ap_buf_str(&got)), ap_str_trim(ap_buf_str(&shown)).ptr ? shown.ptr : "");
    free(plain);
    ap_buf_release(&got);
    ap_buf_release(&shown);
    cmark_node_free(root);
    page_close(&p);
}

static void test_hostile_texts_stay_text(void **state) {
    (void)state;
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        page p;
        page_open(&p, AP_UNITS_US);
        page_fill(p.doc, ap_str_from(hostile_texts[i]));
        check_ok(ap_page_write_markdown(&p.sink, p.doc, &p.err), &p.err);
        assert_true(ap_utf8_is_valid(ap_buf_str(&p.buf)));
        check_only_text(ap_buf_str(&p.buf));
        /* Every line of the table keeps its number of cells. */
        ap_str rest = ap_buf_str(&p.buf);
        size_t lines = 0;
        while (rest.ptr) {
            ap_str line = ap_str_split(rest, '\n', &rest);
            size_t bars = 0;
            for (size_t k = 0; k < line.len; k++) {
                bars += line.ptr[k] == '|' && (k == 0 || line.ptr[k - 1] != '\\');
            }
            if (line.len > 0 && line.ptr[0] == '|') {
                assert_int_equal(bars, 5);
                lines++;
            } else {
                assert_int_equal(bars, 0);
            }
        }
        assert_int_equal(lines, 3);
        page_close(&p);
    }
}

static void test_texts_read_back(void **state) {
    (void)state;
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        check_paragraph_text(ap_str_from(hostile_texts[i]));
    }
}

static void test_layout(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    ap_column columns[] = {{S("pick"), S("Pick"), AP_CELL_PICK, AP_DIM_NONE, false, 0},
                           {S("load"), S("Load"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0}};
    ap_doc_section(p.doc, 2, S("error"), S("Estimate error"));
    ap_doc_answer(p.doc, S("Plans ran lighter."));
    ap_doc_alert(p.doc, S("over chart"), S("J1/2"), S("by 4 %."));
    ap_doc_alert(p.doc, S("moved"), AP_STR_NONE, S("twice."));
    ap_doc_figure(p.doc, S("parity"), S("Parity"), S("Dots."), S("<svg></svg>"), AP_STR_NONE);
    ap_table *table = ap_doc_table(p.doc, S("t"), S("Caption"), columns, 2);
    ap_table_row(table);
    ap_table_text(table, S("J1/2"));
    ap_table_value(table, 4850 * 0.45359237);
    ap_table_row(table);
    ap_doc_link(p.doc, S("More"), S("more.html"));
    ap_doc_link(p.doc, S("Bad"), S("javascript:x"));
    ap_doc_pick_page(p.doc, S("J1/2"), S("picks/J1-2.html"));
    check_ok(ap_page_write_markdown(&p.sink, p.doc, &p.err), &p.err);
    assert_has(&p, "# Title\n\nSubtitle\n\n## Estimate error\n\n**Plans ran lighter.**\n\n"
                   "- ▲ **over chart** [J1/2](picks/J1-2.html): by 4 %.\n- ▲ **moved** twice.\n\n"
                   "![Parity](figures/parity.svg)\n\nDots.\n\n**Caption**\n\n"
                   "| Pick | Load (lb) |\n| --- | ---: |\n| [J1/2](picks/J1-2.html) | 4,850 |\n| — | — |\n\n"
                   "[More](more.html)\n\nBad\n\n");
    assert_has(&p, "- Units: US (lb, ft, in)\n");
    page_close(&p);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_hostile_texts_stay_text),
        cmocka_unit_test(test_texts_read_back),
        cmocka_unit_test(test_layout),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
