/* The reader: a window of text that slides over the file, rows cut out of it in place.
 *
 * The window holds UTF-8. Plain UTF-8 files are read straight into it; others go through a raw block and are decoded.
 * It starts at 256 KiB, doubles only for a row that does not fit, and never passes row_max and a block. */
#include "text/decode.h"
#include "text/scan.h"

enum { BLOCK = 64 * 1024, WINDOW = 256 * 1024, TROUBLE_MAX = 64 };
static const size_t most_bytes = (size_t)1 << 30; /* above any sensible limit; keeps sums from wrapping */

struct ap_delimited {
    ap_read_fn read;
    void *context;
    ap_encoding encoding;
    char *raw; /* undecoded bytes; NULL for UTF-8 */
    size_t raw_len;
    bool source_ended;

    char *window;
    size_t cap, start, end;
    size_t dirty_end; /* rows that start before it may hold NUL or non-ASCII bytes */
    bool ended;       /* nothing follows the window */
    bool skipping;    /* the rest of a line too long is still to be dropped */

    int64_t line;
    ap_scan scan;
    char row_long[TROUBLE_MAX], cell_long[TROUBLE_MAX], quote_far[TROUBLE_MAX], cells_many[TROUBLE_MAX];
};

static void size_text(char out[TROUBLE_MAX], const char *what, size_t bytes) {
    if (bytes >= 1024u * 1024u && bytes % (1024u * 1024u) == 0) {
        snprintf(out, TROUBLE_MAX, "%s longer than %zu MiB", what, bytes >> 20);
    } else {
        snprintf(out, TROUBLE_MAX, "%s longer than %zu bytes", what, bytes);
    }
}

static size_t limit_or(size_t value, size_t fallback) {
    return value == 0 ? fallback : value > most_bytes ? most_bytes : value;
}

static ap_status read_some(ap_delimited *reader, char *to, size_t cap, size_t *got, ap_error *err) {
    *got = 0;
    ap_status status = reader->read(reader->context, to, cap, got, err);
    if (status != AP_OK) {
        return status;
    }
    if (*got > cap) {
        return ap_error_set(err, AP_E_INTERNAL, "a reader gave more bytes than it was asked for");
    }
    reader->source_ended = *got == 0;
    return AP_OK;
}

/* Reads until `cap` bytes are there or the source ends. */
static ap_status read_full(ap_delimited *reader, char *to, size_t cap, size_t *len, ap_error *err) {
    while (*len < cap && !reader->source_ended) {
        size_t got = 0;
        ap_status status = read_some(reader, to + *len, cap - *len, &got, err);
        if (status != AP_OK) {
            return status;
        }
        *len += got;
    }
    return AP_OK;
}

/* Decodes raw blocks into the window until it is full or all is decoded. */
static ap_status fill_decoded(ap_delimited *reader, ap_error *err) {
    while (reader->cap - reader->end >= 4) {
        ap_status status = read_full(reader, reader->raw, BLOCK, &reader->raw_len, err);
        if (status != AP_OK) {
            return status;
        }
        size_t used = 0;
        size_t made = 0;
        ap_decode(reader->encoding, (ap_str){reader->raw, reader->raw_len}, reader->source_ended,
                  reader->window + reader->end, reader->cap - reader->end, &used, &made);
        reader->raw_len -= used;
        memmove(reader->raw, reader->raw + used, reader->raw_len);
        reader->end += made;
        if (reader->source_ended && reader->raw_len == 0) {
            reader->ended = true;
            break;
        }
    }
    return AP_OK;
}

static ap_status fill_plain(ap_delimited *reader, ap_error *err) {
    ap_status status = read_full(reader, reader->window, reader->cap, &reader->end, err);
    reader->ended = reader->source_ended;
    return status;
}

/* Moves what is left to the front, grows for a row that fills half of the window, and reads on. */
static ap_status fill(ap_delimited *reader, ap_error *err) {
    size_t len = reader->end - reader->start;
    memmove(reader->window, reader->window + reader->start, len);
    reader->dirty_end = reader->dirty_end > reader->start ? reader->dirty_end - reader->start : 0;
    reader->start = 0;
    reader->end = len;
    if (len > reader->cap / 2) {
        size_t most = reader->scan.row_max + BLOCK > WINDOW ? reader->scan.row_max + BLOCK : WINDOW;
        size_t cap = reader->cap * 2 < most ? reader->cap * 2 : most;
        char *window = realloc(reader->window, cap + AP_SCAN_PAD);
        if (!window) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory while reading a row of %zu bytes", len);
        }
        reader->window = window;
        reader->cap = cap;
    }
    ap_status status = reader->raw ? fill_decoded(reader, err) : fill_plain(reader, err);
    if (ap_scan_is_dirty(reader->window + len, reader->window + reader->end)) {
        reader->dirty_end = reader->end;
    }
    memset(reader->window + reader->end, 0, AP_SCAN_PAD);
    return status;
}

