#include "text/json_lines.h"

#include "base/arena.h"
#include "text/decode.h"

enum { TROUBLE_BYTES = 200 };

struct ap_json_keys {
    ap_arena arena;
    ap_str items[AP_JSON_KEYS_MAX];
    size_t count;
};

/* One line while it is read. */
typedef struct parse {
    const char *start, *at, *end;
    char *scratch; /* room for the whole line: unescaping never makes a text longer */
    size_t used;
    ap_str key; /* of the member being read */
    char trouble[TROUBLE_BYTES];
} parse;

struct ap_json_lines {
    ap_lines *lines;
    const ap_json_keys *keys;
    ap_str cells[AP_JSON_KEYS_MAX];
    bool set[AP_JSON_KEYS_MAX];
    ap_buf scratch;
    bool header_given;
    parse line;
};

bool ap_json_lines_looks_so(ap_str head) {
    size_t mark = 0;
    const ap_encoding encoding = ap_encoding_sniff(head, &mark);
    const size_t width = encoding == AP_ENCODING_UTF16LE || encoding == AP_ENCODING_UTF16BE ? 2 : 1;
    const size_t low = encoding == AP_ENCODING_UTF16BE ? 1 : 0;
    for (size_t i = mark; i + width <= head.len; i += width) {
        const char c = head.ptr[i + low];
        if (width == 2 && head.ptr[i + 1 - low] != 0) {
            return false;
        }
        if (c != ' ' && c != '\t' && c != '\r' && c != '\n') {
            return c == '{';
        }
    }
    return false;
}

static bool wrong(parse *line, const char *says) {
    if (!line->trouble[0]) {
        snprintf(line->trouble, sizeof line->trouble, "%s (byte %zu of the line)", says,
                 (size_t)(line->at - line->start) + 1);
    }
    return false;
}

static void pass_blanks(parse *line) {
    while (line->at < line->end && (*line->at == ' ' || *line->at == '\t')) {
        line->at++;
    }
}

static bool take(parse *line, char c) {
    if (line->at < line->end && *line->at == c) {
        line->at++;
        return true;
    }
    return false;
}

static void put_utf8(parse *line, uint32_t code) {
    char *out = line->scratch + line->used;
    if (code < 0x80) {
        out[0] = (char)code;
        line->used += 1;
    } else if (code < 0x800) {
        out[0] = (char)(0xC0 | code >> 6);
        out[1] = (char)(0x80 | (code & 0x3F));
        line->used += 2;
    } else if (code < 0x10000) {
        out[0] = (char)(0xE0 | code >> 12);
        out[1] = (char)(0x80 | (code >> 6 & 0x3F));
        out[2] = (char)(0x80 | (code & 0x3F));
        line->used += 3;
    } else {
        out[0] = (char)(0xF0 | code >> 18);
        out[1] = (char)(0x80 | (code >> 12 & 0x3F));
        out[2] = (char)(0x80 | (code >> 6 & 0x3F));
        out[3] = (char)(0x80 | (code & 0x3F));
        line->used += 4;
    }
}

static bool hex4(uint32_t *out, parse *line) {
    *out = 0;
    for (int i = 0; i < 4; i++) {
        const char c = line->at < line->end ? *line->at : ' ';
        const uint32_t digit = c >= '0' && c <= '9'   ? (uint32_t)(c - '0')
                               : c >= 'a' && c <= 'f' ? (uint32_t)(c - 'a' + 10)
                               : c >= 'A' && c <= 'F' ? (uint32_t)(c - 'A' + 10)
                                                      : 16u;
        if (digit == 16) {
            return wrong(line, "\\u needs four hexadecimal digits");
        }
        *out = *out << 4 | digit;
        line->at++;
    }
    return true;
}

