#include "text/lines.h"

#include "text/decode.h"

enum { BLOCK = AP_SNIFF_BYTES, LINE_MAX_BYTES = 64 * 1024, TROUBLE_MAX = 64 };

/* The window holds UTF-8 that was not handed out yet, from start to end; raw holds bytes that were not decoded yet. */
struct ap_lines {
    ap_read_fn read;
    void *context;
    ap_encoding encoding;
    char *raw;
    size_t raw_len;
    bool source_ended;
    char *window;
    size_t cap, start, end;
    bool ended;
    bool skipping; /* the rest of a line too long is still to be dropped */
    size_t line_max;
    int64_t number;
    char too_long[TROUBLE_MAX];
};

static ap_status fill_raw(ap_lines *lines, ap_error *err) {
    while (lines->raw_len < BLOCK && !lines->source_ended) {
        size_t got = 0;
        const size_t room = BLOCK - lines->raw_len;
        const ap_status status = lines->read(lines->context, lines->raw + lines->raw_len, room, &got, err);
        if (status != AP_OK) {
            return status;
        }
        if (got > room) {
            return ap_error_set(err, AP_E_INTERNAL, "a reader gave more bytes than it was asked for");
        }
        lines->source_ended = got == 0;
        lines->raw_len += got;
    }
    return AP_OK;
}

/* Bytes of UTF-8 are taken as they are: what is not valid is the line's trouble. */
static void take_plain(ap_lines *lines, size_t *used, size_t *made) {
    const size_t room = lines->cap - lines->end;
    *used = *made = lines->raw_len < room ? lines->raw_len : room;
    memcpy(lines->window + lines->end, lines->raw, *used);
}

static ap_status fill(ap_lines *lines, ap_error *err) {
    memmove(lines->window, lines->window + lines->start, lines->end - lines->start);
    lines->end -= lines->start;
    lines->start = 0;
    while (!lines->ended && lines->cap - lines->end >= 4) {
        const ap_status status = fill_raw(lines, err);
        if (status != AP_OK) {
            return status;
        }
        size_t used = 0;
        size_t made = 0;
        if (lines->encoding == AP_ENCODING_UTF8 || lines->encoding == AP_ENCODING_UTF8_BOM) {
            take_plain(lines, &used, &made);
        } else {
            ap_decode(lines->encoding, (ap_str){lines->raw, lines->raw_len}, lines->source_ended,
                      lines->window + lines->end, lines->cap - lines->end, &used, &made);
        }
        lines->raw_len -= used;
        memmove(lines->raw, lines->raw + used, lines->raw_len);
        lines->end += made;
        lines->ended = lines->source_ended && lines->raw_len == 0;
        if (used == 0) {
            break;
        }
    }
    return AP_OK;
}

ap_status ap_lines_new(ap_lines **out, ap_read_fn read, void *context, size_t line_max, ap_error *err) {
    ap_lines *lines = calloc(1, sizeof *lines);
    if (!lines) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
    }
    lines->read = read;
    lines->context = context;
    lines->line_max = line_max ? line_max : LINE_MAX_BYTES;
    lines->cap = lines->line_max + BLOCK;
    lines->raw = malloc(BLOCK);
    lines->window = malloc(lines->cap);
    snprintf(lines->too_long, sizeof lines->too_long, "line longer than %zu bytes", lines->line_max);
    ap_status status = AP_OK;
    if (!lines->raw || !lines->window) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
    }
    if (status == AP_OK) {
        status = fill_raw(lines, err);
    }
    if (status != AP_OK) {
        ap_lines_free(lines);
        return status;
    }
    size_t mark = 0;
    lines->encoding = ap_encoding_sniff((ap_str){lines->raw, lines->raw_len}, &mark);
    lines->raw_len -= mark;
    memmove(lines->raw, lines->raw + mark, lines->raw_len);
    *out = lines;
    return AP_OK;
}

void ap_lines_free(ap_lines *lines) {
    if (lines) {
        free(lines->raw);
        free(lines->window);
        free(lines);
    }
}

/* The line end at or behind `from`, as an index; `end` when the window holds none. */
static size_t find_end(const ap_lines *lines, size_t from) {
    const char *begin = lines->window + from;
    const size_t len = lines->end - from;
    const char *lf = len ? memchr(begin, '\n', len) : NULL;
    const char *cr = len ? memchr(begin, '\r', lf ? (size_t)(lf - begin) : len) : NULL;
    const char *at = cr ? cr : lf;
    return at ? (size_t)(at - lines->window) : lines->end;
}

/* Moves past the line end at `at`; a CR at the window's end may be half of one, then more must be read first. */
static bool pass_end(ap_lines *lines, size_t at) {
    if (lines->window[at] == '\r' && at + 1 == lines->end && !lines->ended) {
        return false;
    }
    const bool two = lines->window[at] == '\r' && at + 1 < lines->end && lines->window[at + 1] == '\n';
    lines->start = at + (two ? 2 : 1);
    return true;
}

static ap_status skip_rest(ap_lines *lines, ap_error *err) {
    for (;;) {
        const size_t at = find_end(lines, lines->start);
        if (at < lines->end && pass_end(lines, at)) {
            break;
        }
        lines->start = at;
        if (lines->ended && at == lines->end) {
            break;
        }
        const ap_status status = fill(lines, err);
        if (status != AP_OK) {
            return status;
        }
    }
    lines->skipping = false;
    return AP_OK;
}

static const char *trouble_of(ap_str text) {
    if (text.len && memchr(text.ptr, '\0', text.len)) {
        return "NUL byte";
    }
    return ap_utf8_is_valid(text) ? NULL : "not valid UTF-8";
}

/* Half a character at the cut is dropped. */
static ap_str cut(ap_str text) {
    const size_t valid = ap_utf8_valid_prefix(text);
    return text.len - valid < 4 ? (ap_str){text.ptr, valid} : text;
}

ap_status ap_lines_next(ap_line *line, bool *more, ap_lines *lines, ap_error *err) {
    ap_status status = lines->skipping ? skip_rest(lines, err) : AP_OK;
    while (status == AP_OK) {
        const size_t at = find_end(lines, lines->start);
        const size_t len = at - lines->start;
        const char *text = lines->window + lines->start;
        if (len > lines->line_max) {
            *line = (ap_line){cut((ap_str){text, lines->line_max}), ++lines->number, lines->too_long};
            lines->start += lines->line_max;
            lines->skipping = true;
            *more = true;
            return AP_OK;
        }
        const bool whole = at < lines->end ? pass_end(lines, at) : lines->ended;
        if (whole) {
            *more = at < lines->end || len > 0;
            if (*more) {
                lines->start = at < lines->end ? lines->start : at;
                *line = (ap_line){{text, len}, ++lines->number, trouble_of((ap_str){text, len})};
            }
            return AP_OK;
        }
        status = fill(lines, err);
    }
    return status;
}

ap_encoding ap_lines_encoding(const ap_lines *lines) {
    return lines->encoding;
}
