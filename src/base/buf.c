#include "base/str.h"

void ap_buf_init(ap_buf *buf, size_t max) {
    *buf = (ap_buf){.max = max};
}

void ap_buf_release(ap_buf *buf) {
    free(buf->ptr);
    *buf = (ap_buf){.max = buf->max};
}

void ap_buf_clear(ap_buf *buf) {
    buf->len = 0;
    buf->status = AP_OK;
    if (buf->ptr) {
        buf->ptr[0] = '\0';
    }
}

/* Room for `more` bytes and the NUL behind them. */
static bool reserve(ap_buf *buf, size_t more) {
    if (buf->status != AP_OK) {
        return false;
    }
    if (more > buf->max - buf->len || buf->max == SIZE_MAX) {
        buf->status = AP_E_LIMIT;
        return false;
    }
    size_t need = buf->len + more + 1;
    if (need <= buf->cap) {
        return true;
    }
    size_t cap = buf->cap < 64 ? 64 : buf->cap;
    while (cap < need) {
        cap = cap > SIZE_MAX / 2 ? need : cap * 2;
    }
    cap = cap > buf->max + 1 ? buf->max + 1 : cap;
    char *grown = realloc(buf->ptr, cap);
    if (!grown) {
        buf->status = AP_E_MEMORY;
        return false;
    }
    buf->ptr = grown;
    buf->cap = cap;
    return true;
}

void ap_buf_append(ap_buf *buf, const void *bytes, size_t len) {
    if (len == 0 || !reserve(buf, len)) {
        return;
    }
    memcpy(buf->ptr + buf->len, bytes, len);
    buf->len += len;
    buf->ptr[buf->len] = '\0';
}

void ap_buf_append_str(ap_buf *buf, ap_str str) {
    ap_buf_append(buf, str.ptr, str.len);
}

void ap_buf_append_cstr(ap_buf *buf, const char *cstr) {
    ap_buf_append_str(buf, ap_str_from(cstr));
}

void ap_buf_append_char(ap_buf *buf, char byte) {
    ap_buf_append(buf, &byte, 1);
}

void ap_buf_appendf(ap_buf *buf, const char *format, ...) {
    va_list args;
    va_start(args, format);
    ap_buf_appendv(buf, format, args);
    va_end(args);
}

void ap_buf_appendv(ap_buf *buf, const char *format, va_list args) {
    if (buf->status != AP_OK) {
        return;
    }
    char few[256];
    va_list again;
    va_copy(again, args);
    int wanted = vsnprintf(few, sizeof few, format, args);
    if (wanted < 0) {
        buf->status = AP_E_INTERNAL;
    } else if ((size_t)wanted < sizeof few) {
        ap_buf_append(buf, few, (size_t)wanted);
    } else if (reserve(buf, (size_t)wanted)) {
        vsnprintf(buf->ptr + buf->len, (size_t)wanted + 1, format, again);
        buf->len += (size_t)wanted;
    }
    va_end(again);
}

ap_str ap_buf_str(const ap_buf *buf) {
    return (ap_str){buf->ptr, buf->len};
}

ap_status ap_buf_check(const ap_buf *buf, const char *what, ap_error *err) {
    switch (buf->status) {
    case AP_OK:
        return AP_OK;
    case AP_E_LIMIT:
        return ap_error_set(err, AP_E_LIMIT, "%s is longer than its limit of %zu bytes", what, buf->max);
    case AP_E_MEMORY:
        return ap_error_set(err, AP_E_MEMORY, "out of memory for %s", what);
    default:
        return ap_error_set(err, buf->status, "unable to format %s", what);
    }
}
