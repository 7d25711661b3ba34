/* The style of a page: readable colours, and the hash that the page's policy names.
 *
 * Contrast: W3C, Web Content Accessibility Guidelines 2.2, "relative luminance" and "contrast ratio"; success criteria 1.4.3
 * (text: 4.5) and 1.4.11 (parts that carry a meaning: 3). */
#include "page/html_style.h"
#include "page_support.h"

static double luminance(const char *hex) {
    char *end = NULL;
    unsigned long rgb = strtoul(hex, &end, 16);
    assert_true(end == hex + 6);
    double sum = 0;
    static const double weight[] = {0.2126, 0.7152, 0.0722};
    for (int i = 0; i < 3; i++) {
        double c = (double)(rgb >> (16 - 8 * i) & 255) / 255;
        sum += weight[i] * (c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

static double contrast(const char *a, const char *b) {
    double x = luminance(a);
    double y = luminance(b);
    return x > y ? (x + 0.05) / (y + 0.05) : (y + 0.05) / (x + 0.05);
}

/* The six digits of "--name:#rrggbb" in the light list (0) or the dark one (1). */
static const char *colour(ap_str style, const char *name, int list) {
    char want[64];
    snprintf(want, sizeof want, "--%s:#", name);
    const char *at = style.ptr;
    for (int i = 0; i <= list; i++) {
        at = strstr(at, want);
        if (!at) {
            fail_msg("no colour %s in list %d", want, list);
            return "";
        }
        at += strlen(want);
    }
    static char digits[4][7];
    static int turn;
    turn = (turn + 1) % 4;
    memcpy(digits[turn], at, 6);
    return digits[turn];
}

static void join(ap_buf *buf) {
    ap_buf_init(buf, 1u << 16);
    for (const char *const *part = ap_html_style; *part; part++) {
        ap_buf_append_cstr(buf, *part);
    }
}

static void test_the_formula(void **state) {
    (void)state;
    check_close(contrast("000000", "ffffff"), 21, 1e-12, "WCAG 2.2, contrast ratio: 21 for black on white");
    check_close(contrast("777777", "ffffff"), 4.48, 0.005, "W3C Understanding SC 1.4.3: #777777 on white is 4.47:1");
}

static void test_contrast(void **state) {
    (void)state;
    static const struct {
        const char *text, *back;
        double least;
    } pairs[] = {{"ink", "paper", 4.5},      {"ink", "panel", 4.5},        {"ink", "stripe", 4.5},
                 {"quiet", "paper", 4.5},    {"quiet", "panel", 4.5},      {"quiet", "stripe", 4.5},
                 {"link", "paper", 4.5},     {"link", "alert-back", 4.5},  {"link", "stripe", 4.5},
                 {"alert", "paper", 4.5},    {"alert", "stripe", 4.5},     {"alert", "alert-back", 4.5},
                 {"ink", "alert-back", 4.5}, {"ink", "caution-back", 4.5}, {"caution", "caution-back", 4.5}};
    ap_buf style;
    join(&style);
    for (int list = 0; list < 2; list++) {
        for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
            double got = contrast(colour(ap_buf_str(&style), pairs[i].text, list),
                                  colour(ap_buf_str(&style), pairs[i].back, list));
            if (got < pairs[i].least) {
                fail_msg("%s on %s in list %d: %.2f, least %.1f (WCAG 2.2)", pairs[i].text, pairs[i].back, list, got,
                         pairs[i].least);
            }
        }
    }
    /* Eleven colours a list; past the lists only the plate of the figures (2) and paper (3) name a colour. */
    size_t hexes = 0;
    for (const char *at = style.ptr; (at = strchr(at, '#')); at++) {
        hexes++;
    }
    assert_int_equal(hexes, 2 * 11 + 5);
    ap_buf_release(&style);
}

static void test_hash(void **state) {
    (void)state;
    char hash[AP_HTML_HASH_SIZE];
    /* FIPS 180-4 example (NIST CSRC, "SHA256.pdf"): "abc" -> ba7816bf 8f01cfea 414140de 5dae2223 b00361a3 96177a9c b410ff61 f20015ad;
     * in base64 (RFC 4648). */
    static const char *const abc[] = {"a", "bc", NULL};
    ap_html_hash(hash, abc);
    assert_string_equal(hash, "sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
    page p;
    page_open(&p, AP_UNITS_US);
    check_ok(ap_page_write_html(&p.sink, p.doc, &p.err), &p.err);
    char *from = strstr(p.buf.ptr, "<style>");
    char *to = strstr(p.buf.ptr, "</style>");
    assert_true(from && to);
    *to = '\0';
    const char *inside[] = {from + 7, NULL};
    ap_html_hash(hash, inside);
    assert_true(page_has(&p, hash));
    assert_null(strstr(from, "url("));
    assert_null(strstr(from, "@import"));
    page_close(&p);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_formula),
        cmocka_unit_test(test_contrast),
        cmocka_unit_test(test_hash),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
