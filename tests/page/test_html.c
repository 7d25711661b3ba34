#include "hostile.h"
#include "page/html_script.h"
#include "page/html_style.h"
#include "page_support.h"

/* A reader of our own HTML: every element closed in order (but for doctype, meta, wbr), every attribute quoted, only names we
 * know. Browsers forgive what this does not. */
typedef struct tags {
    char open[64][16];
    size_t depth;
    size_t count;
} tags;

static const char *const known[] = {
    "html",   "head",   "title",      "style",   "body",    "a",       "header",  "h1",    "p",     "main", "div",
    "nav",    "h2",     "ol",         "ul",      "li",      "section", "h3",      "dl",    "dt",    "dd",   "span",
    "strong", "bdi",    "figure",     "details", "summary", "table",   "caption", "thead", "tbody", "tr",   "th",
    "td",     "footer", "figcaption", "meta",    "wbr",     "svg",     "desc",    "script"};

static bool is_known(const char *name) {
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        if (strcmp(known[i], name) == 0) {
            return true;
        }
    }
    return false;
}

/* Behind a tag's name: ` name="value"` any number of times, then '>'. */
static const char *read_attributes(const char *at) {
    while (*at == ' ') {
        at++;
        size_t name = strspn(at, "abcdefghijklmnopqrstuvwxyz-:B");
        if (strncmp(at, "on", 2) == 0 || name == 0) {
            return NULL;
        }
        at += name;
        if (at[0] != '=' || at[1] != '"') {
            return NULL;
        }
        at += 2;
        size_t value = strcspn(at, "\"<>`");
        at += value;
        if (*at++ != '"') {
            return NULL;
        }
    }
    return *at == '>' ? at + 1 : NULL;
}

static void check_well_formed(const char *html) {
    tags t = {.depth = 0};
    const char *at = html;
    assert_int_equal(strncmp(at, "<!doctype html>\n", 16), 0);
    at += 16;
    while ((at = strchr(at, '<'))) {
        at++;
        bool close = *at == '/';
        at += close;
        char name[16] = {0};
        size_t len = strspn(at, "abcdefghijklmnopqrstuvwxyz123");
        assert_true(len > 0 && len < sizeof name);
        memcpy(name, at, len);
        if (!is_known(name)) {
            fail_msg("element '%s' is not ours", name);
        }
        at = read_attributes(at + len);
        if (!at) {
            fail_msg("an attribute of '%s' is not ours or not quoted", name);
            return;
        }
        t.count++;
        if (close) {
            assert_true(t.depth > 0);
            assert_string_equal(t.open[--t.depth], name);
        } else if (strcmp(name, "meta") != 0 && strcmp(name, "wbr") != 0) {
            assert_true(t.depth < 64);
            memcpy(t.open[t.depth++], name, sizeof name);
        }
    }
    assert_int_equal(t.depth, 0);
    assert_true(t.count > 20);
}

static void test_hostile_texts_stay_text(void **state) {
    (void)state;
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        page p;
        page_open(&p, AP_UNITS_US);
        for (int times = 0; times < 4; times++) { /* four sections make contents */
            page_fill(p.doc, ap_str_from(hostile_texts[i]));
        }
        check_ok(ap_page_write_html(&p.sink, p.doc, &p.err), &p.err);
        assert_true(ap_utf8_is_valid(ap_buf_str(&p.buf)));
        check_well_formed(p.buf.ptr);
        for (size_t k = 0; k < p.buf.len; k++) {
            unsigned char c = (unsigned char)p.buf.ptr[k];
            assert_true((c >= 0x20 || c == '\n') && c != 0x7F);
        }
        assert_has_not(&p, "<script");
        assert_has_not(&p, "<img");
        assert_has_not(&p, "href=\"javascript");
        assert_has_not(&p, "href=\"http");
        assert_has_not(&p, "\xE2\x80\xAE");
        page_close(&p);
    }
}

static void test_head_of_a_page(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_METRIC);
    check_ok(ap_page_write_html(&p.sink, p.doc, &p.err), &p.err);
    check_well_formed(p.buf.ptr);
    assert_has(&p, "<html lang=\"en\"");
    assert_has(&p, "default-src 'none'; style-src 'sha256-");
    assert_has(&p, "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">");
    assert_has(&p, "<a class=\"skip\" href=\"#main\">");
    assert_has(&p, "<main id=\"main\">");
    assert_has(&p, "<h1>Title</h1>");
    assert_has(&p, "<dd>x.book</dd>");
    assert_has(&p, "<dd>metric (kg, m, cm)</dd>");
    assert_has(&p, "<dd>month/day</dd>");
    assert_has_not(&p, "<nav"); /* nothing to list */
    assert_has_not(&p, "http://");
    assert_has_not(&p, "https://");
    page_close(&p);
}

