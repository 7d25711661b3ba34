/* Splitting one row, eight bytes at a time.
 *
 * The rule is RFC 4180 section 2 with these additions:
 *  Q1 a quote opens a quoted cell only as the cell's first byte; elsewhere in an unquoted cell it is a character.
 *  Q2 blanks between a closing quote and the delimiter are dropped.
 *  Q3 a quoted cell that runs past cell_max, past row_max or to the end of the file was never closed. So was one that
 *     spans lines and whose closing quote is followed by text: its quote met the opening quote of a later row. Such a
 *     cell is read again from its first byte as if the quote were an ordinary character. Only that line is touched: the
 *     lines behind it are rows again. The row is marked.
 *  Q4 a quoted cell on one line with text behind its closing quote ("24" oak) is kept as it stood and marked.
 *  Q5 LF, CRLF and a lone CR end a line, mixed as they come.
 *
 * Reading again costs little: the scan for a closing quote stops at the next run of an odd number of quotes, and every
 * opening quote begins such a run, so no byte is looked at more than a few times. */
#include "text/scan.h"

static const uint64_t ones = 0x0101010101010101u;
static const uint64_t highs = 0x8080808080808080u;
#define REPEAT(byte) ((uint64_t)(unsigned char)(byte)*0x0101010101010101u)

/* Eight bytes with the first in the low bits. */
static inline uint64_t load(const char *at) {
    uint64_t word;
    memcpy(&word, at, sizeof word);
#if defined(__BYTE_ORDER__) && __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
    word = __builtin_bswap64(word);
#endif
    return word;
}

/* The high bit of every zero byte. A byte above a zero byte may be marked wrongly; the lowest mark is always right. */
static inline uint64_t zero_bytes(uint64_t word) {
    return (word - ones) & ~word & highs;
}

static inline const char *find_special(const char *at, const char *end, uint64_t delimiters) {
    while (at < end) {
        uint64_t word = load(at);
        uint64_t hit =
            zero_bytes(word ^ delimiters) | zero_bytes(word ^ REPEAT('\n')) | zero_bytes(word ^ REPEAT('\r'));
        if (hit) {
            at += __builtin_ctzll(hit) >> 3;
            return at < end ? at : end;
        }
        at += 8;
    }
    return end;
}

const char *ap_scan_line_end(const char *at, const char *end) {
    return find_special(at, end, REPEAT('\n'));
}

bool ap_scan_is_dirty(const char *at, const char *end) {
    uint64_t seen = 0;
    for (; end - at >= 8; at += 8) {
        uint64_t word = load(at);
        seen |= (word & highs) | zero_bytes(word);
    }
    for (; at < end; at++) {
        seen |= *at == '\0' || (unsigned char)*at >= 0x80;
    }
    return seen != 0;
}

static int64_t count_line_ends(const char *at, const char *end) {
    int64_t count = 0;
    for (at = ap_scan_line_end(at, end); at < end; at = ap_scan_line_end(at, end)) {
        bool pair = *at == '\r' && at + 1 < end && at[1] == '\n';
        at += pair ? 2 : 1;
        count++;
    }
    return count;
}

static void mark(ap_scan *scan, ap_scan_trouble trouble, size_t cell) {
    if (scan->trouble == AP_SCAN_FINE) {
        scan->trouble = trouble;
        scan->trouble_cell = cell < scan->cells_max ? cell : scan->cells_max - 1;
    }
}

/* Copies a quoted cell's inside with each pair of quotes made one. */
static bool unquote(ap_scan *scan, ap_str *cell, const char *at, const char *end) {
    size_t room = (size_t)(scan->end - scan->start);
    if (scan->scratch_used == 0 && scan->scratch_cap < room) {
        free(scan->scratch);
        scan->scratch = malloc(room);
        scan->scratch_cap = scan->scratch ? room : 0;
        if (!scan->scratch) {
            return false;
        }
    }
    char *out = scan->scratch + scan->scratch_used;
    cell->ptr = out;
    while (at < end) {
        const char *quote = memchr(at, '"', (size_t)(end - at));
        size_t len = quote ? (size_t)(quote + 1 - at) : (size_t)(end - at);
        memcpy(out, at, len);
        out += len;
        at += quote ? len + 1 : len;
    }
    cell->len = (size_t)(out - cell->ptr);
    scan->scratch_used += cell->len;
    return true;
}

typedef enum quoted_end { QUOTED_CLOSED, QUOTED_OPEN, QUOTED_TEXT, QUOTED_MORE, QUOTED_MEMORY } quoted_end;

static quoted_end never_closed(const ap_scan *scan, const char *open, const char *limit) {
    bool certain =
        scan->last || (size_t)(limit - open) > scan->cell_max || (size_t)(limit - scan->start) > scan->row_max;
    return certain ? QUOTED_OPEN : QUOTED_MORE;
}

