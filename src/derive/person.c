#include "derive/person.h"

enum { CODE_MAX = 4 };

bool ap_person_is_code(ap_str text) {
    bool digit = false;
    for (size_t i = 0; i < text.len; i++) {
        char c = text.ptr[i];
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        bool number = c >= '0' && c <= '9';
        digit = digit || number;
        if (!letter && !number && c != '-') {
            return false;
        }
    }
    return digit && text.len <= CODE_MAX;
}

void ap_person_label(ap_buf *out, const char *role, ap_str text, bool names, unsigned number) {
    text = ap_str_trim(text);
    if (names || text.len == 0 || ap_person_is_code(text)) {
        ap_buf_append_str(out, text);
    } else if (number) {
        ap_buf_appendf(out, "%s %u", role, number);
    } else {
        ap_buf_append_cstr(out, role);
    }
}
