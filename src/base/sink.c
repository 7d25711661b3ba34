#include "base/sink.h"

#include <errno.h>

static ap_status write_to_buf(void *context, const char *bytes, size_t len) {
    ap_buf *buf = context;
    ap_buf_append(buf, bytes, len);
    return buf->status;
}

static ap_status write_to_stream(void *context, const char *bytes, size_t len) {
    return fwrite(bytes, 1, len, (FILE *)context) == len ? AP_OK : AP_E_IO;
}

ap_sink ap_sink_to_buf(ap_buf *buf) {
    return (ap_sink){.write = write_to_buf, .context = buf};
}

ap_sink ap_sink_to_stream(FILE *stream) {
    return (ap_sink){.write = write_to_stream, .context = stream};
}

void ap_sink_put(ap_sink *sink, ap_str str) {
    if (sink->status != AP_OK || str.len == 0) {
        return;
    }
    errno = 0;
    sink->status = sink->write(sink->context, str.ptr, str.len);
    if (sink->status != AP_OK) {
        sink->saved_errno = errno;
    }
}

void ap_sink_puts(ap_sink *sink, const char *cstr) {
    ap_sink_put(sink, ap_str_from(cstr));
}

void ap_sink_putc(ap_sink *sink, char byte) {
    ap_sink_put(sink, (ap_str){&byte, 1});
}

void ap_sink_printf(ap_sink *sink, const char *format, ...) {
    if (sink->status != AP_OK) {
        return;
    }
    ap_buf text;
    ap_buf_init(&text, (size_t)INT32_MAX);
    va_list args;
    va_start(args, format);
    ap_buf_appendv(&text, format, args);
    va_end(args);
    if (text.status == AP_OK) {
        ap_sink_put(sink, ap_buf_str(&text));
    } else {
        sink->status = text.status;
    }
    ap_buf_release(&text);
}

ap_status ap_sink_check(const ap_sink *sink, const char *what, ap_error *err) {
    int reason = sink->saved_errno;
    ap_status status = sink->status;
    /* What the stream still holds may be what does not fit on the disk. */
    if (status == AP_OK && sink->write == write_to_stream) {
        FILE *stream = sink->context;
        errno = 0;
        if (fflush(stream) != 0 || ferror(stream)) {
            reason = errno;
            status = AP_E_IO;
        }
    }
    if (status == AP_OK) {
        return AP_OK;
    }
    if (sink->write == write_to_buf && status != AP_E_IO) {
        const ap_buf *buf = sink->context;
        if (buf->status != AP_OK) {
            return ap_buf_check(buf, what, err);
        }
    }
    if (status == AP_E_MEMORY) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for %s", what);
    }
    ap_error_from_errno(err, reason, "write", what);
    if (err) {
        err->code = status;
    }
    return status;
}