/* Reads the head, settles the encoding, and puts the head where its kind of file is read from. */
static ap_status start(ap_delimited *reader, ap_error *err) {
    ap_status status = read_full(reader, reader->raw, AP_SNIFF_BYTES, &reader->raw_len, err);
    if (status != AP_OK) {
        return status;
    }
    size_t mark = 0;
    reader->encoding = ap_encoding_sniff((ap_str){reader->raw, reader->raw_len}, &mark);
    reader->raw_len -= mark;
    memmove(reader->raw, reader->raw + mark, reader->raw_len);
    if (reader->encoding == AP_ENCODING_UTF8 || reader->encoding == AP_ENCODING_UTF8_BOM) {
        memcpy(reader->window, reader->raw, reader->raw_len);
        reader->end = reader->raw_len;
        if (ap_scan_is_dirty(reader->window, reader->window + reader->end)) {
            reader->dirty_end = reader->end;
        }
        free(reader->raw);
        reader->raw = NULL;
    }
    return fill(reader, err);
}

static void set_window(ap_delimited *reader) {
    reader->scan.start = reader->window + reader->start;
    reader->scan.end = reader->window + reader->end;
    reader->scan.last = reader->ended;
}

ap_status ap_delimited_new(ap_delimited **out, ap_read_fn read, void *context, const ap_delimited_options *options,
                           ap_error *err) {
    static const ap_delimited_options none = {0};
    options = options ? options : &none;
    ap_delimited *reader = calloc(1, sizeof *reader);
    if (!reader) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
    }
    ap_status status = AP_OK;
    reader->read = read;
    reader->context = context;
    reader->line = 1;
    reader->cap = WINDOW;
    reader->scan.row_max = limit_or(options->row_max, (size_t)4 << 20);
    reader->scan.cell_max = limit_or(options->cell_max, (size_t)1 << 20);
    reader->scan.cells_max = limit_or(options->cells_max, 1024);
    size_text(reader->row_long, "row", reader->scan.row_max);
    size_text(reader->cell_long, "cell", reader->scan.cell_max);
    size_text(reader->quote_far, "quote never closed, or a cell", reader->scan.cell_max);
    snprintf(reader->cells_many, TROUBLE_MAX, "more than %zu cells", reader->scan.cells_max);
    reader->window = malloc(WINDOW + AP_SCAN_PAD);
    reader->raw = malloc(BLOCK);
    reader->scan.cells = calloc(reader->scan.cells_max, sizeof(ap_str));
    if (!reader->window || !reader->raw || !reader->scan.cells) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
        goto done;
    }
    status = start(reader, err);
    if (status != AP_OK) {
        goto done;
    }
    set_window(reader);
    reader->scan.delimiter = options->delimiter ? options->delimiter : ap_scan_sniff_delimiter(&reader->scan);
    *out = reader;
    return AP_OK;
done:
    ap_delimited_free(reader);
    return status;
}

void ap_delimited_free(ap_delimited *reader) {
    if (!reader) {
        return;
    }
    free(reader->raw);
    free(reader->window);
    free(reader->scan.cells);
    free(reader->scan.scratch);
    free(reader);
}

/* Drops the rest of a line too long. Its kept part ended inside the line, so a CRLF is never cut in two. */
static ap_status skip_line(ap_delimited *reader, ap_error *err) {
    for (;;) {
        const char *from = reader->window + reader->start;
        const char *end = reader->window + reader->end;
        const char *at = ap_scan_line_end(from, end);
        bool cr_at_end = at + 1 == end && *at == '\r' && !reader->ended;
        if (at < end && !cr_at_end) {
            at += *at == '\r' && at + 1 < end && at[1] == '\n' ? 2 : 1;
            reader->start = (size_t)(at - reader->window);
            break;
        }
        reader->start = (size_t)(at - reader->window);
        if (reader->ended) {
            break;
        }
        ap_status status = fill(reader, err);
        if (status != AP_OK) {
            return status;
        }
    }
    reader->skipping = false;
    return AP_OK;
}

static const char *trouble_text(const ap_delimited *reader, ap_scan_trouble trouble) {
    switch (trouble) {
    case AP_SCAN_QUOTE_OPEN:
        return "quote never closed";
    case AP_SCAN_QUOTE_TEXT:
        return "text behind a closing quote";
    case AP_SCAN_CELL_LONG:
        return reader->cell_long;
    case AP_SCAN_CELLS_MANY:
        return reader->cells_many;
    case AP_SCAN_FINE:
        break;
    }
    return NULL;
}

