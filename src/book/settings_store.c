#include "book/settings_store.h"

#include "book/handle.h"

/* The number of a word in "us|metric", from 0; -1 when it is none of them. */
static int word_number(const char *words, ap_str word) {
    ap_str rest = ap_str_from(words);
    for (int number = 0; rest.ptr; number++) {
        if (ap_str_equal_nocase(ap_str_split(rest, '|', &rest), word)) {
            return number;
        }
    }
    return -1;
}

/* A stored row that no longer fits its setting keeps the built-in value. */
static void take(ap_settings *out, const ap_setting *setting, ap_str value, double si) {
    void *at = (char *)out + setting->offset;
    switch (setting->kind) {
    case AP_SETTING_TEXT:
        snprintf(at, AP_SETTING_TEXT_MAX, "%.*s", AP_STR_ARG(value));
        break;
    case AP_SETTING_WORD: {
        int number = word_number(setting->words, value);
        if (number >= 0) {
            *(int *)at = number;
        }
        break;
    }
    case AP_SETTING_QTY:
    case AP_SETTING_NUMBER:
        if (isfinite(si)) {
            *(double *)at = si;
        }
        break;
    }
}

ap_status ap_book_settings_read(ap_settings *out, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_settings_defaults(out);
    ap_status status = ap_query_open(&query, book, "setting_list", err);
    if (status == AP_OK) {
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row) {
        const ap_setting *setting = ap_setting_find(ap_query_text(query, 0));
        if (setting) {
            take(out, setting, ap_query_text(query, 1), ap_query_real(query, 2));
        }
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_status check_value(const ap_setting *setting, ap_str value, double si, ap_error *err) {
    switch (setting->kind) {
    case AP_SETTING_TEXT:
        if (value.len >= AP_SETTING_TEXT_MAX) {
            return ap_error_set(err, AP_E_INPUT, "%s may be at most %d bytes long", setting->name,
                                AP_SETTING_TEXT_MAX - 1);
        }
        return ap_utf8_is_valid(value) ? AP_OK : ap_error_set(err, AP_E_INPUT, "%s is not valid UTF-8", setting->name);
    case AP_SETTING_WORD:
        if (word_number(setting->words, value) < 0) {
            return ap_error_set(err, AP_E_INPUT, "%s '%.*s' is none of %s", setting->name, AP_STR_ARG(value),
                                setting->words);
        }
        return AP_OK;
    case AP_SETTING_QTY:
    case AP_SETTING_NUMBER:
        break;
    }
    if (!isfinite(si) || si < setting->low || si > setting->high) {
        static const char *const inside[AP_DIM_COUNT] = {
            [AP_DIM_LENGTH] = " m", [AP_DIM_LOAD] = " kg", [AP_DIM_ANGLE] = " deg"};
        const char *unit = inside[setting->dim] ? inside[setting->dim] : "";
        return ap_error_set(err, AP_E_INPUT, "%s '%.*s' must be from %g%s to %g%s", setting->name, AP_STR_ARG(value),
                            setting->low, unit, setting->high, unit);
    }
    return AP_OK;
}

static ap_status keep_history(ap_book *book, const ap_setting *setting, ap_str value, ap_str why,
                              const ap_book_author *author, ap_error *err) {
    ap_query *old = NULL;
    ap_query *history = NULL;
    bool row = false;
    ap_status status = ap_query_open(&old, book, "setting_get", err);
    if (status == AP_OK) {
        ap_query_bind_text(old, ":name", ap_str_from(setting->name));
        status = ap_query_step(&row, old, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&history, book, "setting_history_insert", err);
    }
    if (status == AP_OK) {
        ap_query_bind_text(history, ":name", ap_str_from(setting->name));
        ap_query_bind_text(history, ":old_value", row ? ap_query_text(old, 0) : AP_STR_NONE);
        ap_query_bind_text(history, ":new_value", value);
        ap_query_bind_date(history, ":today", author->today);
        ap_query_bind_text(history, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
        ap_query_bind_text(history, ":why", why);
        status = ap_query_run(history, err);
    }
    ap_query_close(history);
    ap_query_close(old);
    return status;
}

ap_status ap_book_setting_change(ap_book *book, const ap_setting *setting, ap_str value, double si, ap_str why,
                                 const ap_book_author *author, ap_error *err) {
    ap_query *query = NULL;
    bool number = setting->kind == AP_SETTING_QTY || setting->kind == AP_SETTING_NUMBER;
    value = value.ptr ? value : AP_STR_LIT("");
    why = why.ptr ? why : AP_STR_LIT("");
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = check_value(setting, value, si, err);
    }
    if (status == AP_OK) {
        status = keep_history(book, setting, value, why, author, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "setting_put", err);
    }
    if (status == AP_OK) {
        ap_query_bind_text(query, ":name", ap_str_from(setting->name));
        ap_query_bind_text(query, ":value", value);
        ap_query_bind_real(query, ":si", number ? si : (double)NAN);
        ap_query_bind_date(query, ":today", author->today);
        ap_query_bind_text(query, ":who", author->role.ptr ? author->role : AP_STR_LIT(""));
        ap_query_bind_text(query, ":why", why);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}
