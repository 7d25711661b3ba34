#include "base/settings.h"

static const ap_setting settings[] = {
#define AP_SETTING(name, member, kind, dim, fallback, low, high, words, label, remark)                                 \
    {#name,                                                                                                            \
     #member,                                                                                                          \
     AP_SETTING_##kind,                                                                                                \
     AP_DIM_##dim,                                                                                                     \
     fallback,                                                                                                         \
     low,                                                                                                              \
     high,                                                                                                             \
     words,                                                                                                            \
     label,                                                                                                            \
     remark,                                                                                                           \
     offsetof(ap_settings, member)},
#include "base/settings.def"
#undef AP_SETTING
};

size_t ap_setting_count(void) {
    return sizeof settings / sizeof settings[0];
}

const ap_setting *ap_setting_get(size_t index) {
    return index < ap_setting_count() ? &settings[index] : NULL;
}

const ap_setting *ap_setting_find(ap_str name) {
    for (size_t i = 0; i < ap_setting_count(); i++) {
        if (ap_str_equal_nocase(name, ap_str_from(settings[i].name))) {
            return &settings[i];
        }
    }
    return NULL;
}

/* The number of a word in "us|metric", from 0; 0 when it is none of them. */
static int word_number(const char *words, const char *word) {
    ap_str rest = ap_str_from(words);
    for (int number = 0; rest.ptr; number++) {
        if (ap_str_equal_word(ap_str_split(rest, '|', &rest), word)) {
            return number;
        }
    }
    return 0;
}

/* Fallbacks are ours: "0.75" or "350 lb". The tests hold every one of them to its bounds. */
static double fallback_number(const char *text) {
    char *end = NULL;
    double value = strtod(text, &end);
    ap_unit unit = AP_UNIT_NONE;
    return ap_unit_find(&unit, ap_str_from(end)) ? ap_unit_to_si(unit, value) : value;
}

void ap_settings_defaults(ap_settings *out) {
    memset(out, 0, sizeof *out);
    for (size_t i = 0; i < ap_setting_count(); i++) {
        const ap_setting *setting = &settings[i];
        void *at = (char *)out + setting->offset;
        switch (setting->kind) {
        case AP_SETTING_TEXT:
            snprintf(at, AP_SETTING_TEXT_MAX, "%s", setting->fallback);
            break;
        case AP_SETTING_WORD:
            *(int *)at = word_number(setting->words, setting->fallback);
            break;
        case AP_SETTING_QTY:
        case AP_SETTING_NUMBER:
            *(double *)at = fallback_number(setting->fallback);
            break;
        }
    }
}