/* A cell whose first byte is a quote. On QUOTED_CLOSED and QUOTED_TEXT *at moves behind the closing quote. */
static quoted_end scan_quoted(ap_scan *scan, ap_str *cell, const char **at, const char *limit) {
    const char *open = *at;
    const char *from = open + 1;
    const char *quote = NULL;
    bool doubled = false;
    for (;;) {
        quote = from < limit ? memchr(from, '"', (size_t)(limit - from)) : NULL;
        if (!quote) {
            return never_closed(scan, open, limit);
        }
        if ((size_t)(quote - open) > scan->cell_max) {
            return QUOTED_OPEN;
        }
        if (quote + 1 == scan->end && !scan->last) {
            return QUOTED_MORE;
        }
        if (quote + 1 == scan->end || quote[1] != '"') {
            break;
        }
        doubled = true;
        from = quote + 2;
    }
    const char *behind = quote + 1;
    while (behind < limit && (*behind == ' ' || *behind == '\t') && *behind != scan->delimiter) {
        behind++;
    }
    if (behind >= limit && !scan->last && (size_t)(limit - scan->start) <= scan->row_max) {
        return QUOTED_MORE;
    }
    int64_t lines = count_line_ends(open, quote);
    *at = behind;
    if (behind < limit && *behind != scan->delimiter && *behind != '\n' && *behind != '\r') {
        *at = lines > 0 ? open : behind;
        return lines > 0 ? QUOTED_OPEN : QUOTED_TEXT;
    }
    scan->inner_lines += lines;
    *cell = (ap_str){open + 1, (size_t)(quote - open - 1)};
    if (doubled && !unquote(scan, cell, open + 1, quote)) {
        return QUOTED_MEMORY;
    }
    return QUOTED_CLOSED;
}

/* One cell from *at on; *at moves to its delimiter, its line end or the limit. */
static inline quoted_end scan_cell(ap_scan *scan, ap_str *cell, const char **at, const char *limit,
                                   uint64_t delimiters) {
    const char *begin = *at;
    quoted_end quoted = QUOTED_CLOSED;
    if (begin < limit && *begin == '"') {
        quoted = scan_quoted(scan, cell, at, limit);
        if (quoted != QUOTED_OPEN && quoted != QUOTED_TEXT) {
            return quoted;
        }
    }
    *at = find_special(*at, limit, delimiters);
    *cell = (ap_str){begin, (size_t)(*at - begin)};
    return quoted;
}

static ap_scan_end end_at_limit(ap_scan *scan, const char *limit) {
    if ((size_t)(limit - scan->start) > scan->row_max) {
        return AP_SCAN_LONG;
    }
    if (!scan->last) {
        return AP_SCAN_MORE;
    }
    scan->stop = scan->next = limit;
    return AP_SCAN_ROW;
}

static ap_scan_end end_at_line(ap_scan *scan, const char *at) {
    scan->stop = at;
    scan->next = at + 1;
    if (*at == '\r') {
        if (at + 1 == scan->end && !scan->last) {
            return AP_SCAN_MORE;
        }
        scan->next += at + 1 < scan->end && at[1] == '\n';
    }
    return AP_SCAN_ROW;
}

ap_scan_end ap_scan_row(ap_scan *scan) {
    const uint64_t delimiters = REPEAT(scan->delimiter);
    const char *at = scan->start;
    /* One byte past row_max may be looked at: the line end of a row that just fits. */
    const char *limit = (size_t)(scan->end - at) > scan->row_max ? at + scan->row_max + 1 : scan->end;
    size_t count = 0;
    scan->inner_lines = 0;
    scan->scratch_used = 0;
    scan->trouble = AP_SCAN_FINE;
    scan->trouble_cell = 0;
    for (;; at++) {
        ap_str cell;
        quoted_end quoted = scan_cell(scan, &cell, &at, limit, delimiters);
        if (quoted != QUOTED_CLOSED) {
            if (quoted == QUOTED_MORE || quoted == QUOTED_MEMORY) {
                return quoted == QUOTED_MORE ? AP_SCAN_MORE : AP_SCAN_MEMORY;
            }
            mark(scan, quoted == QUOTED_OPEN ? AP_SCAN_QUOTE_OPEN : AP_SCAN_QUOTE_TEXT, count);
        }
        if (count < scan->cells_max) {
            scan->cells[count++] = cell;
        } else {
            mark(scan, AP_SCAN_CELLS_MANY, count - 1);
        }
        if (cell.len > scan->cell_max) {
            mark(scan, AP_SCAN_CELL_LONG, count - 1);
        }
        if (at >= limit || *at != scan->delimiter) {
            scan->count = count;
            return at >= limit ? end_at_limit(scan, limit) : end_at_line(scan, at);
        }
    }
}
