/* A zip of stored parts, in memory: for tests and the fuzz target. APPNOTE 6.3.10: 4.3.7, 4.3.12, 4.3.16. */
#ifndef AP_TESTS_STORED_ZIP_H
#define AP_TESTS_STORED_ZIP_H

#include "base/str.h"

typedef struct stored_zip {
    ap_buf bytes, directory;
    unsigned count;
} stored_zip;

static inline uint32_t stored_zip_crc(ap_str bytes) {
    uint32_t crc = 0xFFFFFFFF;
    for (size_t i = 0; i < bytes.len; i++) {
        crc ^= (unsigned char)bytes.ptr[i];
        for (int bit = 0; bit < 8; bit++) {
            crc = crc >> 1 ^ (crc & 1 ? 0xEDB88320 : 0);
        }
    }
    return ~crc;
}

static inline void stored_zip_put(ap_buf *out, uint32_t value, size_t bytes) {
    for (size_t i = 0; i < bytes; i++) {
        ap_buf_append_char(out, (char)(value >> (8 * i) & 0xFF));
    }
}

static inline void stored_zip_init(stored_zip *zip) {
    *zip = (stored_zip){.count = 0};
    ap_buf_init(&zip->bytes, 1u << 28);
    ap_buf_init(&zip->directory, 1u << 24);
}

/* Version, flags, method, time, date, CRC, sizes, length of the name, of the extra field. */
static inline void stored_zip_head(ap_buf *out, ap_str name, uint32_t crc, uint32_t size) {
    stored_zip_put(out, 20, 2);
    stored_zip_put(out, 0, 2);
    stored_zip_put(out, 0, 2);
    stored_zip_put(out, 0x21, 4);
    stored_zip_put(out, crc, 4);
    stored_zip_put(out, size, 4);
    stored_zip_put(out, size, 4);
    stored_zip_put(out, (uint32_t)name.len, 2);
    stored_zip_put(out, 0, 2);
}

static inline void stored_zip_add(stored_zip *zip, const char *part, ap_str text) {
    ap_str name = ap_str_from(part);
    uint32_t crc = stored_zip_crc(text);
    uint32_t at = (uint32_t)zip->bytes.len;
    ap_buf_append(&zip->bytes, "PK\3\4", 4);
    stored_zip_head(&zip->bytes, name, crc, (uint32_t)text.len);
    ap_buf_append_str(&zip->bytes, name);
    ap_buf_append_str(&zip->bytes, text);
    ap_buf_append(&zip->directory, "PK\1\2\24\0", 6);
    stored_zip_head(&zip->directory, name, crc, (uint32_t)text.len);
    stored_zip_put(&zip->directory, 0, 2); /* comment */
    stored_zip_put(&zip->directory, 0, 2); /* disk */
    stored_zip_put(&zip->directory, 0, 2); /* attributes */
    stored_zip_put(&zip->directory, 0, 4);
    stored_zip_put(&zip->directory, at, 4);
    ap_buf_append_str(&zip->directory, name);
    zip->count++;
}

/* The whole file, in zip->bytes. */
static inline ap_str stored_zip_end(stored_zip *zip) {
    uint32_t at = (uint32_t)zip->bytes.len;
    ap_buf_append_str(&zip->bytes, ap_buf_str(&zip->directory));
    ap_buf_append(&zip->bytes, "PK\5\6\0\0\0\0", 8);
    stored_zip_put(&zip->bytes, zip->count, 2);
    stored_zip_put(&zip->bytes, zip->count, 2);
    stored_zip_put(&zip->bytes, (uint32_t)zip->directory.len, 4);
    stored_zip_put(&zip->bytes, at, 4);
    stored_zip_put(&zip->bytes, 0, 2);
    return ap_buf_str(&zip->bytes);
}

static inline void stored_zip_release(stored_zip *zip) {
    ap_buf_release(&zip->bytes);
    ap_buf_release(&zip->directory);
}

#endif
