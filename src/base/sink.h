/* Where text goes: a buffer, a stdio stream or a descriptor, behind one sticky writer. */
#ifndef AP_BASE_SINK_H
#define AP_BASE_SINK_H

#include "base/str.h"

typedef struct ap_sink ap_sink;
struct ap_sink {
    ap_status (*write)(void *context, const char *bytes, size_t len);
    void *context;
    ap_status status; /* first failure; later puts do nothing */
    int saved_errno;
};

ap_sink ap_sink_to_buf(ap_buf *buf);
ap_sink ap_sink_to_stream(FILE *stream);
void ap_sink_put(ap_sink *sink, ap_str str);
void ap_sink_puts(ap_sink *sink, const char *cstr);
void ap_sink_putc(ap_sink *sink, char byte);
void ap_sink_printf(ap_sink *sink, const char *format, ...) AP_PRINTF(2, 3);
AP_MUST_USE ap_status ap_sink_check(const ap_sink *sink, const char *what, ap_error *err);

/* The last part of a path: "b.csv" of "a/b.csv". */
const char *ap_file_name(const char *path);
/* Writes `path` whole or not at all: a temporary file beside it, fsync, rename. */
AP_MUST_USE ap_status ap_file_write(const char *path, ap_str bytes, ap_error *err);
/* Reads a whole file of at most `max` bytes, else AP_E_LIMIT. Initialises *out; on failure it is empty. A name that
 * leads to no file is AP_E_INPUT. */
AP_MUST_USE ap_status ap_file_read(ap_buf *out, const char *path, size_t max, ap_error *err);
AP_MUST_USE ap_status ap_folder_make(const char *path, ap_error *err); /* with parents; existing is fine */

#endif
