#include "base/status.h"

#include <errno.h>

/* Cuts a text that did not fit at a whole UTF-8 character, so that a message stays valid text. */
static void cut_at_character(char *text, size_t len) {
    size_t at = len;
    while (at > 0 && len - at < 4 && ((unsigned char)text[at - 1] & 0xC0u) == 0x80u) {
        at--;
    }
    if (at == 0) {
        return;
    }
    unsigned char lead = (unsigned char)text[at - 1];
    size_t want = lead < 0x80u ? 1 : lead >= 0xF0u ? 4 : lead >= 0xE0u ? 3 : lead >= 0xC0u ? 2 : 1;
    if (at - 1 + want > len) {
        text[at - 1] = '\0';
    }
}

static void format_text(char out[AP_ERROR_TEXT_MAX], const char *format, va_list args) AP_PRINTF(2, 0);

static void format_text(char out[AP_ERROR_TEXT_MAX], const char *format, va_list args) {
    int wanted = vsnprintf(out, AP_ERROR_TEXT_MAX, format, args);
    if (wanted < 0) {
        out[0] = '\0';
    } else if (wanted >= AP_ERROR_TEXT_MAX) {
        cut_at_character(out, AP_ERROR_TEXT_MAX - 1);
    }
}

ap_status ap_error_setv(ap_error *err, ap_status code, const char *format, va_list args) {
    if (!err) {
        return code;
    }
    /* Through a buffer of its own: an argument may be the record's old text. */
    char text[AP_ERROR_TEXT_MAX];
    format_text(text, format, args);
    memcpy(err->text, text, sizeof text);
    err->code = code;
    return code;
}

ap_status(ap_error_set)(ap_error *err, ap_status code, const char *format, ...) {
    va_list args;
    va_start(args, format);
    ap_error_setv(err, code, format, args);
    va_end(args);
    return code;
}

ap_status ap_error_wrap(ap_error *err, ap_status code, const char *format, ...) {
    if (!err) {
        return code;
    }
    char front[AP_ERROR_TEXT_MAX];
    va_list args;
    va_start(args, format);
    format_text(front, format, args);
    va_end(args);
    size_t len = strlen(front);
    while (len > 0 && (front[len - 1] == ' ' || front[len - 1] == ':')) {
        len--;
    }
    front[len] = '\0';
    if (err->text[0] == '\0' || len == 0) {
        return ap_error_set(err, code, "%s%s", front, err->text);
    }
    return ap_error_set(err, code, "%s: %s", front, err->text);
}

ap_status ap_error_from_errno(ap_error *err, int saved_errno, const char *verb, const char *subject) {
    ap_status code = saved_errno == ENOMEM ? AP_E_MEMORY : AP_E_IO;
    return ap_error_set(err, code, "unable to %s '%s': %s", verb, subject,
                        saved_errno == 0 ? "unknown reason" : strerror(saved_errno));
}

void ap_error_clear(ap_error *err) {
    if (err) {
        err->code = AP_OK;
        err->text[0] = '\0';
    }
}

int ap_status_exit_code(ap_status status) {
    switch (status) {
    case AP_OK:
        return AP_EXIT_DONE;
    case AP_E_USAGE:
    case AP_E_NOT_FOUND:
    case AP_E_AMBIGUOUS:
        return AP_EXIT_USAGE;
    case AP_E_INPUT:
    case AP_E_DOMAIN:
    case AP_E_BOOK:
        return AP_EXIT_UNUSABLE;
    case AP_E_BUSY:
    case AP_E_LIMIT:
    case AP_E_IO:
    case AP_E_MEMORY:
    case AP_E_CHILD:
    case AP_E_INTERNAL:
        break;
    }
    return AP_EXIT_MACHINE;
}
