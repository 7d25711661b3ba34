/* Phrases in notes that speak of a near miss: rules as data, matched in one pass.
 *
 * A rule is a PCRE2 pattern with its class and with lines that must and must not be found. All rules together become one
 * alternation, so that a note is searched once whatever their number. Two further patterns stand beside them: `before` is
 * looked for in the few words in front of a hit, inside its clause ("no", "did not", "would have"), `after` behind it ("on
 * purpose"); either takes the hit back. A rule that itself speaks of a lack ("not enough tension") names that part with the
 * group `lack`: then nothing is taken back.
 *
 * A list of words is written once, as {person} or {sling}, and put into the patterns that name it. */
#ifndef AP_NEARMISS_PHRASES_H
#define AP_NEARMISS_PHRASES_H

#include "base/arena.h"

typedef enum ap_reason {
    AP_REASON_PLACE, /* person in the wrong place; the order is the order of a finding with several classes */
    AP_REASON_CRANE,
    AP_REASON_NEAR, /* house or line near */
    AP_REASON_BALANCE,
    AP_REASON_SLACK,
    AP_REASON_SLING,
    AP_REASON_SAW,
    AP_REASON_WEIGHT,
    AP_REASON_WIND,
    AP_REASON_COMMUNICATION,
    AP_REASON_UNCLEAR, /* the note says that it was close, not why */
    AP_REASON_COUNT
} ap_reason;

const char *ap_reason_name(ap_reason reason);  /* "place": the word in a rule */
const char *ap_reason_words(ap_reason reason); /* "a person in the wrong place" */
bool ap_reason_find(ap_reason *out, ap_str name);

typedef struct ap_phrase_rule {
    ap_str name;
    ap_reason reason;
    ap_str pattern;
    ap_str must;     /* lines that must be found, and by this rule */
    ap_str must_not; /* lines in which the whole set must find nothing of this rule */
} ap_phrase_rule;

typedef struct ap_phrase_words {
    ap_str name; /* "person" */
    ap_str list; /* "climber|me|us" */
} ap_phrase_words;

typedef struct ap_phrase_set {
    ap_phrase_rule *rules;
    size_t count;
    ap_phrase_words *words;
    size_t word_count;
    ap_str before, after;
} ap_phrase_set;

typedef struct ap_phrase_hit {
    size_t rule;
    ap_reason reason;
    size_t at, len; /* bytes of the note */
} ap_phrase_hit;

enum {
    AP_PHRASE_NOTE_MAX = 16 * 1024, /* bytes of a note that are searched */
    AP_PHRASE_RULES_MAX = 256,
    AP_PHRASE_HITS_MAX = 16 /* hits kept of one note */
};

typedef struct ap_phrases ap_phrases;

/* Compiles a set; *out keeps no pointer into it but the set's own rules, which must outlive it.
 *
 * Errors  AP_E_INPUT names the rule that does not compile, refers to a group by number, matches the empty text, fails one
 *         of its lines, or backtracks without end on a long text; AP_E_LIMIT when there are too many rules. */
AP_MUST_USE ap_status ap_phrases_new(ap_phrases **out, const ap_phrase_set *set, ap_error *err);
void ap_phrases_free(ap_phrases *phrases);

/* Tries one rule that ap_phrases_new() has let in against long notes that begin as its lines do: some hundred searches, for the moment
 * when a person enters it.
 *
 * Errors  AP_E_INPUT names the rule and how the note begins on which it runs out of steps. */
AP_MUST_USE ap_status ap_phrases_try_long(const ap_phrase_set *set, const ap_phrase_rule *rule, ap_error *err);

/* Hits of the first AP_PHRASE_NOTE_MAX bytes of a note, in the order of the note. AP_E_LIMIT when the note needs too many
 * steps: nothing is said about it then. */
AP_MUST_USE ap_status ap_phrases_find(ap_phrase_hit hits[AP_PHRASE_HITS_MAX], size_t *count, ap_phrases *phrases,
                                      ap_str note, ap_error *err);

#endif
