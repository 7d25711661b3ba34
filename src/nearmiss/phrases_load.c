/* The phrase rules of the book: rows of the table rule, sql/seed/again/055_phrases.sql. */
#include "nearmiss/phrases_load.h"

enum { ARENA_MAX = 4 << 20, WORDS_MAX = 64 };

/* "phrase:" in front of a rule's name. */
enum { PREFIX_LEN = 7 };

struct ap_phrase_book {
    ap_arena arena;
    ap_phrase_set set;
    ap_phrases *phrases;
};

static ap_status take_part(ap_phrase_rule *rule, ap_arena *arena, ap_str key, ap_str value, ap_error *err) {
    if (ap_str_equal_word(key, "class")) {
        if (!ap_reason_find(&rule->reason, value)) {
            return ap_error_set(err, AP_E_INPUT,
                                "phrase rule '%.*s': '%.*s' is not a class; write place, crane, near, balance, slack, "
                                "sling, saw, weight, wind, "
                                "communication or unclear",
                                AP_STR_ARG(rule->name), AP_STR_ARG(value));
        }
    } else if (ap_str_equal_word(key, "pattern")) {
        rule->pattern = ap_arena_str(arena, value);
    } else if (ap_str_equal_word(key, "find")) {
        rule->must = ap_arena_str(arena, value);
    } else if (ap_str_equal_word(key, "leave")) {
        rule->must_not = ap_arena_str(arena, value);
    } else {
        return ap_error_set(err, AP_E_INPUT,
                            "phrase rule '%.*s': unknown entry '%.*s'; use class, pattern, find, leave",
                            AP_STR_ARG(rule->name), AP_STR_ARG(key));
    }
    return AP_OK;
}

static ap_status take_row(ap_phrase_book *read, const ap_query *query, ap_error *err) {
    ap_phrase_set *set = &read->set;
    ap_str name = ap_query_text(query, 0);
    ap_str key = ap_query_text(query, 1);
    ap_str value = ap_query_text(query, 2);
    if (ap_str_equal_word(name, "phrase-words")) {
        if (set->word_count == WORDS_MAX) {
            return ap_error_set(err, AP_E_LIMIT, "more than %d lists of words for phrases", WORDS_MAX);
        }
        set->words[set->word_count++] =
            (ap_phrase_words){ap_arena_str(&read->arena, key), ap_arena_str(&read->arena, value)};
        return AP_OK;
    }
    if (ap_str_equal_word(name, "phrase-around")) {
        *(ap_str_equal_word(key, "before") ? &set->before : &set->after) = ap_arena_str(&read->arena, value);
        return AP_OK;
    }
    name = (ap_str){name.ptr + PREFIX_LEN, name.len - PREFIX_LEN};
    if (set->count == 0 || !ap_str_equal(set->rules[set->count - 1].name, name)) {
        if (set->count == AP_PHRASE_RULES_MAX) {
            return ap_error_set(err, AP_E_LIMIT, "more than %d phrase rules", AP_PHRASE_RULES_MAX);
        }
        set->rules[set->count++] =
            (ap_phrase_rule){.name = ap_arena_str(&read->arena, name), .reason = AP_REASON_UNCLEAR};
    }
    return take_part(&set->rules[set->count - 1], &read->arena, key, value, err);
}

static ap_status read_rows(ap_phrase_book *read, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    read->set.rules = ap_arena_alloc_array(&read->arena, AP_PHRASE_RULES_MAX, sizeof *read->set.rules);
    read->set.words = ap_arena_alloc_array(&read->arena, WORDS_MAX, sizeof *read->set.words);
    if (!read->set.rules || !read->set.words) {
        return ap_arena_check(&read->arena, "the phrase rules", err);
    }
    ap_status status = ap_query_open(&query, book, "phrase_rules", err);
    if (status == AP_OK) {
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row) {
        status = take_row(read, query, err);
        if (status == AP_OK) {
            status = ap_query_step(&row, query, err);
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(&read->arena, "the phrase rules", err) : status;
}

ap_status ap_phrase_book_load(ap_phrase_book **out, ap_book *book, ap_error *err) {
    ap_phrase_book *read = calloc(1, sizeof *read);
    if (!read) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the phrase rules");
    }
    ap_arena_init(&read->arena, ARENA_MAX);
    ap_status status = read_rows(read, book, err);
    if (status == AP_OK) {
        status = ap_phrases_new(&read->phrases, &read->set, err);
    }
    if (status != AP_OK) {
        ap_phrase_book_free(read);
        return status;
    }
    *out = read;
    return AP_OK;
}

void ap_phrase_book_free(ap_phrase_book *read) {
    if (read) {
        ap_phrases_free(read->phrases);
        ap_arena_release(&read->arena);
        free(read);
    }
}

ap_phrases *ap_phrase_book_phrases(const ap_phrase_book *read) {
    return read->phrases;
}

const ap_phrase_set *ap_phrase_book_set(const ap_phrase_book *read) {
    return &read->set;
}
