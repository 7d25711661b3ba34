#include "support/check.h"

#include "base/settings.h"

static const ap_setting *named(const char *name) {
    const ap_setting *setting = ap_setting_find(ap_str_from(name));
    assert_non_null(setting);
    return setting;
}

static void table_is_sound(void **state) {
    (void)state;
    assert_true(ap_setting_count() > 0);
    assert_null(ap_setting_get(ap_setting_count()));
    assert_null(ap_setting_find(AP_STR_LIT("no_such")));
    assert_null(ap_setting_find(AP_STR_NONE));
    for (size_t i = 0; i < ap_setting_count(); i++) {
        const ap_setting *setting = ap_setting_get(i);
        assert_ptr_equal(ap_setting_find(ap_str_from(setting->name)), setting);
        assert_true(strlen(setting->label) > 0 && strlen(setting->remark) > 0);
        assert_true(strlen(setting->fallback) < AP_SETTING_TEXT_MAX);
        assert_int_equal(strlen(setting->words) > 0, setting->kind == AP_SETTING_WORD);
        bool numeric = setting->kind == AP_SETTING_NUMBER || setting->kind == AP_SETTING_QTY;
        assert_true(numeric ? setting->low < setting->high : setting->low == setting->high);
    }
}

/* Every default lies within its own bounds, and every default word is one of its words. */
static void defaults_keep_bounds(void **state) {
    (void)state;
    ap_settings settings;
    memset(&settings, 0x5A, sizeof settings);
    ap_settings_defaults(&settings);
    for (size_t i = 0; i < ap_setting_count(); i++) {
        const ap_setting *setting = ap_setting_get(i);
        const char *at = (const char *)&settings + setting->offset;
        if (setting->kind == AP_SETTING_TEXT) {
            assert_string_equal(at, setting->fallback);
        } else if (setting->kind == AP_SETTING_WORD) {
            ap_str rest = ap_str_from(setting->words);
            ap_str word = AP_STR_NONE;
            for (int n = 0; n <= *(const int *)(const void *)at; n++) {
                word = ap_str_split(rest, '|', &rest);
            }
            check_str(word, setting->fallback);
        } else {
            double value = *(const double *)(const void *)at;
            assert_true(value >= setting->low && value <= setting->high);
        }
    }
}

static void known_defaults(void **state) {
    (void)state;
    ap_settings settings;
    ap_settings_defaults(&settings);
    assert_string_equal(settings.company, "");
    assert_int_equal(settings.ton, 0);        /* ask */
    assert_int_equal(settings.planned_as, 1); /* net */
    check_close(settings.block_weight_kg, 350 * 0.45359237, 1e-10, "350 lb by Handbook 44 App. C");
    check_close(settings.band_watch, 0.75, 0, "settings.def");
    assert_true(settings.band_watch < settings.band_stop);
    assert_true(settings.heavier < settings.surprise);
    assert_int_equal(named("UNITS")->kind, AP_SETTING_WORD);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_is_sound),
        cmocka_unit_test(defaults_keep_bounds),
        cmocka_unit_test(known_defaults),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
