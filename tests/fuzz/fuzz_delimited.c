/* Any bytes as a log. What must hold:
 *  - rows do not depend on the pieces the bytes arrive in;
 *  - line numbers follow on without a gap, bounds hold, every cell is there;
 *  - in a UTF-8 file the rows' raw texts and their line ends are the file, but for what a too long row says it dropped;
 *  - a row without trouble holds valid UTF-8, and reads back the same after it was written. */
#include "require.h"
#include "text/delimited.h"

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

static uint64_t mix(uint64_t hash, ap_str str) {
    return (hash * 31 + ap_str_hash(str)) * 31 + str.len;
}

static uint64_t hash_row(uint64_t hash, const ap_row *row) {
    for (size_t i = 0; i < row->count; i++) {
        hash = mix(hash, row->cells[i]);
    }
    return hash * 31 + row->count;
}

static void check_row(const ap_row *row, int64_t line, const ap_delimited_options *options) {
    require(row->line == line && row->line_last >= line);
    require(row->count >= 1 && row->count <= options->cells_max && row->raw.ptr);
    require(row->trouble_cell < row->count);
    for (size_t i = 0; i < row->count; i++) {
        require(row->cells[i].ptr != NULL);
        require(row->trouble || ap_utf8_is_valid(row->cells[i]));
        require(row->trouble || row->cells[i].len <= options->cell_max);
    }
}

static bool is_too_long(const ap_row *row) {
    return row->trouble && strncmp(row->trouble, "row longer", 10) == 0;
}

/* The file goes on with this row and a line end. */
static size_t follow_raw(const ap_row *row, const char *bytes, size_t len, size_t at) {
    require(row->raw.len <= len - at && memcmp(bytes + at, row->raw.ptr, row->raw.len) == 0);
    at += row->raw.len;
    while (is_too_long(row) && at < len && bytes[at] != '\n' && bytes[at] != '\r') {
        at++;
    }
    if (at < len && bytes[at] == '\r') {
        at++;
        return at + (at < len && bytes[at] == '\n');
    }
    require(at == len || bytes[at] == '\n');
    return at < len ? at + 1 : at;
}

static void write_row(ap_buf *out, const ap_row *row, char delimiter) {
    for (size_t i = 0; i < row->count; i++) {
        if (i > 0) {
            ap_buf_append_char(out, delimiter);
        }
        ap_delimited_write_cell(out, row->cells[i], delimiter, false);
    }
    ap_buf_append_cstr(out, "\r\n");
}

typedef struct pass {
    uint64_t all;   /* everything, for comparing pieces */
    uint64_t clean; /* cells of rows without trouble */
    ap_buf written;
} pass;

static void read_pass(pass *out, const char *bytes, size_t len, size_t piece, const ap_delimited_options *options) {
    feed from = {bytes, len, 0, piece};
    ap_delimited *reader = NULL;
    require(ap_delimited_new(&reader, feed_read, &from, options, NULL) == AP_OK);
    ap_encoding encoding = ap_delimited_encoding(reader);
    bool follow = encoding == AP_ENCODING_UTF8 || encoding == AP_ENCODING_UTF8_BOM;
    size_t at = encoding == AP_ENCODING_UTF8_BOM ? 3 : 0;
    int64_t line = 1;
    ap_buf_init(&out->written, 1u << 26);
    ap_buf_append_cstr(&out->written, "first\r\n");
    out->all = out->clean = 17;
    for (;;) {
        ap_row row;
        bool more = false;
        require(ap_delimited_next(&row, &more, reader, NULL) == AP_OK);
        if (!more) {
            break;
        }
        check_row(&row, line, options);
        line = row.line_last + 1;
        at = follow ? follow_raw(&row, bytes, len, at) : at;
        out->all = mix(hash_row(out->all, &row), row.raw) + row.trouble_cell;
        out->all = mix(out->all, row.trouble ? ap_str_from(row.trouble) : AP_STR_NONE) + (uint64_t)line;
        if (!row.trouble) {
            out->clean = hash_row(out->clean, &row);
            write_row(&out->written, &row, ap_delimited_delimiter(reader));
        }
    }
    require(!follow || at == len);
    out->all = out->all * 31 + (uint64_t)(unsigned char)ap_delimited_delimiter(reader);
    if (piece > 1) {
        ap_delimited_options plain = {ap_delimited_delimiter(reader), 1u << 26, 1u << 26, 1u << 12};
        feed again = {out->written.ptr, out->written.len, 0, 1u << 20};
        ap_delimited *second = NULL;
        uint64_t clean = 17;
        bool more = true;
        require(ap_delimited_new(&second, feed_read, &again, &plain, NULL) == AP_OK);
        for (size_t n = 0; more; n++) {
            ap_row row;
            require(ap_delimited_next(&row, &more, second, NULL) == AP_OK);
            require(!more || !row.trouble);
            clean = more && n > 0 ? hash_row(clean, &row) : clean;
        }
        require(clean == out->clean);
        ap_delimited_free(second);
    }
    ap_delimited_free(reader);
    ap_buf_release(&out->written);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    if (size < 3) {
        return 0;
    }
    static const char delimiters[] = {'\0', ',', ';', '\t', '|'};
    static const size_t limits[] = {4, 16, 100, 1u << 20};
    ap_delimited_options options = {
        .delimiter = delimiters[data[0] % sizeof delimiters],
        .cell_max = limits[data[1] % 4],
        .row_max = limits[data[1] / 4 % 4] * 4,
        .cells_max = 1 + data[2] % 64,
    };
    const char *bytes = (const char *)data + 3;
    pass whole;
    pass pieces;
    read_pass(&whole, bytes, size - 3, 1u << 20, &options);
    read_pass(&pieces, bytes, size - 3, 1, &options);
    require(whole.all == pieces.all);
    (void)ap_text_kind_of_file((ap_str){bytes, size - 3});
    return 0;
}
