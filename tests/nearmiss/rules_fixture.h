/* The phrase rules of a new book. */
#ifndef AP_TEST_RULES_FIXTURE_H
#define AP_TEST_RULES_FIXTURE_H

#include "support/book_fixture.h"

#include "nearmiss/phrases_load.h"
#include "nearmiss/phrases_private.h"

typedef struct rules_fixture {
    book_fixture it;
    ap_phrase_book *rules;
} rules_fixture;

static inline void open_rules(rules_fixture *f) {
    ap_error err;
    fixture_make(&f->it);
    check_ok(ap_phrase_book_load(&f->rules, f->it.book, &err), &err);
}

static inline void close_rules(rules_fixture *f) {
    ap_phrase_book_free(f->rules);
    fixture_remove(&f->it);
}

static inline bool says(rules_fixture *f, const char *note, ap_reason *reason) {
    ap_phrase_hit hits[AP_PHRASE_HITS_MAX];
    size_t count = 0;
    ap_error err;
    check_ok(ap_phrases_find(hits, &count, ap_phrase_book_phrases(f->rules), ap_str_from(note), &err), &err);
    *reason = count ? hits[0].reason : AP_REASON_COUNT;
    for (size_t i = 1; i < count; i++) {
        *reason = hits[i].reason < *reason ? hits[i].reason : *reason;
    }
    return count > 0;
}

#endif
