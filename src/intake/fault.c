#include "intake/fault.h"

void ap_fault_clear(ap_fault *fault) {
    fault->count = 0;
    fault->column = 0;
    fault->field = AP_STR_NONE;
    fault->text_len = 0;
    fault->reason[0] = '\0';
    fault->remedy[0] = '\0';
}

ap_str ap_str_shortened(ap_str text, size_t most) {
    if (text.len <= most) {
        return text;
    }
    size_t len = most;
    while (len > 0 && ((unsigned char)text.ptr[len] & 0xc0) == 0x80) {
        len--;
    }
    return (ap_str){text.ptr, len};
}

void ap_fault_quote(char out[AP_QUOTED_SIZE], ap_str text) {
    const ap_str shown = ap_str_shortened(text, AP_QUOTED_SIZE - 8);
    snprintf(out, AP_QUOTED_SIZE, "'%.*s%s'", AP_STR_ARG(shown), shown.len < text.len ? "..." : "");
    for (char *at = out; *at; at++) {
        *at = (unsigned char)*at < 0x20 || *at == 0x7f ? ' ' : *at;
    }
}

void ap_fault_add(ap_fault *fault, int column, ap_str field, ap_str text, const char *remedy, const char *reason, ...) {
    char why[AP_FAULT_REASON_MAX / 2];
    va_list args;
    va_start(args, reason);
    vsnprintf(why, sizeof why, reason, args);
    va_end(args);
    if (fault->count++ == 0) {
        const ap_str shown = ap_str_shortened(text, sizeof fault->text);
        fault->column = column;
        fault->field = field;
        fault->text_len = shown.len;
        if (shown.len) {
            memcpy(fault->text, shown.ptr, shown.len);
        }
        snprintf(fault->reason, sizeof fault->reason, "%s", why);
        snprintf(fault->remedy, sizeof fault->remedy, "%s", remedy);
        return;
    }
    const size_t used = strlen(fault->reason);
    const size_t room = sizeof fault->reason - used;
    const int need = snprintf(NULL, 0, "; also %.*s %s", AP_STR_ARG(field), why);
    if (need > 0 && (size_t)need < room) { /* else the count still tells that there is more */
        snprintf(fault->reason + used, room, "; also %.*s %s", AP_STR_ARG(field), why);
    }
}
