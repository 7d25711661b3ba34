/* Text on its way in (cleaning) and drawings on their way out (inlining), without gnuplot. */
#include "figures.h"

#define HEAD                                                                                                           \
    "<?xml version=\"1.0\"?>\n<!DOCTYPE svg PUBLIC \"x\" \"y\">\n<svg width=\"4\" viewBox=\"0 0 4 3\" "                \
    "xmlns=\"http://www.w3.org/2000/svg\">"

static ap_status inline_svg(ap_buf *out, const char *svg, ap_error *err) {
    ap_error_clear(err);
    ap_buf_init(out, 1u << 20);
    return ap_svg_inline(out, ap_str_from(svg), AP_STR_LIT("fig"), AP_STR_LIT("T"), AP_STR_LIT("D"), err);
}

static void test_inline_rewrites(void **state) {
    (void)state;
    ap_buf out;
    ap_error err;
    check_ok(inline_svg(&out,
                        HEAD "<title>Gnuplot</title><desc>made by</desc>\n\n<defs><circle id='p' r = \"1\"/></defs>"
                             "<g id=\"g\"><title>cmd</title><use xlink:href='#p'/><path fill='url(#h)' d='M 0,0'/>"
                             "<text>a &amp; b</text></g></svg>\n",
                        &err),
             &err);
    check_str(ap_buf_str(&out), "<svg xmlns=\"http://www.w3.org/2000/svg\" "
                                "xmlns:xlink=\"http://www.w3.org/1999/xlink\" viewBox=\"0 0 4 3\" width=\"100%\" "
                                "role=\"img\" aria-labelledby=\"fig-title fig-desc\" "
                                "font-family=\"sans-serif\">\n<title id=\"fig-title\">T</title>\n"
                                "<desc id=\"fig-desc\">D</desc>\n<defs><circle id=\"fig-p\" r=\"1\"/></defs><g "
                                "id=\"fig-g\"><use xlink:href=\"#fig-p\"/>"
                                "<path fill=\"url(#fig-h)\" d=\"M 0,0\"/><text>a &amp; b</text></g></svg>\n");
    ap_buf_release(&out);
}