static bool unicode_escape(parse *line) {
    uint32_t code = 0;
    if (!hex4(&code, line)) {
        return false;
    }
    if (code >= 0xD800 && code < 0xDC00) {
        uint32_t low = 0;
        if (!take(line, '\\') || !take(line, 'u') || !hex4(&low, line) || low < 0xDC00 || low > 0xDFFF) {
            return wrong(line, "half of a surrogate pair");
        }
        code = 0x10000 + ((code - 0xD800) << 10) + (low - 0xDC00);
    } else if (code >= 0xDC00 && code < 0xE000) {
        return wrong(line, "half of a surrogate pair");
    } else if (code == 0) {
        return wrong(line, "a text with a NUL character");
    }
    put_utf8(line, code);
    return true;
}

static bool escape(parse *line) {
    static const char letters[] = "\"\\/bfnrt";
    static const char meanings[] = "\"\\/\b\f\n\r\t";
    if (take(line, 'u')) {
        return unicode_escape(line);
    }
    const char *found = line->at < line->end && *line->at ? strchr(letters, *line->at) : NULL;
    if (!found) {
        return wrong(line, "no such escape in a text");
    }
    line->scratch[line->used++] = meanings[found - letters];
    line->at++;
    return true;
}

/* A text is a view into the line unless it holds an escape. */
static bool read_text(ap_str *out, parse *line) {
    if (!take(line, '"')) {
        return wrong(line, "a text in double quotes is expected");
    }
    const char *from = line->at;
    while (line->at < line->end && *line->at != '"' && *line->at != '\\' && (unsigned char)*line->at >= 0x20) {
        line->at++;
    }
    if (take(line, '"')) {
        *out = (ap_str){from, (size_t)(line->at - 1 - from)};
        return true;
    }
    const size_t begin = line->used;
    memcpy(line->scratch + begin, from, (size_t)(line->at - from));
    line->used += (size_t)(line->at - from);
    while (line->at < line->end && *line->at != '"') {
        if ((unsigned char)*line->at < 0x20) {
            return wrong(line, "a control character in a text: write it as an escape");
        }
        if (take(line, '\\')) {
            if (!escape(line)) {
                return false;
            }
        } else {
            line->scratch[line->used++] = *line->at++;
        }
    }
    *out = (ap_str){line->scratch + begin, line->used - begin};
    return take(line, '"') || wrong(line, "a text that is never closed");
}

static size_t digits(parse *line) {
    const char *from = line->at;
    while (line->at < line->end && *line->at >= '0' && *line->at <= '9') {
        line->at++;
    }
    return (size_t)(line->at - from);
}

static bool read_number(ap_str *out, parse *line) {
    const char *from = line->at;
    (void)take(line, '-');
    const bool zero = line->at < line->end && *line->at == '0';
    const size_t whole = digits(line);
    if (whole == 0 || (zero && whole > 1)) {
        return wrong(line, "not a number");
    }
    if (take(line, '.') && digits(line) == 0) {
        return wrong(line, "not a number: digits must follow the point");
    }
    if (take(line, 'e') || take(line, 'E')) {
        (void)(take(line, '+') || take(line, '-'));
        if (digits(line) == 0) {
            return wrong(line, "not a number: digits must follow the exponent's sign");
        }
    }
    *out = (ap_str){from, (size_t)(line->at - from)};
    return true;
}

static bool read_literal(parse *line, const char *word) {
    const size_t len = strlen(word);
    if ((size_t)(line->end - line->at) < len || memcmp(line->at, word, len) != 0) {
        return wrong(line, "neither a text, a number, true, false nor null");
    }
    line->at += len;
    return true;
}

static bool read_value(ap_str *out, parse *line) {
    const char c = line->at < line->end ? *line->at : ' ';
    *out = AP_STR_LIT("");
    switch (c) {
    case '"':
        return read_text(out, line);
    case '{':
        return wrong(line, "an object inside the object: legs are keys of their own, leg_1_kind, leg_2_kind");
    case '[':
        return wrong(line, "a list inside the object: several words are joined by +");
    case 't':
        *out = AP_STR_LIT("true");
        return read_literal(line, "true");
    case 'f':
        *out = AP_STR_LIT("false");
        return read_literal(line, "false");
    case 'n':
        return read_literal(line, "null");
    default:
        return (c == '-' || (c >= '0' && c <= '9')) ? read_number(out, line) : read_literal(line, "true");
    }
}

