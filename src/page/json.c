#include "page/json.h"

#include <assert.h>

#include "page/glyph.h"

void ap_json_init(ap_json *json, ap_sink *sink, bool pretty) {
    memset(json, 0, sizeof *json);
    json->sink = sink;
    json->pretty = pretty;
    json->first[0] = true;
}

static void new_line(ap_json *json) {
    if (json->pretty) {
        ap_sink_putc(json->sink, '\n');
        for (int i = 0; i < json->depth; i++) {
            ap_sink_puts(json->sink, "  ");
        }
    }
}

static void before_item(ap_json *json) {
    if (!json->first[json->depth]) {
        ap_sink_putc(json->sink, ',');
    }
    json->first[json->depth] = false;
    if (json->depth > 0) {
        new_line(json);
    }
}

/* What comes before a value: nothing after a key, else the comma of an array. */
static void before_value(ap_json *json) {
    if (json->after_key) {
        json->after_key = false;
        return;
    }
    assert(!json->in_object[json->depth]);               /* a member needs its key */
    assert(json->depth > 0 || json->first[json->depth]); /* one value is one text */
    before_item(json);
}

static void open_level(ap_json *json, char bracket, bool object) {
    before_value(json);
    assert(json->depth + 1 < AP_JSON_DEPTH_MAX);
    ap_sink_putc(json->sink, bracket);
    json->depth++;
    json->first[json->depth] = true;
    json->in_object[json->depth] = object;
}

static void close_level(ap_json *json, char bracket, bool object) {
    assert(json->depth > 0 && json->in_object[json->depth] == object && !json->after_key);
    (void)object;
    bool empty = json->first[json->depth];
    json->depth--;
    if (!empty) {
        new_line(json);
    }
    ap_sink_putc(json->sink, bracket);
}

void ap_json_object_begin(ap_json *json) {
    open_level(json, '{', true);
}

void ap_json_object_end(ap_json *json) {
    close_level(json, '}', true);
}

void ap_json_array_begin(ap_json *json) {
    open_level(json, '[', false);
}

void ap_json_array_end(ap_json *json) {
    close_level(json, ']', false);
}

/* Beyond what RFC 8259 section 7 asks for, whatever a terminal would obey or the eye not see is escaped too. */
static void put_string(ap_json *json, ap_str value) {
    ap_sink *sink = json->sink;
    ap_sink_putc(sink, '"');
    for (size_t at = 0; at < value.len;) {
        uint32_t code = ap_utf8_next(value, &at);
        char bytes[4];
        if (code == '"' || code == '\\') {
            ap_sink_printf(sink, "\\%c", (int)code);
        } else if (code == '\n') {
            ap_sink_puts(sink, "\\n");
        } else if (code == '\r') {
            ap_sink_puts(sink, "\\r");
        } else if (code == '\t') {
            ap_sink_puts(sink, "\\t");
        } else if (code < 0x20 || code == 0x7F || code == 0x2028 || code == 0x2029 ||
                   (code < 0x10000 && ap_code_is_hidden(code))) {
            ap_sink_printf(sink, "\\u%04x", (unsigned)code);
        } else {
            ap_sink_put(sink, (ap_str){bytes, ap_utf8_put(bytes, code)});
        }
    }
    ap_sink_putc(sink, '"');
}

void ap_json_key(ap_json *json, const char *key) {
    assert(json->in_object[json->depth] && !json->after_key);
    before_item(json);
    put_string(json, ap_str_from(key));
    ap_sink_puts(json->sink, json->pretty ? ": " : ":");
    json->after_key = true;
}

void ap_json_text(ap_json *json, ap_str value) {
    before_value(json);
    if (!value.ptr) {
        ap_sink_puts(json->sink, "null");
    } else {
        put_string(json, value);
    }
}

void ap_json_number(ap_json *json, double value) {
    if (!isfinite(value)) {
        ap_json_null(json);
        return;
    }
    before_value(json);
    char text[40];
    for (int digits = 1; digits <= 17; digits++) {
        snprintf(text, sizeof text, "%.*g", digits, value);
        if (strtod(text, NULL) == value) {
            break;
        }
    }
    /* 4850 is written as it is read, not as 4.85e+03: whole numbers that a double holds exactly. */
    if (strchr(text, 'e') && fabs(value) < 1e15 && value == nearbyint(value)) {
        snprintf(text, sizeof text, "%.0f", value);
    }
    ap_sink_puts(json->sink, text);
}

void ap_json_int(ap_json *json, int64_t value) {
    before_value(json);
    ap_sink_printf(json->sink, "%lld", (long long)value);
}

void ap_json_bool(ap_json *json, bool value) {
    before_value(json);
    ap_sink_puts(json->sink, value ? "true" : "false");
}

void ap_json_null(ap_json *json) {
    before_value(json);
    ap_sink_puts(json->sink, "null");
}

void ap_json_date(ap_json *json, ap_date date) {
    if (date == AP_DATE_NONE) {
        ap_json_null(json);
        return;
    }
    char iso[AP_ISO_SIZE];
    ap_date_to_iso(iso, date);
    ap_json_text(json, ap_str_from(iso));
}

void ap_json_put_text(ap_json *json, const char *key, ap_str value) {
    ap_json_key(json, key);
    ap_json_text(json, value);
}

void ap_json_put_number(ap_json *json, const char *key, double value) {
    ap_json_key(json, key);
    ap_json_number(json, value);
}

void ap_json_put_int(ap_json *json, const char *key, int64_t value) {
    ap_json_key(json, key);
    ap_json_int(json, value);
}

void ap_json_put_bool(ap_json *json, const char *key, bool value) {
    ap_json_key(json, key);
    ap_json_bool(json, value);
}

void ap_json_put_date(ap_json *json, const char *key, ap_date date) {
    ap_json_key(json, key);
    ap_json_date(json, date);
}
