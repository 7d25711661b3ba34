/* A document, written to a buffer, for the tests of the writers. */
#ifndef AP_TESTS_PAGE_SUPPORT_H
#define AP_TESTS_PAGE_SUPPORT_H

#include "page/write.h"
#include "support/check.h"

#define S(literal) AP_STR_LIT(literal)

typedef struct page {
    ap_arena arena;
    ap_doc *doc;
    ap_buf buf;
    ap_sink sink;
    ap_error err;
} page;

static inline void page_open(page *p, ap_unit_system units) {
    ap_arena_init(&p->arena, 16u << 20);
    ap_doc_head head = {S("Title"),     S("Subtitle"),   S("x.book"), S("2026-10"), S("0.1.0"),
                        S("month/day"), S("2026-11-02"), units,       false,        false};
    p->doc = ap_doc_new(&p->arena, &head);
    assert_non_null(p->doc);
    ap_buf_init(&p->buf, 16u << 20);
    p->sink = ap_sink_to_buf(&p->buf);
    ap_error_clear(&p->err);
}

static inline void page_close(page *p) {
    ap_buf_release(&p->buf);
    ap_arena_release(&p->arena);
}

static inline bool page_has(const page *p, const char *text) {
    return p->buf.len > 0 && strstr(p->buf.ptr, text) != NULL;
}

#define assert_has(p, text)                                                                                            \
    do {                                                                                                               \
        if (!page_has((p), (text))) {                                                                                  \
            fail_msg("'%s' is not in:\n%.6000s", (text), (p)->buf.len ? (p)->buf.ptr : "");                            \
        }                                                                                                              \
    } while (0)
#define assert_has_not(p, text)                                                                                        \
    do {                                                                                                               \
        if (page_has((p), (text))) {                                                                                   \
            fail_msg("'%s' is in:\n%.6000s", (text), (p)->buf.ptr);                                                    \
        }                                                                                                              \
    } while (0)

/* The text in every place of a document that takes one. */
static inline void page_fill(ap_doc *doc, ap_str text) {
    ap_column columns[] = {{text, text, AP_CELL_PICK, AP_DIM_NONE, false, 0},
                           {S("text"), text, AP_CELL_TEXT, AP_DIM_NONE, false, 0},
                           {S("weight"), S("Weight"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0}};
    ap_doc_section(doc, 2, text, text);
    ap_doc_answer(doc, text);
    ap_doc_paragraph(doc, text);
    ap_doc_caution(doc, text);
    ap_doc_list_item(doc, text);
    ap_doc_alert(doc, text, text, text);
    ap_doc_tile(doc, text, text, text);
    ap_doc_link(doc, text, text);
    ap_doc_figure(doc, text, text, text, AP_STR_NONE, text);
    ap_doc_working_begin(doc, text);
    ap_table *table = ap_doc_table(doc, text, text, columns, 3);
    ap_table_has_marks(table);
    ap_table_row(table);
    ap_table_text(table, text);
    ap_table_text(table, text);
    ap_table_value(table, 100);
    ap_table_row_mark(table, text);
    ap_table_row_id(table, text);
    table = ap_doc_table(doc, text, text, columns, 3);
    ap_table_empty(table, text);
    ap_doc_working_end(doc);
    ap_doc_pick_page(doc, text, text);
}

#endif