typedef bool (*member_fn)(void *context, parse *line, ap_str key, ap_str value);

static bool read_object(parse *line, member_fn member, void *context) {
    pass_blanks(line);
    if (!take(line, '{')) {
        return wrong(line, line->at < line->end && *line->at == '['
                               ? "a list, not an object: write one object a line, without brackets around them"
                               : "not an object: a line must be {\"job\": \"J1\", ...}");
    }
    pass_blanks(line);
    for (bool first = true; !take(line, '}'); first = false) {
        ap_str key;
        ap_str value;
        if (!first && !take(line, ',')) {
            return wrong(line, "a comma or a closing brace is expected");
        }
        pass_blanks(line);
        if (!read_text(&key, line)) {
            return false;
        }
        line->key = key;
        pass_blanks(line);
        if (!take(line, ':')) {
            return wrong(line, "a colon is expected behind the key");
        }
        pass_blanks(line);
        if (!read_value(&value, line) || !member(context, line, key, value)) {
            return false;
        }
        pass_blanks(line);
    }
    pass_blanks(line);
    return line->at == line->end || wrong(line, "text behind the object: write one object a line");
}

static size_t find_key(const ap_json_keys *keys, ap_str key, size_t guess) {
    if (guess < keys->count && ap_str_equal(keys->items[guess], key)) {
        return guess;
    }
    for (size_t i = 0; i < keys->count; i++) {
        if (ap_str_equal(keys->items[i], key)) {
            return i;
        }
    }
    return keys->count;
}

typedef struct collecting {
    ap_json_keys *keys;
    size_t next;
} collecting;

static bool collect(void *context, parse *line, ap_str key, ap_str value) {
    collecting *into = context;
    ap_json_keys *keys = into->keys;
    (void)line;
    (void)value;
    const size_t at = find_key(keys, key, into->next);
    into->next = at + 1;
    if (at == keys->count && at < AP_JSON_KEYS_MAX && key.len && key.len <= AP_JSON_KEY_BYTES) {
        const ap_str copy = ap_arena_str(&keys->arena, key);
        if (copy.ptr) {
            keys->items[keys->count++] = copy;
        }
    }
    return true;
}

static bool begin_line(parse *out, ap_buf *scratch, ap_str text) {
    *out = (parse){.start = text.ptr, .at = text.ptr, .end = text.ptr + text.len};
    ap_buf_clear(scratch);
    ap_buf_append(scratch, text.ptr, text.len); /* makes the room */
    ap_buf_append_char(scratch, '\0');
    out->scratch = scratch->ptr;
    return scratch->status == AP_OK;
}

ap_status ap_json_keys_read(ap_json_keys **out, ap_read_fn read, void *context, ap_error *err) {
    ap_json_keys *keys = calloc(1, sizeof *keys);
    ap_lines *lines = NULL;
    ap_buf scratch;
    ap_buf_init(&scratch, AP_JSON_LINE_MAX + 16);
    if (!keys) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
    }
    ap_arena_init(&keys->arena, 1u << 20);
    ap_status status = ap_lines_new(&lines, read, context, AP_JSON_LINE_MAX, err);
    for (bool more = true; status == AP_OK && more;) {
        ap_line line;
        status = ap_lines_next(&line, &more, lines, err);
        if (status == AP_OK && more && !line.trouble && !ap_str_is_blank(line.text)) {
            parse one;
            if (!begin_line(&one, &scratch, line.text)) {
                status = ap_error_set(err, AP_E_MEMORY, "out of memory while reading a log");
                break;
            }
            (void)read_object(&one, collect, &(collecting){keys, 0});
        }
    }
    if (status == AP_OK) {
        status = ap_arena_check(&keys->arena, "the keys of a log", err);
    }
    ap_lines_free(lines);
    ap_buf_release(&scratch);
    if (status != AP_OK) {
        ap_json_keys_free(keys);
        return status;
    }
    *out = keys;
    return AP_OK;
}

