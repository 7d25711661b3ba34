#include "followup/writeup_text.h"
#include "text/line_diff.h"

/* "- Severity settled on: critical" -> "critical"; false when the line does not begin so. */
static bool value_after(ap_str *value, ap_str line, const char *prefix) {
    ap_str start = ap_str_from(prefix);
    line = ap_str_trim(line);
    if (line.len > 1 && strchr("-*+", line.ptr[0]) && line.ptr[1] == ' ') {
        line = ap_str_trim((ap_str){line.ptr + 1, line.len - 1});
    }
    if (line.len < start.len || !ap_str_equal_nocase((ap_str){line.ptr, start.len}, start)) {
        return false;
    }
    *value = ap_str_trim((ap_str){line.ptr + start.len, line.len - start.len});
    while (value->len && strchr(".*_", value->ptr[value->len - 1])) {
        value->len--;
    }
    return true;
}

static ap_status settle_severity(ap_str *out, ap_str value, size_t line, ap_error *err) {
    static const char *const words[] = {"catastrophic", "critical", "marginal", "negligible"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (ap_str_equal_nocase(value, ap_str_from(words[i]))) {
            *out = ap_str_from(words[i]);
            return AP_OK;
        }
    }
    return ap_error_set(
        err, AP_E_INPUT,
        "line %zu: severity '%.*s': write catastrophic, critical, marginal or negligible, or leave it open", line,
        AP_STR_ARG(value));
}

static ap_status settle_probability(ap_str *out, ap_str value, size_t line, ap_error *err) {
    static const char *const letters[] = {"A", "B", "C", "D", "E", "F"};
    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++) {
        if (ap_str_equal_nocase(value, ap_str_from(letters[i]))) {
            *out = ap_str_from(letters[i]);
            return AP_OK;
        }
    }
    return ap_error_set(err, AP_E_INPUT, "line %zu: probability '%.*s': write a letter from A to F, or leave it open",
                        line, AP_STR_ARG(value));
}

static ap_status settle_state(ap_str *out, ap_str value, size_t line, ap_error *err) {
    ap_date date;
    if (!ap_date_from_iso(&date, value)) {
        return ap_error_set(err, AP_E_INPUT,
                            "line %zu: signed off on '%.*s': write a date as 2026-10-31, or leave it open", line,
                            AP_STR_ARG(value));
    }
    *out = AP_STR_LIT("signed off");
    return AP_OK;
}

static bool is_mark(char c) {
    return (c >= '!' && c <= '/') || (c >= ':' && c <= '@') || (c >= '[' && c <= '`') || (c >= '{' && c <= '~');
}

/* "# Near miss on A\_B/4" -> "Near miss on A_B/4" */
static ap_str plain_title(ap_arena *arena, ap_str line) {
    ap_str title = ap_str_trim((ap_str){line.ptr + 2, line.len - 2});
    char *plain = ap_arena_alloc(arena, title.len + 1);
    size_t len = 0;
    for (size_t i = 0; plain && i < title.len; i++) {
        i += title.ptr[i] == '\\' && i + 1 < title.len && is_mark(title.ptr[i + 1]);
        plain[len++] = title.ptr[i];
    }
    return (ap_str){plain, len};
}

static bool in_a_part(const ap_writeup_text *text, size_t line) {
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        if (text->part[i].there && line > text->part[i].first_line && line < text->part[i].last_line) {
            return true;
        }
    }
    return false;
}

ap_status ap_writeup_settled(ap_writeup *out, ap_arena *arena, const ap_writeup_text *text, ap_error *err) {
    ap_line_list lines;
    ap_writeup settled = *out;
    bool titled = false;
    settled.severity = settled.probability = AP_STR_NONE;
    settled.state = AP_STR_LIT("draft");
    ap_status status = ap_line_split(&lines, arena, text->text, err);
    for (size_t i = 0; status == AP_OK && i < lines.count; i++) {
        ap_str line = ap_line_body(lines.items[i]);
        ap_str value;
        if (in_a_part(text, i + 1)) {
            continue;
        }
        if (!titled && ap_str_starts(line, AP_STR_LIT("# "))) {
            titled = true;
            settled.title = plain_title(arena, line);
        } else if (value_after(&value, line, "Severity settled on:") && value.len) {
            status = settle_severity(&settled.severity, value, i + 1, err);
        } else if (value_after(&value, line, "Probability settled on:") && value.len) {
            status = settle_probability(&settled.probability, value, i + 1, err);
        } else if (value_after(&value, line, "Signed off on:") && value.len) {
            status = settle_state(&settled.state, value, i + 1, err);
        }
    }
    if (status == AP_OK) {
        status = ap_arena_check(arena, "the write-up's title", err);
    }
    if (status == AP_OK) {
        *out = settled;
    }
    return status;
}
