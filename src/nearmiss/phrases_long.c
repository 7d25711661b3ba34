/* A rule against long notes, when a person enters it. A careless pattern goes round and round only where it has begun and then does not
 * end: so each note begins as one of the lines that must be found does, its first one word, two, three..., and goes on with something
 * else for four kilobytes: one letter, short words, spaces, digits, what crews write, that line's own words but the last. */
#include "nearmiss/phrases_private.h"

enum { LONG_BYTES = 4096, LINES_MAX = 8, BEGIN_WORDS_MAX = 12, SHOWN_BYTES = 40 };

static const char *const fills[] = {
    "a",
    "ab ",
    " ",
    "7",
    "the crew set up by the road and took each piece to the truck, one man held the line, wind 10 from west; ",
};

/* The first `words` words of a line; *last says that there are no more. */
static ap_str first_words(ap_str line, size_t words, bool *last) {
    size_t at = 0;
    for (size_t w = 0; w < words && at < line.len; w++) {
        while (at < line.len && line.ptr[at] == ' ') {
            at++;
        }
        while (at < line.len && line.ptr[at] != ' ') {
            at++;
        }
    }
    *last = at >= line.len;
    return (ap_str){line.ptr, at};
}

/* Every word of the note is tried as a beginning, as a search does. */
static ap_status read_through(ap_pattern *pattern, ap_str note, ap_error *err) {
    bool inside = false;
    for (size_t at = 0; at < note.len; at++) {
        bool word = note.ptr[at] != ' ';
        bool found = false;
        ap_status status = word && !inside ? ap_pattern_match(&found, pattern, note, at, err) : AP_OK;
        if (status != AP_OK) {
            return status;
        }
        inside = word;
    }
    return AP_OK;
}

static ap_status try_note(ap_buf *note, ap_pattern *pattern, ap_str begin, ap_str fill, ap_error *err) {
    ap_buf_clear(note);
    ap_buf_append_str(note, begin);
    ap_buf_append_char(note, ' ');
    while (fill.len && note->len < LONG_BYTES && note->status == AP_OK) {
        ap_buf_append_str(note, fill);
    }
    ap_buf_append_cstr(note, " ~");
    ap_status status = ap_buf_check(note, "the check of a phrase rule", err);
    if (status == AP_OK) {
        status = read_through(pattern, ap_buf_str(note), err);
    }
    if (status != AP_E_LIMIT) {
        return status;
    }
    int shown = note->len < SHOWN_BYTES ? (int)note->len : SHOWN_BYTES;
    return ap_error_set(err, AP_E_INPUT,
                        "on a note of 4 kB that begins '%.*s' it goes back and forth without end: make its repeats "
                        "possessive (++ for +, *+ for *) or bounded ({0,3})",
                        shown, note->ptr);
}

static ap_status try_line(ap_buf *note, ap_pattern *pattern, ap_str line, ap_error *err) {
    ap_status status = AP_OK;
    bool last = false;
    for (size_t words = 1; words <= BEGIN_WORDS_MAX && !last && status == AP_OK; words++) {
        ap_str begin = first_words(line, words, &last);
        for (size_t f = 0; f < sizeof fills / sizeof fills[0] && status == AP_OK; f++) {
            status = try_note(note, pattern, begin, ap_str_from(fills[f]), err);
        }
        /* its own words, without the one that ends it */
        ap_str own = {line.ptr, begin.len + (begin.len < line.len)};
        if (status == AP_OK && !last) {
            status = try_note(note, pattern, begin, own, err);
        }
    }
    return status;
}

ap_status ap_phrases_try_long(const ap_phrase_set *set, const ap_phrase_rule *rule, ap_error *err) {
    ap_pattern *pattern = NULL;
    ap_buf note;
    ap_buf_init(&note, (size_t)4 * LONG_BYTES + rule->must.len * 2);
    /* The second branch never fits: with it PCRE2 asks no letter of the note beforehand, as it cannot among the other rules. */
    ap_status status = ap_phrases_compile(&pattern, set, "\\G" AP_PHRASE_START, rule->pattern, "|~~)", err);
    size_t lines = 0;
    for (ap_str rest = rule->must; rest.ptr && lines < LINES_MAX && status == AP_OK;) {
        ap_str line = ap_str_trim(ap_str_split(rest, '\n', &rest));
        lines += line.len > 0;
        status = line.len ? try_line(&note, pattern, line, err) : AP_OK;
    }
    ap_buf_release(&note);
    ap_pattern_free(pattern);
    return status == AP_OK ? AP_OK : ap_error_wrap(err, status, "phrase rule '%.*s'", AP_STR_ARG(rule->name));
}