static const char *trouble_of_bytes(const ap_delimited *reader, ap_str text) {
    bool utf16 = reader->encoding == AP_ENCODING_UTF16LE || reader->encoding == AP_ENCODING_UTF16BE;
    if (text.len > 0 && memchr(text.ptr, '\0', text.len)) {
        return "NUL byte";
    }
    if (ap_utf8_valid_prefix(text) < text.len) {
        return "not valid UTF-8";
    }
    for (const char *at = text.ptr; utf16 && at && (size_t)(at - text.ptr) + 3 <= text.len; at++) {
        at = memchr(at, '\xEF', text.len - (size_t)(at - text.ptr) - 2);
        if (!at) {
            break;
        }
        if (memcmp(at, "\xEF\xBF\xBD", 3) == 0) {
            return "not valid UTF-16";
        }
    }
    return NULL;
}

static void check_bytes(const ap_delimited *reader, ap_row *row) {
    const char *trouble = trouble_of_bytes(reader, row->raw);
    if (!trouble || row->trouble) {
        return;
    }
    row->trouble = trouble;
    for (size_t i = 0; i < row->count; i++) {
        if (trouble_of_bytes(reader, row->cells[i])) {
            row->trouble_cell = i;
            break;
        }
    }
}

/* Shortens by the bytes of a character that was cut in two. */
static ap_str without_cut_character(ap_str str) {
    for (size_t back = 1; back <= 3 && back <= str.len; back++) {
        unsigned char byte = (unsigned char)str.ptr[str.len - back];
        if (byte >= 0xC0) {
            size_t need = byte >= 0xF0 ? 4 : byte >= 0xE0 ? 3 : 2;
            str.len -= need > back ? back : 0;
            break;
        }
        if (byte < 0x80) {
            break;
        }
    }
    return str;
}

static void keep_long_row(ap_delimited *reader, ap_row *row) {
    ap_scan *scan = &reader->scan;
    row->raw = without_cut_character((ap_str){scan->start, scan->row_max});
    ap_str *cell = &scan->cells[scan->count - 1];
    const char *kept = row->raw.ptr + row->raw.len;
    bool in_window = cell->ptr >= scan->start && cell->ptr <= scan->end;
    if (in_window && cell->ptr + cell->len > kept) {
        cell->len = cell->ptr < kept ? (size_t)(kept - cell->ptr) : 0;
    }
    row->trouble = reader->row_long;
    row->trouble_cell = scan->count - 1;
    scan->next = kept;
    reader->skipping = true;
}

ap_status ap_delimited_next(ap_row *row, bool *more, ap_delimited *reader, ap_error *err) {
    ap_scan *scan = &reader->scan;
    ap_scan_end got = AP_SCAN_MORE;
    ap_status status = reader->skipping ? skip_line(reader, err) : AP_OK;
    while (status == AP_OK && got == AP_SCAN_MORE) {
        if (reader->start == reader->end && reader->ended) {
            *more = false;
            return AP_OK;
        }
        set_window(reader);
        got = scan->start < scan->end ? ap_scan_row(scan) : AP_SCAN_MORE;
        if (got == AP_SCAN_MORE) {
            status = fill(reader, err);
        }
    }
    if (status != AP_OK || got == AP_SCAN_MEMORY) {
        return status != AP_OK ? status : ap_error_set(err, AP_E_MEMORY, "out of memory while unquoting a cell");
    }
    *row = (ap_row){.cells = scan->cells, .count = scan->count, .line = reader->line};
    row->line_last = row->line + scan->inner_lines;
    row->trouble = trouble_text(reader, scan->trouble);
    row->trouble_cell = scan->trouble_cell;
    if (got == AP_SCAN_LONG) {
        keep_long_row(reader, row);
    } else {
        row->raw = (ap_str){scan->start, (size_t)(scan->stop - scan->start)};
        bool far = scan->trouble == AP_SCAN_QUOTE_OPEN && row->raw.len > scan->cell_max;
        row->trouble = far ? reader->quote_far : row->trouble;
    }
    if (reader->start < reader->dirty_end) {
        check_bytes(reader, row);
    }
    reader->line = row->line_last + 1;
    reader->start = (size_t)(scan->next - reader->window);
    *more = true;
    return AP_OK;
}

ap_status ap_read_from_str(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    (void)err;
    ap_str *from = context;
    *got = from->len < cap ? from->len : cap;
    if (*got) {
        memcpy(bytes, from->ptr, *got);
        from->ptr += *got;
        from->len -= *got;
    }
    return AP_OK;
}

char ap_delimited_delimiter(const ap_delimited *reader) {
    return reader->scan.delimiter;
}

ap_encoding ap_delimited_encoding(const ap_delimited *reader) {
    return reader->encoding;
}
