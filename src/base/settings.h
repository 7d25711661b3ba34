/* The company's settings: one list (settings.def), kept in the book with their history, read into a plain struct. */
#ifndef AP_BASE_SETTINGS_H
#define AP_BASE_SETTINGS_H

#include "base/units.h"

typedef enum ap_setting_kind {
    AP_SETTING_TEXT,  /* char[AP_SETTING_TEXT_MAX] */
    AP_SETTING_WORD,  /* one of `words`, stored as its number from 0 */
    AP_SETTING_QTY,   /* double in SI */
    AP_SETTING_NUMBER /* double */
} ap_setting_kind;

enum { AP_SETTING_TEXT_MAX = 128 };
#define AP_SETTING_CTYPE_TEXT(member) char member[AP_SETTING_TEXT_MAX];
#define AP_SETTING_CTYPE_WORD(member) int member;
#define AP_SETTING_CTYPE_QTY(member) double member;
#define AP_SETTING_CTYPE_NUMBER(member) double member;

typedef struct ap_settings {
#define AP_SETTING(name, member, kind, dim, fallback, low, high, words, label, remark) AP_SETTING_CTYPE_##kind(member)
#include "base/settings.def"
#undef AP_SETTING
} ap_settings;

typedef struct ap_setting {
    const char *name;
    const char *member;
    ap_setting_kind kind;
    ap_dim dim;
    const char *fallback; /* as text with its unit: "350 lb" */
    double low, high;     /* SI bounds of a quantity or number, inclusive */
    const char *words;    /* "us|metric" */
    const char *label;
    const char *remark; /* what it does, where the default comes from */
    size_t offset;
} ap_setting;

size_t ap_setting_count(void);
const ap_setting *ap_setting_get(size_t index);
const ap_setting *ap_setting_find(ap_str name); /* NULL when unknown */
void ap_settings_defaults(ap_settings *out);

#endif
