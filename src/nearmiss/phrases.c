/* All rules in one alternation, tried where a word begins.
 *
 *   R1 Rules are tried in the order of the list; the first that fits at a word wins, then the search goes on behind the hit.
 *   R2 A hit that is taken back is passed over by one word, so that a longer story is not lost behind it.
 *   R3 The prefilter: how a hit can begin, as far as notes have shown beginnings (phrases_begin.c); in the alternation each rule stands
 *      behind its own first letters. In doubt a beginning is let through, so that the filter never loses a hit.
 *   R4 A note is searched to AP_PHRASE_NOTE_MAX bytes and no further.
 *   R5 Nothing is said about a note that needs too many steps. */
#include "nearmiss/phrases_private.h"

enum { PATTERN_BYTES = 64 * 1024, WINDOW = 64 };

static const struct {
    const char *name;
    const char *words;
} reasons[AP_REASON_COUNT] = {
    [AP_REASON_PLACE] = {"place", "a person in the wrong place"},
    [AP_REASON_CRANE] = {"crane", "the crane"},
    [AP_REASON_NEAR] = {"near", "a house or a line near"},
    [AP_REASON_BALANCE] = {"balance", "balance"},
    [AP_REASON_SLACK] = {"slack", "slack"},
    [AP_REASON_SLING] = {"sling", "a sling"},
    [AP_REASON_SAW] = {"saw", "the saw"},
    [AP_REASON_WEIGHT] = {"weight", "weight"},
    [AP_REASON_WIND] = {"wind", "wind"},
    [AP_REASON_COMMUNICATION] = {"communication", "communication"},
    [AP_REASON_UNCLEAR] = {"unclear", "not said why"},
};

const char *ap_reason_name(ap_reason reason) {
    return reasons[reason].name;
}

const char *ap_reason_words(ap_reason reason) {
    return reasons[reason].words;
}

bool ap_reason_find(ap_reason *out, ap_str name) {
    for (int reason = 0; reason < AP_REASON_COUNT; reason++) {
        if (ap_str_equal_word(name, reasons[reason].name)) {
            *out = (ap_reason)reason;
            return true;
        }
    }
    return false;
}

/* Length of a placeholder such as {person} at the start of `text`, 0 when there is none: {2,3} is a repeat. */
static size_t placeholder(ap_str text) {
    size_t len = 1;
    while (len < text.len && text.ptr[len] >= 'a' && text.ptr[len] <= 'z') {
        len++;
    }
    return text.len > 0 && text.ptr[0] == '{' && len > 1 && len < text.len && text.ptr[len] == '}' ? len + 1 : 0;
}

/* The lists of words as groups that are only called: each stands in the pattern once, however often it is named. */
void ap_phrases_define(ap_buf *out, const ap_phrase_set *set) {
    for (size_t w = 0; w < set->word_count; w++) {
        ap_buf_appendf(out, "%s(?<w_%.*s>%.*s)", w ? "" : "(?(DEFINE)", AP_STR_ARG(set->words[w].name),
                       AP_STR_ARG(set->words[w].list));
    }
    ap_buf_append_cstr(out, set->word_count ? ")" : "");
}

ap_status ap_phrases_expand(ap_buf *out, const ap_phrase_set *set, ap_str pattern, ap_error *err) {
    for (size_t i = 0; i < pattern.len; i++) {
        size_t len = placeholder((ap_str){pattern.ptr + i, pattern.len - i});
        if (len == 0) {
            ap_buf_append_char(out, pattern.ptr[i]);
            continue;
        }
        ap_str name = {pattern.ptr + i + 1, len - 2};
        size_t w = 0;
        while (w < set->word_count && !ap_str_equal(set->words[w].name, name)) {
            w++;
        }
        if (w == set->word_count) {
            return ap_error_set(err, AP_E_INPUT, "there is no list of words {%.*s}", AP_STR_ARG(name));
        }
        ap_buf_appendf(out, "(?&w_%.*s)", AP_STR_ARG(name));
        i += len - 1;
    }
    return ap_buf_check(out, "a phrase rule", err);
}

