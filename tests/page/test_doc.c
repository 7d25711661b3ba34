#include "page/doc_node.h"
#include "page_support.h"

static void test_addresses(void **state) {
    (void)state;
    static const char *const fine[] = {"../up.html", "a.html", "writeups/J231-17.html", "#trend", "a/b.html#x_1"};
    static const char *const refused[] = {"",
                                          "/etc/passwd",
                                          "//example.invalid/x",
                                          "http://example.invalid",
                                          "javascript:alert(1)",
                                          "../../up.html",
                                          "..",
                                          "../",
                                          ".../x",
                                          "a/../b",
                                          "a//b",
                                          "a b",
                                          "a\"b",
                                          "a?x=1",
                                          "a%2e",
                                          "\xC3\xA9.html"};
    for (size_t i = 0; i < sizeof fine / sizeof fine[0]; i++) {
        assert_true(ap_doc_href_allowed(ap_str_from(fine[i])));
    }
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        assert_false(ap_doc_href_allowed(ap_str_from(refused[i])));
    }
    assert_false(ap_doc_href_allowed(S("a\0b")));
}

static void test_ids(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    check_str(ap_doc_make_id(p.doc, S("trend")), "trend");
    check_str(ap_doc_make_id(p.doc, S("trend")), "trend-2");
    check_str(ap_doc_make_id(p.doc, S("trend-2")), "trend-2-2");
    check_str(ap_doc_make_id(p.doc, S("Red Oak \"x\"")), "red-oak--x-");
    check_str(ap_doc_make_id(p.doc, S("")), "part");
    check_str(ap_doc_make_id(p.doc, S("17/2")), "p17-2"); /* begins with a letter */
    check_str(ap_doc_make_id(p.doc, S("<b>")), "p-b-");
    assert_true(ap_doc_make_id(p.doc, S("0123456789012345678901234567890123456789012345678901234567890123456789")).len <
                64);
    page_close(&p);
}

static void test_pick_pages(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    for (int i = 0; i < 5000; i++) {
        ap_doc_pick_page(p.doc, ap_doc_printf(p.doc, "J%d/1", i), ap_doc_printf(p.doc, "picks/%d.html", i));
    }
    check_str(ap_doc_pick_href(p.doc, S("J4321/1")), "picks/4321.html");
    assert_null(ap_doc_pick_href(p.doc, S("J5001/1")).ptr);
    assert_null(ap_doc_pick_href(p.doc, AP_STR_NONE).ptr);
    ap_doc_pick_page(p.doc, S("bad"), S("javascript:x"));
    assert_null(ap_doc_pick_href(p.doc, S("bad")).ptr);
    page_close(&p);
}

/* Whatever allocation fails while a document is built, no writer writes and each says why. */
static void test_out_of_memory(void **state) {
    (void)state;
    size_t refused = 0;
    for (size_t max = 0; max < 1u << 16; max += 512) {
        ap_arena arena;
        ap_arena_init(&arena, max);
        ap_doc_head head = {.title = S("T")};
        ap_doc *doc = ap_doc_new(&arena, &head);
        page_fill(doc, S("a text that takes some room in the arena"));
        ap_buf buf;
        ap_buf_init(&buf, 1u << 20);
        ap_sink sink = ap_sink_to_buf(&buf);
        ap_error err;
        ap_error_clear(&err);
        if (!doc || arena.failed) {
            refused++;
            assert_int_not_equal(ap_page_write_html(&sink, doc, &err), AP_OK);
            assert_true(err.text[0] != '\0');
            assert_int_not_equal(ap_page_write_markdown(&sink, doc, &err), AP_OK);
            assert_int_not_equal(ap_page_write_text(&sink, doc, 80, false, &err), AP_OK);
            assert_int_not_equal(ap_page_write_csv(&sink, doc, AP_STR_NONE, &err), AP_OK);
            assert_int_equal(buf.len, 0);
        } else {
            check_ok(ap_page_write_html(&sink, doc, &err), &err);
        }
        ap_buf_release(&buf);
        ap_arena_release(&arena);
    }
    assert_true(refused > 0 && refused < 128);
}

/* A sink that fails makes the writer fail. */
static void test_full_sink(void **state) {
    (void)state;
    for (size_t max = 1; max < 4000; max += 400) {
        page p;
        page_open(&p, AP_UNITS_US);
        page_fill(p.doc, S("text"));
        ap_buf small;
        ap_buf_init(&small, max);
        for (int writer = 0; writer < 3; writer++) {
            ap_sink sink = ap_sink_to_buf(&small);
            ap_status status = writer == 0   ? ap_page_write_html(&sink, p.doc, &p.err)
                               : writer == 1 ? ap_page_write_markdown(&sink, p.doc, &p.err)
                                             : ap_page_write_text(&sink, p.doc, 80, false, &p.err);
            if (writer == 0 || max < 400) {
                assert_int_not_equal(status, AP_OK);
            }
        }
        ap_buf_release(&small);
        page_close(&p);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_addresses),     cmocka_unit_test(test_ids),       cmocka_unit_test(test_pick_pages),
        cmocka_unit_test(test_out_of_memory), cmocka_unit_test(test_full_sink),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
