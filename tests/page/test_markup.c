/* A person's Markdown as a page: what is typed is shown, nothing acts (K1 to K5). */
#include "support/check.h"

#include "page/markup.h"

static const ap_doc_head head = {.title = {"Write-up", 8}, .version = {"test", 4}};

typedef struct page {
    ap_buf text;
} page;

static const char *render(page *out, const char *markdown, const ap_markup_figure *figures, size_t count) {
    ap_error err;
    ap_buf_init(&out->text, 64u << 20);
    ap_sink sink = ap_sink_to_buf(&out->text);
    check_ok(ap_page_write_markup(&sink, &head, ap_str_from(markdown), figures, count, &err), &err);
    const char *main = strstr(out->text.ptr, "<main");
    assert_non_null(main);
    return main;
}

static void expect(const char *markdown, const char *holds) {
    page it;
    const char *main = render(&it, markdown, NULL, 0);
    if (!strstr(main, holds)) {
        fail_msg("'%s' is not in:\n%s", holds, main);
    }
    ap_buf_release(&it.text);
}

static void expect_not(const char *markdown, const char *lacks) {
    page it;
    const char *main = render(&it, markdown, NULL, 0);
    if (strstr(main, lacks)) {
        fail_msg("'%s' is in:\n%s", lacks, main);
    }
    ap_buf_release(&it.text);
}

static void takes_the_title_and_opens_sections(void **state) {
    (void)state;
    page it;
    render(&it, "# Near *miss*: J1/2\n\n## What happened\n\nThe butt came up.\n\n## Actions\n\n- one\n", NULL, 0);
    assert_non_null(strstr(it.text.ptr, "<title>Near miss: J1/2</title>"));
    assert_non_null(strstr(it.text.ptr, "<h1>Near miss: J1/2</h1>"));
    assert_non_null(strstr(it.text.ptr, "<section><h2>What happened</h2>"));
    assert_non_null(strstr(it.text.ptr, "</section>\n<section><h2>Actions</h2>"));
    ap_buf_release(&it.text);
}

static void shows_typed_html_as_text(void **state) {
    (void)state;
    expect("<script>alert(1)</script>\n", "&lt;script&gt;alert(1)");
    expect("He said <b>stop</b>.\n", "&lt;b&gt;stop&lt;/b&gt;");
    expect_not("<!-- a prompt -->\n\ntext\n", "prompt");
    expect_not("text <!-- a prompt --> more\n", "prompt");
    expect_not("[click](javascript:alert(1))\n", "javascript:");
    expect_not("text\n\n<img src=x onerror=alert(1)>\n", "<img");
}

static void asks_for_no_picture_from_elsewhere(void **state) {
    (void)state;
    expect_not("![a photo](http://example.org/x.png)\n", "<img");
    expect("![a photo](http://example.org/x.png)\n", "a photo (picture not shown: http://example.org/x.png)");
    expect_not("see ![a photo](figures/side.svg) here\n", "<img");
    /* The same inside a cell of a table. */
    expect_not("| a |\n| --- |\n| ![p](http://example.org/p.png) |\n", "<img");
    expect("| a |\n| --- |\n| ![p](http://example.org/p.png) |\n", "(picture not shown: http://example.org/p.png)");
    expect("| a |\n| --- |\n| say <b>stop</b> |\n", "&lt;b&gt;stop&lt;/b&gt;");
}

static void puts_its_own_figures_in(void **state) {
    (void)state;
    const ap_markup_figure figure = {.href = AP_STR_LIT("figures/side.svg"),
                                     .title = AP_STR_LIT("Side view"),
                                     .description = AP_STR_LIT("before & after"),
                                     .svg = AP_STR_LIT("<svg id=\"side\"></svg>")};
    page it;
    const char *main = render(&it, "![x](figures/side.svg)\n\nand ![y](figures/side.svg) inline\n", &figure, 1);
    assert_non_null(strstr(main, "<svg id=\"side\"></svg>"));
    assert_non_null(strstr(main, "before &amp; after"));
    assert_null(strstr(main, "<img"));
    assert_null(strstr(strstr(main, "<svg") + 1, "<svg")); /* once */
    ap_buf_release(&it.text);
}

static void makes_tables_of_pipe_lines(void **state) {
    (void)state;
    expect("| pick | share |\n| --- | ---: |\n| J1/2 | **91 %** |\n",
           "<th scope=\"col\" class=\"text\">pick</th><th scope=\"col\" class=\"number\">share</th>");
    expect("| pick | share |\n| --- | ---: |\n| J1/2 | **91 %** |\n",
           "<td class=\"number\"><strong>91 %</strong></td>");
    expect("| a\\|b | c |\n| --- | --- |\n| <i>x</i> | - y |\n", "<th scope=\"col\" class=\"text\">a|b</th>");
    expect("| a | c |\n| --- | --- |\n| q | - y |\n", "<td class=\"text\">- y</td>");
    expect_not("| a | c |\n| --- | --- |\n| <script>x</script> | y |\n", "<script>");
    expect("| not | a table |\n| no dashes |\n", "<p>| not | a table |");
    expect("| a | b |\n| --- | --- |\n| one cell |\n", "<p>| a | b |");
}

static void shows_what_hides(void **state) {
    (void)state;
    expect("left \xE2\x80\xAE thgir\n", "U+202E");
    expect("bell \a here\n", "\xE2\x90\x87"); /* the picture of BEL */
}

static void bears_anything(void **state) {
    (void)state;
    static const char *const odd[] = {
        "",     "|",          "| |\n| |\n", "#",       "```\n<script>\n",    "![",
        "[a]:", "\xFF\xFE\n", "***",        "> > > >", "| --- |\n| --- |\n", "|\\\n|\\|\n"};
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        expect_not(odd[i], "<script>");
    }
}

/* Many lines of tables: the time grows with the text, not with its square (this took minutes when each line was looked
 * for from the start). */
static void takes_a_long_table(void **state) {
    (void)state;
    ap_buf text;
    page it;
    ap_buf_init(&text, 4u << 20);
    ap_buf_append_cstr(&text, "| a | b |\n| --- | --- |\n");
    for (int i = 0; i < 60000; i++) {
        ap_buf_append_cstr(&text, "| 1 | 2 |\n");
    }
    const char *main = render(&it, text.ptr, NULL, 0);
    assert_non_null(strstr(main, "<tbody>"));
    ap_buf_release(&it.text);
    ap_buf_release(&text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(takes_the_title_and_opens_sections),
        cmocka_unit_test(shows_typed_html_as_text),
        cmocka_unit_test(asks_for_no_picture_from_elsewhere),
        cmocka_unit_test(puts_its_own_figures_in),
        cmocka_unit_test(makes_tables_of_pipe_lines),
        cmocka_unit_test(shows_what_hides),
        cmocka_unit_test(bears_anything),
        cmocka_unit_test(takes_a_long_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