/* One pattern with text around it, lists of words put in. */
ap_status ap_phrases_compile(ap_pattern **out, const ap_phrase_set *set, const char *before, ap_str pattern,
                             const char *after, ap_error *err) {
    ap_buf text;
    ap_buf_init(&text, PATTERN_BYTES);
    ap_phrases_define(&text, set);
    ap_buf_append_cstr(&text, before);
    ap_status status = ap_phrases_expand(&text, set, pattern, err);
    ap_buf_append_cstr(&text, after);
    if (status == AP_OK) {
        status = ap_buf_check(&text, "a phrase rule", err);
    }
    if (status == AP_OK) {
        status = ap_pattern_new(out, ap_buf_str(&text), "i", err);
    }
    ap_buf_release(&text);
    return status;
}

static ap_status build_all(ap_phrases *phrases, const ap_phrase_set *set, ap_error *err) {
    ap_buf_append_cstr(&phrases->text, "(?J)");
    ap_phrases_define(&phrases->text, set);
    ap_buf_append_cstr(&phrases->text, "\\G" AP_PHRASE_START);
    for (size_t i = 0; i < set->count; i++) {
        ap_buf_append_cstr(&phrases->text, i ? "|(?=[\\d_" : "(?=[\\d_");
        for (unsigned letter = 0; letter < AP_PHRASE_LETTERS; letter++) {
            ap_buf_append(&phrases->text, &"abcdefghijklmnopqrstuvwxyz"[letter], phrases -> first[i] >> letter & 1);
        }
        ap_buf_appendf(&phrases->text, "])(?<r%zu_>", i);
        ap_status status = ap_phrases_expand(&phrases->text, set, set->rules[i].pattern, err);
        if (status != AP_OK) {
            return ap_error_wrap(err, status, "phrase rule '%.*s'", AP_STR_ARG(set->rules[i].name));
        }
        ap_buf_append_char(&phrases->text, ')');
    }
    ap_buf_append_char(&phrases->text, ')');
    ap_status status = ap_buf_check(&phrases->text, "the phrase rules", err);
    if (status == AP_OK) {
        status = ap_pattern_new(&phrases->all, ap_buf_str(&phrases->text), "i", err);
        status = status == AP_OK ? AP_OK : ap_error_wrap(err, status, "the phrase rules together");
    }
    for (unsigned n = 0; status == AP_OK && n < ap_pattern_name_count(phrases->all); n++) {
        unsigned group = 0;
        const char *name = ap_pattern_name(phrases->all, n, &group);
        size_t len = strlen(name);
        int64_t rule = 0;
        if (name[0] == 'r' && name[len - 1] == '_' && ap_str_to_int64(&rule, (ap_str){name + 1, len - 2}) &&
            rule < (int64_t)set->count) {
            phrases->group[rule] = group;
        } else if (strcmp(name, "lack") == 0 && phrases->lack_count < AP_PHRASE_RULES_MAX) {
            phrases->lack[phrases->lack_count++] = group;
        }
    }
    return status;
}

/* The lists of words, each alone: a broken one would be blamed on every rule. */
static ap_status check_words(const ap_phrase_set *set, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t w = 0; w < set->word_count && status == AP_OK; w++) {
        ap_pattern *list = NULL;
        status = ap_pattern_new(&list, set->words[w].list, "i", err);
        ap_pattern_free(list);
        status = status == AP_OK ? status
                                 : ap_error_wrap(err, status, "phrase-words '%.*s'", AP_STR_ARG(set->words[w].name));
    }
    return status;
}

static ap_status compile_around(ap_phrases *phrases, const ap_phrase_set *set, ap_error *err) {
    ap_status status = ap_phrases_compile(&phrases->before, set, "(?:", set->before, ")\\z", err);
    if (status != AP_OK) {
        return ap_error_wrap(err, status, "phrase-around 'before'");
    }
    status = ap_phrases_compile(&phrases->after, set, "\\A(?:", set->after, ")", err);
    return status == AP_OK ? status : ap_error_wrap(err, status, "phrase-around 'after'");
}

ap_status ap_phrases_new(ap_phrases **out, const ap_phrase_set *set, ap_error *err) {
    if (set->count == 0 || set->count > AP_PHRASE_RULES_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "%zu phrase rules: there may be 1 to %d", set->count, AP_PHRASE_RULES_MAX);
    }
    ap_phrases *phrases = calloc(1, sizeof *phrases);
    if (!phrases) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the phrase rules");
    }
    phrases->rules = set->rules;
    phrases->count = set->count;
    ap_buf_init(&phrases->text, PATTERN_BYTES);
    ap_status status = check_words(set, err);
    if (status == AP_OK) {
        status = compile_around(phrases, set, err);
    }
    if (status == AP_OK) {
        status = ap_phrases_check(phrases, set, err);
    }
    if (status == AP_OK) {
        status = build_all(phrases, set, err);
    }
    if (status == AP_OK) {
        status = ap_phrases_begin_new(phrases, err);
    }
    if (status != AP_OK) {
        ap_phrases_free(phrases);
        return status;
    }
    *out = phrases;
    return AP_OK;
}