static void test_escapes(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    ap_doc_paragraph(p.doc, S("a<b & \"c\" 'd' `e` \x1B[1m 10 %\nnext\xFF"));
    ap_column columns[] = {{S("t"), S("T"), AP_CELL_TEXT, AP_DIM_NONE, false, 0}};
    ap_table *table = ap_doc_table(p.doc, S("t"), S("C"), columns, 1);
    ap_table_row(table);
    ap_table_text(table, S("אלון 17"));
    ap_table_row(table);
    ap_table_text(table, S("abcdefghijklmnopqrstuvwxyz"));
    check_ok(ap_page_write_html(&p.sink, p.doc, &p.err), &p.err);
    assert_has(&p, "<p>a&lt;b &amp; &quot;c&quot; &#39;d&#39; &#96;e&#96; ␛[1m 10&nbsp;%↵ next\xEF\xBF\xBD</p>");
    assert_has(&p, "<bdi>אלון 17</bdi>");
    assert_has(&p, "abcdefghijklmnopqr<wbr>stuvwxyz");
    page_close(&p);
}

static void test_table(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    ap_column columns[] = {{S("pick"), S("Pick"), AP_CELL_PICK, AP_DIM_NONE, false, 0},
                           {S("load"), S("Load"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0},
                           {S("radius"), S("Radius"), AP_CELL_QUANTITY, AP_DIM_LENGTH, false, 0},
                           {S("used"), S("Used"), AP_CELL_PERCENT, AP_DIM_NONE, false, 1}};
    ap_table *table = ap_doc_table(p.doc, S("over"), S("Over chart"), columns, 4);
    ap_table_has_marks(table);
    ap_table_row(table);
    ap_table_text(table, S("J1/2"));
    ap_table_value(table, 4850 * 0.45359237);
    ap_table_value(table, 18.5 * 0.3048);
    ap_table_value(table, 1.042);
    ap_table_row_mark(table, S("over chart"));
    ap_table_row_id(table, S("J1/2"));
    ap_table_row(table);
    ap_doc_pick_page(p.doc, S("J1/2"), S("#j1-2"));
    check_ok(ap_page_write_html(&p.sink, p.doc, &p.err), &p.err);
    check_well_formed(p.buf.ptr);
    assert_has(&p, "<table id=\"over\">\n<caption id=\"over-caption\">Over chart</caption>");
    assert_has(&p, "<th scope=\"col\" class=\"number\">Load <span class=\"unit\">(lb)</span></th>");
    assert_has(&p, "<th scope=\"col\" class=\"number\">Radius</th>");
    assert_has(
        &p,
        "<tr id=\"j1-2\" class=\"marked\"><th scope=\"row\" class=\"text word\"><a class=\"pick\" "
        "href=\"#j1-2\">J1/2</a> <span class=\"mark\"><span aria-hidden=\"true\">▲</span> over chart</span></th>"
        "<td class=\"number\">4,850</td><td class=\"number\">18 ft 6 in</td><td class=\"number\">104.2 %</td></tr>");
    assert_has(&p, "<td class=\"number\"><span class=\"none\">—</span></td>");
    page_close(&p);
}

static void test_structure(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    ap_doc_section(p.doc, 3, S("First One"), S("A")); /* raised: no level is skipped */
    ap_doc_page_break(p.doc);
    ap_doc_section(p.doc, 2, S("x"), S("B"));
    ap_doc_section(p.doc, 3, S("x"), S("B1"));
    ap_doc_section(p.doc, 2, S("x"), S("C"));
    ap_doc_section(p.doc, 2, S("d"), S("D")); /* four: with fewer there is no list of them */
    ap_doc_figure(p.doc, S("f"), S("Figure"), S("Words."), AP_STR_NONE, S("no gnuplot"));
    ap_doc_figure(p.doc, S("g"), S("Figure"), S("Words."), S("<svg role=\"img\"></svg>"), AP_STR_NONE);
    ap_doc_working_begin(p.doc, AP_STR_NONE);
    ap_doc_paragraph(p.doc, S("inside"));
    ap_doc_working_end(p.doc);
    check_ok(ap_page_write_html(&p.sink, p.doc, &p.err), &p.err);
    check_well_formed(p.buf.ptr);
    assert_has(&p, "<h2 id=\"first-one-heading\">A</h2>");
    assert_has(&p, "<li><a href=\"#first-one\">A</a></li>\n<li><a href=\"#x\">B</a></li>\n<li><a "
                   "href=\"#x-3\">C</a></li>\n<li><a href=\"#d\">D</a></li>");
    assert_has(&p, "<h3 id=\"x-2\">B1</h3>");
    assert_has(&p, "<p class=\"missing\">Figure not drawn: no gnuplot</p>");
    assert_has(&p, "<svg role=\"img\"></svg>");
    assert_has(&p, "<details><summary>How this was worked out</summary>\n<p>inside</p>\n</details>");
    page_close(&p);
}

/* A table of sentences becomes cards on a phone and on paper: each cell then says what it is, a blank one stays away. */
static void test_cards(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    const char *const keys[] = {"no", "detector", "says", "chance", "ask"};
    ap_column columns[6] = {{S("last"), S("last on"), AP_CELL_DATE, AP_DIM_NONE, false, 0}};
    for (int i = 0; i < 5; i++) {
        columns[i + 1] = (ap_column){ap_str_from(keys[i]), ap_str_from(keys[i]), AP_CELL_TEXT, AP_DIM_NONE, false, 0};
    }
    ap_table *table = ap_doc_table(p.doc, S("t"), S("C"), columns, 6);
    ap_table_row(table);
    ap_table_date(table, AP_DATE_NONE);
    ap_table_text(table, S("1"));
    ap_table_text(table, S("Over chart"));
    ap_table_text(table, S("Hook load 4,586 lb at set-down was 109 % of rated capacity."));
    ap_table_text(table, AP_STR_NONE);
    ap_table_text(table, S("When was it known, and what would have had to be different?"));
    check_ok(ap_page_write_html(&p.sink, p.doc, &p.err), &p.err);
    check_well_formed(p.buf.ptr);
    assert_has(&p, "<table id=\"t\" class=\"cards\">");
    assert_has(&p, "<td class=\"date blank\" data-label=\"last on\">");
    assert_has(&p, "<td class=\"text word\" data-label=\"no\">1</td>");
    assert_has(&p, "<td class=\"text short title\">Over chart</td>");
    assert_has(&p, "<td class=\"text long\">Hook load");
    assert_has(&p, "<td class=\"text word blank\" data-label=\"chance\">");
    assert_has(&p, "<td class=\"text long\" data-label=\"ask\">When");
    page_close(&p);
}

/* A hyphen before a number, behind a blank or a bracket, is a minus sign; a date, a word and a lone hyphen are none. */
static void test_minus(void **state) {
    (void)state;
    page p;
    page_open(&p, AP_UNITS_US);
    ap_doc_paragraph(p.doc, S("average -2 % (-6 % to +1 %), 2026-10-05, half-hitch, a - b, -x"));
    check_ok(ap_page_write_html(&p.sink, p.doc, &p.err), &p.err);
    assert_has(&p, "average \xE2\x88\x92"
                   "2&nbsp;% (\xE2\x88\x92"
                   "6&nbsp;% to +1&nbsp;%), 2026-10-05, half-hitch, a - b, -x<");
    page_close(&p);
}

/* Three rows or more make a table that sorts: the script and its hash are there, once; with fewer they are not. */
static void test_sorted_table(void **state) {
    (void)state;
    for (int rows = 2; rows <= 3; rows++) {
        page p;
        page_open(&p, AP_UNITS_US);
        ap_column columns[] = {{S("crew"), S("Crew"), AP_CELL_TEXT, AP_DIM_NONE, false, 0},
                               {S("load"), S("Load"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0}};
        ap_table *table = ap_doc_table(p.doc, S("t"), S("C"), columns, 2);
        for (int i = 0; i < rows; i++) {
            ap_table_row(table);
            ap_table_text(table, S("A"));
            ap_table_value(table, i ? 1000.5 : (double)NAN);
        }
        char hash[AP_HTML_HASH_SIZE];
        ap_html_hash(hash, ap_html_script);
        check_ok(ap_page_write_html(&p.sink, p.doc, &p.err), &p.err);
        if (rows == 3) {
            assert_has(&p, hash);
            assert_has(&p, "<table id=\"t\" class=\"sorts\">");
            assert_has(&p, "<th scope=\"col\" class=\"text word\" data-filter=\"\">Crew</th>");
            assert_has(&p, "<td class=\"number\" data-value=\"1000.5\">2,206</td>");
            assert_has(&p, "<td class=\"number\"><span class=\"none\">");
            const char *script = strstr(p.buf.ptr, "<script>");
            assert_non_null(script);
            assert_null(strstr(script + 1, "<script"));
        } else {
            assert_has_not(&p, "<script");
            assert_has_not(&p, "script-src");
            assert_has_not(&p, "data-value");
        }
        page_close(&p);
    }
}

/* The page is read up to the first "</script": nothing in the script may end it, nor open a comment. */
static void test_script_stays_inside(void **state) {
    (void)state;
    for (const char *const *part = ap_html_script; *part; part++) {
        assert_null(strstr(*part, "</"));
        assert_null(strstr(*part, "<!--"));
        assert_null(strstr(*part, "innerHTML"));
        assert_null(strstr(*part, ".style"));
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_hostile_texts_stay_text),
        cmocka_unit_test(test_head_of_a_page),
        cmocka_unit_test(test_escapes),
        cmocka_unit_test(test_table),
        cmocka_unit_test(test_structure),
        cmocka_unit_test(test_cards),
        cmocka_unit_test(test_minus),
        cmocka_unit_test(test_sorted_table),
        cmocka_unit_test(test_script_stays_inside),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
