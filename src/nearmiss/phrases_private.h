/* Inside of the phrase rules: what matching and checking share. */
#ifndef AP_NEARMISS_PHRASES_PRIVATE_H
#define AP_NEARMISS_PHRASES_PRIVATE_H

#include "nearmiss/phrases.h"
#include "text/pattern.h"

enum { AP_PHRASE_LETTERS = 26 };

struct ap_phrases {
    const ap_phrase_rule *rules;
    size_t count;
    ap_buf text;
    ap_pattern *all;
    ap_pattern *before, *after;
    unsigned group[AP_PHRASE_RULES_MAX]; /* of each rule in `all` */
    unsigned lack[AP_PHRASE_RULES_MAX];  /* groups named lack */
    size_t lack_count;
    uint32_t first[AP_PHRASE_RULES_MAX]; /* letters that each rule can begin with, bit per letter */
    bool word[UINT8_MAX + 1];            /* what PCRE2 takes for a letter of a word */
    struct ap_phrase_begin *begin;       /* heap; NULL: every word is tried */
    size_t begin_count, begin_cap;
};

/* 0..25 for a letter of either case, AP_PHRASE_LETTERS for any other byte. */
unsigned ap_phrases_letter(char byte);

/* What every rule stands behind: a hit begins where a word begins. */
#define AP_PHRASE_START "\\b(?=\\w)(?:"

/* The lists of words as groups that are only called; calls to them in place of {word}. */
void ap_phrases_define(ap_buf *out, const ap_phrase_set *set);
AP_MUST_USE ap_status ap_phrases_expand(ap_buf *out, const ap_phrase_set *set, ap_str pattern, ap_error *err);
AP_MUST_USE ap_status ap_phrases_compile(ap_pattern **out, const ap_phrase_set *set, const char *before, ap_str pattern,
                                         const char *after, ap_error *err);
AP_MUST_USE ap_status ap_phrases_taken_back(bool *back, ap_phrases *phrases, ap_str note, size_t at, size_t len,
                                            ap_error *err);
/* Marks with which letters one rule can begin. */
void ap_phrases_mark_begin(ap_phrases *phrases, size_t rule, const ap_pattern *pattern);
/* Makes and frees what is remembered of beginnings. */
AP_MUST_USE ap_status ap_phrases_begin_new(ap_phrases *phrases, ap_error *err);
void ap_phrases_begin_free(ap_phrases *phrases);
/* The next place from `at` on where a word begins that some rule may begin with; the note's end when there is none. */
size_t ap_phrases_next_start(ap_phrases *phrases, ap_str note, size_t at);
/* Why a pattern cannot stand among others, in words that follow the rule's name; NULL when it can. */
const char *ap_phrases_forbidden(ap_str pattern);
/* Every rule by itself: compiles, finds its lines and not the others, ends on long texts. */
AP_MUST_USE ap_status ap_phrases_check(ap_phrases *phrases, const ap_phrase_set *set, ap_error *err);

#endif