void ap_json_keys_free(ap_json_keys *keys) {
    if (keys) {
        ap_arena_release(&keys->arena);
        free(keys);
    }
}

size_t ap_json_keys_count(const ap_json_keys *keys) {
    return keys->count;
}

ap_status ap_json_lines_new(ap_json_lines **out, ap_read_fn read, void *context, const ap_json_keys *keys,
                            ap_error *err) {
    ap_json_lines *reader = calloc(1, sizeof *reader);
    if (!reader) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
    }
    reader->keys = keys;
    ap_buf_init(&reader->scratch, AP_JSON_LINE_MAX + 16);
    const ap_status status = ap_lines_new(&reader->lines, read, context, AP_JSON_LINE_MAX, err);
    if (status != AP_OK) {
        ap_json_lines_free(reader);
        return status;
    }
    *out = reader;
    return AP_OK;
}

void ap_json_lines_free(ap_json_lines *reader) {
    if (reader) {
        ap_lines_free(reader->lines);
        ap_buf_release(&reader->scratch);
        free(reader);
    }
}

typedef struct placing {
    ap_json_lines *reader;
    size_t next;
} placing;

static bool place(void *context, parse *line, ap_str key, ap_str value) {
    placing *into = context;
    ap_json_lines *reader = into->reader;
    const size_t at = find_key(reader->keys, key, into->next);
    into->next = at + 1;
    if (at == reader->keys->count) {
        return wrong(line, "a key that is empty or too long, or more than 256 different keys in the log");
    }
    if (reader->set[at]) {
        char says[TROUBLE_BYTES / 2];
        ap_str shown = reader->keys->items[at];
        shown.len = ap_utf8_valid_prefix((ap_str){shown.ptr, shown.len < 60 ? shown.len : 60});
        snprintf(says, sizeof says, "the key '%.*s' stands twice in the object", AP_STR_ARG(shown));
        return wrong(line, says);
    }
    reader->set[at] = true;
    reader->cells[at] = value;
    return true;
}

static void read_row(ap_row *row, ap_json_lines *reader, const ap_line *line) {
    const size_t count = reader->keys->count;
    for (size_t i = 0; i < count; i++) {
        reader->cells[i] = AP_STR_LIT("");
        reader->set[i] = false;
    }
    *row = (ap_row){.cells = reader->cells,
                    .count = count,
                    .line = line->number,
                    .line_last = line->number,
                    .raw = line->text,
                    .trouble = line->trouble};
    if (line->trouble || ap_str_is_blank(line->text)) {
        return;
    }
    if (!begin_line(&reader->line, &reader->scratch, line->text)) {
        row->trouble = "line too long for the memory there is";
        return;
    }
    placing into = {reader, 0};
    if (!read_object(&reader->line, place, &into)) {
        row->trouble = reader->line.trouble;
        const size_t at = find_key(reader->keys, reader->line.key, into.next);
        row->trouble_cell = at < count ? at : 0;
    }
}

ap_status ap_json_lines_next(ap_row *row, bool *more, ap_json_lines *reader, ap_error *err) {
    if (!reader->header_given) {
        reader->header_given = true;
        *row = (ap_row){.cells = reader->keys->items, .count = reader->keys->count, .raw = AP_STR_LIT("")};
        *more = true;
        return AP_OK;
    }
    ap_line line;
    const ap_status status = ap_lines_next(&line, more, reader->lines, err);
    if (status == AP_OK && *more) {
        read_row(row, reader, &line);
    }
    return status;
}

ap_encoding ap_json_lines_encoding(const ap_json_lines *reader) {
    return ap_lines_encoding(reader->lines);
}