/* S1, S4 */
static void test_inline_refuses(void **state) {
    (void)state;
    static const struct {
        const char *svg;
        const char *says;
    } cases[] = {
        {HEAD "<script>x</script></svg>", "does not draw"},
        {HEAD "<SCRIPT/></svg>", "does not draw"},
        {HEAD "<foreignObject/></svg>", "does not draw"},
        {HEAD "<image xlink:href='#a'/></svg>", "does not draw"},
        {HEAD "<a xlink:href='#a'/></svg>", "does not draw"},
        {HEAD "<style>x</style></svg>", "does not draw"},
        {HEAD "<g onload='x'/></svg>", "event handler"},
        {HEAD "<g ONCLICK='x'/></svg>", "event handler"},
        {HEAD "<use xlink:href='http://x/#p'/></svg>", "outside"},
        {HEAD "<use href='data:x'/></svg>", "outside"},
        {HEAD "<g fill='url(http://x)'/></svg>", "outside"},
        {HEAD "<g fill='url( #a)'/></svg>", "outside"},
        {HEAD "<g fill='a\"b'/></svg>", "broken attribute"},
        {HEAD "<g fill='a<b'/></svg>", "broken attribute"},
        {HEAD "<text>&copy;</text></svg>", "entity"},
        {HEAD "<text>&</text></svg>", "entity"},
        {HEAD "<text>\x01</text></svg>", "control"},
        {HEAD "words</svg>", "text outside"},
        {HEAD "<g></svg>", "broken tag"},
        {HEAD "</g></svg>", "broken tag"},
        {HEAD "<g", "broken tag"},
        {HEAD "<g a", "broken tag"},
        {HEAD "<g a='", "broken tag"},
        {HEAD "<g a=b/></svg>", "broken tag"},
        {HEAD "<![CDATA[x]]></svg>", "does not draw"},
        {HEAD, "no end"},
        {HEAD "</svg><g/>", "outside of its frame"},
        {HEAD "</svg>" HEAD "</svg>", ""},
        {"<svg></svg>", "no frame"},
        {"<svg viewBox='a'></svg>", "not numbers"},
        {"<g/>", "outside of its frame"},
        {"", "no end"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        ap_buf out;
        ap_error err;
        ap_status status = inline_svg(&out, cases[i].svg, &err);
        if (status != AP_E_CHILD) {
            fail_msg("taken: %s", cases[i].svg);
        }
        check_refused(status, AP_E_CHILD, &err, cases[i].says);
        ap_buf_release(&out);
    }
}

/* Any prefix and any single changed byte of a good drawing either passes or is refused, and never more than that. */
static void test_inline_survives(void **state) {
    (void)state;
    const char *good =
        HEAD "<defs><circle id='p' r='1'/></defs><g id='g'><use xlink:href='#p'/><text>a &#65; b</text></g></svg>\n";
    size_t len = strlen(good);
    char *copy = malloc(len + 1);
    assert_non_null(copy);
    static const char bytes[] = {'<', '>', '"', '\'', '&', '/', '\0', ' ', 'x', (char)0xFF};
    size_t refused = 0;
    for (size_t i = 0; i <= len; i++) {
        for (size_t k = 0; k <= sizeof bytes; k++) {
            memcpy(copy, good, len + 1);
            size_t size = k == sizeof bytes ? i : len;
            if (k < sizeof bytes && i < len) {
                copy[i] = bytes[k];
            }
            char *exact = malloc(size ? size : 1); /* so that asan sees a read past the end */
            assert_non_null(exact);
            memcpy(exact, copy, size);
            ap_buf out;
            ap_buf_init(&out, 1u << 16);
            ap_error err;
            ap_error_clear(&err);
            ap_status status =
                ap_svg_inline(&out, (ap_str){exact, size}, AP_STR_LIT("f"), AP_STR_NONE, AP_STR_NONE, &err);
            assert_true(status == AP_OK || status == AP_E_CHILD);
            refused += status != AP_OK;
            ap_buf_release(&out);
            free(exact);
        }
    }
    assert_true(refused > len);
    free(copy);
}

static void check_clean(const char *text, size_t len, ap_figure_quoting quoting, const char *want) {
    ap_buf out;
    ap_buf_init(&out, 1u << 20);
    ap_figure_clean(&out, (ap_str){text, len}, quoting, 20);
    check_str(ap_buf_str(&out), want);
    ap_buf_release(&out);
}

static void test_clean_cases(void **state) {
    (void)state;
    check_clean("'it's", 5, AP_FIGURE_QUOTED, "\xe2\x80\x99it\xe2\x80\x99s");
    check_clean("a\"b", 3, AP_FIGURE_QUOTED,
                "a\xe2\x80\x9d"
                "b");
    check_clean("a\\", 2, AP_FIGURE_QUOTED, "a\xe2\x88\x96");
    check_clean("a\nb\0c", 5, AP_FIGURE_QUOTED, "a b c");
    check_clean("<&>\"'", 5, AP_FIGURE_XML, "&lt;&amp;&gt;&quot;'");
    check_clean("\xc3\xa9", 2, AP_FIGURE_XML, "\xc3\xa9");
    check_clean("\xc3", 1, AP_FIGURE_XML, "\xef\xbf\xbd");
    /* Overlong, surrogate, past U+10FFFF: RFC 3629 section 3, one replacement a byte. */
    check_clean("\xc0\xaf", 2, AP_FIGURE_XML, "\xef\xbf\xbd\xef\xbf\xbd");
    check_clean("\xed\xa0\x80", 3, AP_FIGURE_XML, "\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd");
    check_clean("\xf4\x90\x80\x80", 4, AP_FIGURE_XML, "\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd");
    check_clean("123456789012345678901", 21, AP_FIGURE_XML, "12345678901234567890\xe2\x80\xa6");
    check_clean("12345678901234567890", 20, AP_FIGURE_XML, "12345678901234567890");
    check_clean("a\xe2\x80\xae"
                "b",
                5, AP_FIGURE_XML, "a b");
    check_clean(NULL, 0, AP_FIGURE_XML, "");
}

/* For any bytes: valid UTF-8, one line, and neither a backslash nor any quote. */
static void test_clean_property(void **state) {
    (void)state;
    uint64_t seed = 20261001;
    for (size_t round = 0; round < 20000; round++) {
        char text[64];
        seed = seed * 6364136223846793005u + 1442695040888963407u;
        size_t len = (size_t)(seed >> 59);
        for (size_t i = 0; i < len; i++) {
            seed = seed * 6364136223846793005u + 1442695040888963407u;
            static const char sharp[] = "'\"\\\n`$@{}%#\x01\xe2\x80\xae\xc3";
            unsigned pick = (unsigned)(seed >> 40);
            text[i] = pick % 3 ? sharp[(pick >> 8) % (sizeof sharp - 1)] : (char)(pick >> 16);
        }
        ap_buf out;
        ap_buf_init(&out, 4096);
        ap_figure_clean(&out, (ap_str){text, len}, AP_FIGURE_QUOTED, 400);
        ap_str got = ap_buf_str(&out);
        assert_true(got.len == 0 || ap_utf8_is_valid(got));
        for (size_t i = 0; i < got.len; i++) {
            assert_true((unsigned char)got.ptr[i] >= 0x20 && !strchr("\\\"'", got.ptr[i]));
        }
        ap_buf_release(&out);
    }
}

static void expect_shrunk(const char *from, const char *to) {
    ap_buf out;
    ap_buf_init(&out, 1u << 16);
    ap_svg_shrink(&out, ap_str_from(from), AP_STR_LIT("fig"));
    assert_int_equal(out.status, AP_OK);
    check_str(ap_buf_str(&out), to);
    ap_buf_release(&out);
}

#define MARK(symbol, place, look)                                                                                      \
    "<use xlink:href=\"#fig-gpPt" symbol "\" transform=\"translate(" place ") scale(2.19)\"" look "/>\n"
#define BLUE " color=\"rgb(  0, 114, 178)\" opacity=\"0.87\""

/* K1: every mark keeps its place, kinds their order; one alone stays a mark. */
static void test_shrink_marks(void **state) {
    (void)state;
    expect_shrunk(
        "<svg>\n<defs>\n</defs>\n" MARK("6", "1.00,2.00", BLUE) MARK("8", "9.00,9.00", "")
            MARK("6", "3.50,4.00", BLUE) "<path d=\"M1,1\"/></g>\n</svg>\n",
        "<svg>\n<defs>\n</defs>\n<marker id=\"fig-m0\" markerUnits=\"userSpaceOnUse\" overflow=\"visible\">"
        "<use xlink:href=\"#fig-gpPt6\" transform=\"scale(2.19)\" color=\"#0072b2\" opacity=\"0.87\"/></marker>\n"
        "<path fill=\"none\" stroke=\"none\" marker-start=\"url(#fig-m0)\" marker-mid=\"url(#fig-m0)\" "
        "marker-end=\"url(#fig-m0)\" d=\"M1.00,2.00 3.50,4.00\"/>\n" MARK("8", "9.00,9.00",
                                                                          "") "<path d=\"M1,1\"/></g>\n</svg>\n");
}

/* K2: what a person wrote is not touched, also when it looks like an attribute. */
static void test_shrink_text(void **state) {
    (void)state;
    static const char *const texts[] = {"<text>a =\"rgb( 1, 2, 3)\" stroke-linecap=\"butt\"</text>\n",
                                        "<title id=\"t\">x class=\"gridline\"</title>\n",
                                        "<desc id=\"d\">\"rgb(1,2,3)\"</desc>\n"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        expect_shrunk(texts[i], texts[i]);
    }
    expect_shrunk("<g transform=\"translate(1,2)\" fill=\"rgb( 26,  26, 255)\" "
                  "font-family=\"sans-serif\">\n<text>a</text>\n</g>\n",
                  "<g transform=\"translate(1,2)\" fill=\"#1a1aff\">\n<text>a</text>\n</g>\n");
    expect_shrunk("<path stroke=\"rgb(1,2,999)\"/>\n", "<path stroke=\"rgb(1,2,999)\"/>\n");
}

/* K3: a symbol that a used one is made of stays; an empty group goes, one around something does not. */
static void test_shrink_unused(void **state) {
    (void)state;
    expect_shrunk(
        "<defs>\n<path id=\"fig-gpPt4\"/>\n<circle id=\"fig-gpPt5\"/>\n<use xlink:href=\"#fig-gpPt5\" "
        "id=\"fig-gpPt6\"/>\n"
        "<filter id=\"fig-textbox\" x=\"0\">\n<feFlood/>\n</filter>\n</defs>\n<g a=\"1\">\n</g>\n<g b=\"1\">\n" MARK(
            "6", "1,2", "") "</g>\n",
        "<defs>\n<circle id=\"fig-gpPt5\"/>\n<use xlink:href=\"#fig-gpPt5\" id=\"fig-gpPt6\"/>\n</defs>\n<g "
        "b=\"1\">\n" MARK("6", "1,2", "") "</g>\n");
    static const char *const used = "<defs>\n<filter id=\"fig-textbox\" x=\"0\">\n<feFlood/>\n</filter>\n</defs>\n<g "
                                    "filter=\"url(#fig-textbox)\">\n<text>b</text>\n</g>\n";
    expect_shrunk(used, used);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_inline_rewrites), cmocka_unit_test(test_inline_refuses),
        cmocka_unit_test(test_inline_survives), cmocka_unit_test(test_clean_cases),
        cmocka_unit_test(test_clean_property),  cmocka_unit_test(test_shrink_marks),
        cmocka_unit_test(test_shrink_text),     cmocka_unit_test(test_shrink_unused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