void ap_phrases_free(ap_phrases *phrases) {
    if (phrases) {
        ap_pattern_free(phrases->all);
        ap_pattern_free(phrases->before);
        ap_pattern_free(phrases->after);
        ap_phrases_begin_free(phrases);
        ap_buf_release(&phrases->text);
        free(phrases);
    }
}

static bool ends_clause(char byte) {
    static const char ends[] = {'.', ',', ';', ':', '!', '?', '(', ')', '\n', '\r'};
    return memchr(ends, byte, sizeof ends) != NULL;
}

/* Whether words in front of the hit or behind it, inside its clause, take it back. */
ap_status ap_phrases_taken_back(bool *back, ap_phrases *phrases, ap_str note, size_t at, size_t len, ap_error *err) {
    size_t from = at;
    while (from > 0 && at - from < WINDOW && !ends_clause(note.ptr[from - 1])) {
        from--;
    }
    ap_status status = ap_pattern_match(back, phrases->before, (ap_str){note.ptr + from, at - from}, 0, err);
    size_t to = at + len;
    while (to < note.len && to - at - len < WINDOW && !ends_clause(note.ptr[to])) {
        to++;
    }
    if (status == AP_OK && !*back) {
        status = ap_pattern_match(back, phrases->after, (ap_str){note.ptr + at + len, to - at - len}, 0, err);
    }
    return status;
}

static bool speaks_of_lack(const ap_phrases *phrases) {
    for (size_t i = 0; i < phrases->lack_count; i++) {
        if (ap_pattern_group(phrases->all, phrases->lack[i]).ptr) {
            return true;
        }
    }
    return false;
}

static size_t rule_of_match(const ap_phrases *phrases) {
    size_t rule = 0;
    while (rule + 1 < phrases->count && !ap_pattern_group(phrases->all, phrases->group[rule]).ptr) {
        rule++;
    }
    return rule;
}

unsigned ap_phrases_letter(char byte) {
    unsigned letter = ((unsigned char)byte | 0x20u) - 'a';
    return letter < AP_PHRASE_LETTERS ? letter : AP_PHRASE_LETTERS;
}

void ap_phrases_mark_begin(ap_phrases *phrases, size_t rule, const ap_pattern *pattern) {
    for (unsigned letter = 0; letter < AP_PHRASE_LETTERS; letter++) {
        const char text = (char)('a' + letter);
        phrases->first[rule] |= ap_pattern_may_begin(pattern, (ap_str){&text, 1}) ? 1u << letter : 0;
    }
}

ap_status ap_phrases_find(ap_phrase_hit hits[AP_PHRASE_HITS_MAX], size_t *count, ap_phrases *phrases, ap_str note,
                          ap_error *err) {
    *count = 0;
    note.len = note.len > AP_PHRASE_NOTE_MAX ? AP_PHRASE_NOTE_MAX : note.len;
    size_t at = ap_phrases_next_start(phrases, note, 0);
    while (at < note.len && *count < AP_PHRASE_HITS_MAX) {
        bool found = false;
        ap_status status = ap_pattern_match(&found, phrases->all, note, at, err);
        size_t len = found ? ap_pattern_group(phrases->all, 0).len : 0;
        if (status == AP_OK && len > 0) {
            size_t rule = rule_of_match(phrases);
            bool back = false;
            if (!speaks_of_lack(phrases)) {
                status = ap_phrases_taken_back(&back, phrases, note, at, len, err);
            }
            if (back) {
                len = 0;
            } else if (status == AP_OK) {
                hits[(*count)++] = (ap_phrase_hit){rule, phrases->rules[rule].reason, at, len};
            }
        }
        if (status != AP_OK) {
            return status;
        }
        at = ap_phrases_next_start(phrases, note, at + (len ? len : 1));
    }
    return AP_OK;
}
