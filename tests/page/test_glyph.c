#include "hostile.h"
#include "page/glyph.h"
#include "support/check.h"

static void check_shown(ap_str text, const char *want) {
    ap_buf buf;
    ap_buf_init(&buf, 1u << 16);
    ap_sink sink = ap_sink_to_buf(&buf);
    ap_glyph_put(&sink, text);
    check_str(buf.len ? ap_buf_str(&buf) : AP_STR_LIT(""), want);
    ap_buf_release(&buf);
}

static void test_controls_are_visible(void **state) {
    (void)state;
    check_shown(AP_STR_LIT("a\x1B[31mb"), "a␛[31mb");
    check_shown(AP_STR_LIT("a\0b"), "a␀b");
    check_shown(AP_STR_LIT("a\x7F"), "a␡");
    check_shown(AP_STR_LIT("a\xC2\x9B"), "a‹U+009B›");
    check_shown(AP_STR_LIT("a\r\nb\nc\rd\xE2\x80\xA8"), "a↵ b↵ c↵ d↵ ");
    check_shown(AP_STR_LIT("a\tb"), "a b");
    check_shown(AP_STR_LIT("\xE2\x80\xAE"
                           "a"),
                "‹U+202E›a");
    check_shown(AP_STR_LIT("\xF3\xA0\x81\xA7"), "‹U+E0067›");
    check_shown(AP_STR_LIT("\xF4\x8F\xBF\xBF"), "‹U+10FFFF›");
}

/* One U+FFFD for each byte that starts no valid sequence; well-formed sequences by The Unicode Standard 15, table 3-7. */
static void test_invalid_bytes(void **state) {
    (void)state;
    check_shown(AP_STR_LIT("\xFFz"), "�z");
    check_shown(AP_STR_LIT("\xC0\xAF"), "��");
    check_shown(AP_STR_LIT("\xE0\x80\x80"), "���");
    check_shown(AP_STR_LIT("\xED\xA0\x80"), "���");
    check_shown(AP_STR_LIT("\xF4\x90\x80\x80"), "����");
    check_shown(AP_STR_LIT("\xE2\x82"), "��");
    check_shown(AP_STR_LIT("\xF0\x9F\x8C\xB3"), "🌳");
    check_shown(AP_STR_LIT("\xC3(\x80"), "�(�");
}

/* Every code point that may be written goes through unchanged or visible, and comes out as valid UTF-8. */
static void test_all_code_points(void **state) {
    (void)state;
    for (uint32_t code = 1; code <= 0x10FFFF; code++) {
        char bytes[4];
        size_t len = ap_utf8_put(bytes, code);
        size_t at = 0;
        uint32_t back = ap_utf8_next((ap_str){bytes, len}, &at);
        if (code >= 0xD800 && code <= 0xDFFF) {
            assert_int_equal(back, 0xFFFD);
            continue;
        }
        assert_int_equal(back, code);
        assert_int_equal(at, len);
        ap_glyph glyph;
        at = 0;
        assert_true(ap_glyph_next(&glyph, (ap_str){bytes, len}, &at, AP_GLYPH_SHOW_LINES));
        assert_true(glyph.len > 0 && glyph.len <= sizeof glyph.bytes);
        assert_true(ap_utf8_is_valid((ap_str){glyph.bytes, glyph.len}));
        assert_true((unsigned char)glyph.bytes[0] >= 0x20 && glyph.bytes[0] != 0x7F);
        if (ap_code_is_hidden(code)) {
            assert_true(glyph.width >= 8);
        }
    }
}

/* Widths by UAX #11 East Asian Width and the general category of the Unicode Character Database. */
static void test_widths(void **state) {
    (void)state;
    assert_int_equal(ap_glyph_width(AP_STR_LIT("oak")), 3);
    assert_int_equal(ap_glyph_width(AP_STR_LIT("e\xCC\x81")), 1);
    assert_int_equal(ap_glyph_width(AP_STR_LIT("樫木")), 4);
    assert_int_equal(ap_glyph_width(AP_STR_LIT("🌳")), 2);
    assert_int_equal(ap_glyph_width(AP_STR_LIT("é ß")), 3);
    assert_int_equal(ap_glyph_width(AP_STR_LIT("אלון")), 4);
    assert_int_equal(ap_glyph_width(AP_STR_LIT("\x1B")), 1);
    assert_int_equal(ap_glyph_width(AP_STR_LIT("\xE2\x80\xAE")), 8);
    assert_int_equal(ap_glyph_width(AP_STR_NONE), 0);
    assert_int_equal(ap_code_width(0xFF21), 2); /* full-width A: F */
    assert_int_equal(ap_code_width(0xAC00), 2); /* Hangul syllable: W */
    assert_int_equal(ap_code_width(0x20E3), 0); /* enclosing keycap: Me */
    assert_int_equal(ap_code_width(0x2013), 1); /* en dash: A, narrow outside East Asia */
}

static void test_hostile_texts_come_out_valid(void **state) {
    (void)state;
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        ap_buf buf;
        ap_buf_init(&buf, 1u << 16);
        ap_sink sink = ap_sink_to_buf(&buf);
        ap_glyph_put(&sink, ap_str_from(hostile_texts[i]));
        assert_true(ap_utf8_is_valid(ap_buf_str(&buf)));
        for (size_t k = 0; k < buf.len; k++) {
            assert_true((unsigned char)buf.ptr[k] >= 0x20 && buf.ptr[k] != 0x7F);
        }
        ap_buf_release(&buf);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_controls_are_visible),
        cmocka_unit_test(test_invalid_bytes),
        cmocka_unit_test(test_all_code_points),
        cmocka_unit_test(test_widths),
        cmocka_unit_test(test_hostile_texts_come_out_valid),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
