/* The phrase rules of a book, read and checked. */
#ifndef AP_NEARMISS_PHRASES_LOAD_H
#define AP_NEARMISS_PHRASES_LOAD_H

#include "book/book.h"
#include "nearmiss/phrases.h"

typedef struct ap_phrase_book ap_phrase_book;

/* Reads the rules, runs each one's lines, compiles them. The errors of ap_phrases_new(); the rule is named. */
AP_MUST_USE ap_status ap_phrase_book_load(ap_phrase_book **out, ap_book *book, ap_error *err);
void ap_phrase_book_free(ap_phrase_book *read);
ap_phrases *ap_phrase_book_phrases(const ap_phrase_book *read);
const ap_phrase_set *ap_phrase_book_set(const ap_phrase_book *read);

#endif
