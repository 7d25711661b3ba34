/* Any bytes as JSON Lines. What must hold:
 *  - rows do not depend on the pieces the bytes arrive in;
 *  - every row has a cell for every key, lines follow on one by one;
 *  - a row without trouble holds valid UTF-8 without NUL; a row with trouble says what and where. */
#include "require.h"
#include "text/json_lines.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef struct feed {
    const char *bytes;
    size_t len, at, piece;
} feed;

static ap_status feed_read(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    (void)err;
    feed *from = context;
    size_t len = from->len - from->at;
    len = len < from->piece ? len : from->piece;
    *got = len < cap ? len : cap;
    memcpy(bytes, from->bytes + from->at, *got);
    from->at += *got;
    return AP_OK;
}

static uint64_t read_pass(const char *bytes, size_t len, size_t piece) {
    feed first = {bytes, len, 0, piece};
    feed second = {bytes, len, 0, piece};
    ap_json_keys *keys = NULL;
    ap_json_lines *reader = NULL;
    uint64_t hash = 17;
    int64_t line = 0;
    require(ap_json_keys_read(&keys, feed_read, &first, NULL) == AP_OK);
    require(ap_json_keys_count(keys) <= AP_JSON_KEYS_MAX);
    require(ap_json_lines_new(&reader, feed_read, &second, keys, NULL) == AP_OK);
    for (bool more = true; more; line++) {
        ap_row row;
        require(ap_json_lines_next(&row, &more, reader, NULL) == AP_OK);
        if (!more) {
            break;
        }
        require(row.line == line && row.count == ap_json_keys_count(keys));
        require(!row.trouble || (row.trouble[0] && (row.count == 0 || row.trouble_cell < row.count)));
        for (size_t i = 0; i < row.count; i++) {
            require(row.cells[i].ptr != NULL);
            require(row.trouble || ap_utf8_is_valid(row.cells[i]));
            require(row.trouble || row.cells[i].len == 0 || !memchr(row.cells[i].ptr, '\0', row.cells[i].len));
            hash = (hash * 31 + ap_str_hash(row.cells[i])) * 31 + row.cells[i].len;
        }
        hash = hash * 31 + (row.trouble ? ap_str_hash(ap_str_from(row.trouble)) : 1);
    }
    ap_json_lines_free(reader);
    ap_json_keys_free(keys);
    return hash;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    const char *bytes = (const char *)data;
    (void)ap_json_lines_looks_so((ap_str){bytes, size});
    require(read_pass(bytes, size, 1u << 20) == read_pass(bytes, size, 3));
    return 0;
}
