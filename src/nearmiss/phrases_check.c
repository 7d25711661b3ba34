/* What a phrase rule has to pass before it is let in: C1 it compiles, alone and inside brackets; C2 it does not match nothing;
 * C3 it refers to no group by number, for among the others the numbers change, nor does it end or move their search
 * (phrases_forbid.c); C4 each line of `must` is found, none of
 * `must_not` is; C5 it has at least one line of each kind; C6 it ends in reasonable time on long dull texts. */
#include "nearmiss/phrases_private.h"

enum { DULL_BYTES = 4096 };

/* Whether one rule, alone, says something about a line. */
static ap_status says(bool *found, ap_phrases *phrases, ap_pattern *pattern, ap_str line, ap_error *err) {
    size_t start = 0;
    *found = false;
    while (start <= line.len) {
        bool match = false;
        ap_status status = ap_pattern_match(&match, pattern, line, start, err);
        if (status != AP_OK || !match) {
            return status;
        }
        ap_str hit = ap_pattern_group(pattern, 0);
        size_t at = (size_t)(hit.ptr - line.ptr);
        bool back = false;
        if (hit.len == 0) { /* nothing that could be marked in the note */
            back = true;
        } else if (!ap_pattern_named(pattern, "lack").ptr) {
            status = ap_phrases_taken_back(&back, phrases, line, at, hit.len, err);
            if (status != AP_OK) {
                return status;
            }
        }
        if (!back) {
            *found = true;
            return AP_OK;
        }
        start = at + 1;
    }
    return AP_OK;
}

static ap_status check_lines(ap_phrases *phrases, ap_pattern *pattern, ap_str lines, bool wanted, ap_error *err) {
    size_t count = 0;
    for (ap_str rest = lines; rest.ptr;) {
        ap_str line = ap_str_trim(ap_str_split(rest, '\n', &rest));
        if (line.len == 0) {
            continue;
        }
        bool found = false;
        ap_status status = says(&found, phrases, pattern, line, err);
        if (status != AP_OK) {
            return status;
        }
        if (found != wanted) {
            return ap_error_set(err, AP_E_INPUT, "it %s '%.*s', a line that it %s", found ? "finds" : "does not find",
                                AP_STR_ARG(line), wanted ? "must find" : "must not find");
        }
        count++;
    }
    return count ? AP_OK
                 : ap_error_set(err, AP_E_INPUT, "it has no line that it %s: give at least one",
                                wanted ? "must find" : "must not find");
}

/* Long texts that make a careless pattern go round and round: one letter, words, spaces, digits, its own lines. */
static ap_status check_effort(ap_pattern *pattern, ap_str must, ap_error *err) {
    const ap_str dull[] = {AP_STR_LIT("a"),
                           AP_STR_LIT(" "),
                           AP_STR_LIT("a "),
                           AP_STR_LIT("0"),
                           AP_STR_LIT("ab, "),
                           AP_STR_LIT("the it "),
                           must};
    ap_buf text;
    ap_buf_init(&text, 4 * DULL_BYTES + must.len);
    ap_status status = AP_OK;
    for (size_t i = 0; i < sizeof dull / sizeof dull[0] && status == AP_OK; i++) {
        ap_buf_clear(&text);
        while (dull[i].len && text.len < DULL_BYTES && text.status == AP_OK) {
            ap_buf_append_str(&text, dull[i]);
        }
        ap_buf_append_char(&text, '!');
        status = ap_buf_check(&text, "the check of a phrase rule", err);
        bool found = true;
        for (size_t start = 0; status == AP_OK && found; start++) {
            status = ap_pattern_match(&found, pattern, ap_buf_str(&text), start, err);
            ap_str hit = ap_pattern_group(pattern, 0);
            start = found ? (size_t)(hit.ptr - text.ptr) + hit.len : start;
        }
    }
    ap_buf_release(&text);
    if (status == AP_E_LIMIT) {
        return ap_error_set(err, AP_E_INPUT,
                            "it goes back and forth without end on a long text: make its repeats possessive (++ for +, "
                            "*+ for *) or bounded ({0,3})");
    }
    return status;
}

/* PCRE2's words about the pattern a person wrote, without what stands around it here. */
static ap_status compile_alone(ap_pattern **out, const ap_phrase_set *set, const ap_phrase_rule *rule, ap_error *err) {
    ap_status status = ap_phrases_compile(out, set, "", rule->pattern, "", err);
    if (status != AP_E_INPUT || strncmp(err->text, "unable", 6) != 0) {
        return status;
    }
    const char *reason = err->text;
    for (const char *at = strstr(reason, "': "); at; at = strstr(reason, "': ")) {
        reason = at + 3;
    }
    char words[256];
    const char *end = strstr(reason, " (at byte");
    snprintf(words, sizeof words, "%.*s", end ? (int)(end - reason) : (int)strlen(reason), reason);
    int shown = rule->pattern.len > 200 ? 200 : (int)rule->pattern.len;
    return ap_error_set(err, AP_E_INPUT, "the pattern '%.*s' does not compile: %s", shown, rule->pattern.ptr, words);
}

static ap_status check_rule(ap_phrases *phrases, const ap_phrase_set *set, const ap_phrase_rule *rule, ap_error *err) {
    ap_pattern *pattern = NULL;
    ap_pattern *alone = NULL;
    bool empty = false;
    const char *forbidden = ap_str_is_blank(rule->pattern) ? "it has no pattern" : ap_phrases_forbidden(rule->pattern);
    ap_status status =
        forbidden ? ap_error_set(err, AP_E_INPUT, "%s", forbidden) : compile_alone(&alone, set, rule, err);
    if (status == AP_OK) {
        status = ap_phrases_compile(&pattern, set, AP_PHRASE_START, rule->pattern, ")", err);
    }
    if (status == AP_OK && ap_pattern_refers_back(pattern)) {
        status = ap_error_set(err, AP_E_INPUT, "it refers back to a group (\\1): that is not allowed here");
    }
    if (status == AP_OK) {
        status = ap_pattern_match(&empty, alone, AP_STR_LIT(""), 0, err);
    }
    if (status == AP_OK && empty) {
        status = ap_error_set(err, AP_E_INPUT, "it matches an empty note: every note would be found");
    }
    if (status == AP_OK) {
        status = check_effort(pattern, rule->must, err);
    }
    if (status == AP_OK) {
        status = check_lines(phrases, pattern, rule->must, true, err);
    }
    if (status == AP_OK) {
        status = check_lines(phrases, pattern, rule->must_not, false, err);
    }
    if (status == AP_OK) {
        ap_phrases_mark_begin(phrases, (size_t)(rule - set->rules), pattern);
    }
    ap_pattern_free(pattern);
    ap_pattern_free(alone);
    return status;
}

ap_status ap_phrases_check(ap_phrases *phrases, const ap_phrase_set *set, ap_error *err) {
    for (size_t i = 0; i < set->count; i++) {
        ap_status status = check_rule(phrases, set, &set->rules[i], err);
        if (status != AP_OK) {
            return ap_error_wrap(err, status, "phrase rule '%.*s'", AP_STR_ARG(set->rules[i].name));
        }
    }
    return AP_OK;
}
