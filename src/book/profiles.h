/* Profiles kept in the book: their texts, and the texts they replaced. What a text means is intake's. */
#ifndef AP_BOOK_PROFILES_H
#define AP_BOOK_PROFILES_H

#include "book/book.h"

typedef struct ap_kept_profile {
    ap_str name;
    ap_str text;
    ap_str changed_on; /* ISO */
    ap_str who;
    ap_str why;
    int64_t replaced; /* texts of this name that were replaced or dropped */
} ap_kept_profile;

/* One that was replaced or dropped. */
typedef struct ap_profile_change {
    ap_str name;
    ap_str text;
    ap_str replaced_on;
    ap_str who;
    ap_str why;
} ap_profile_change;

/* By name. Everything lives in the arena. */
AP_MUST_USE ap_status ap_book_profiles(ap_kept_profile **out, size_t *count, ap_arena *arena, ap_book *book,
                                       ap_error *err);
/* *found = false when there is none of this name (case ignored). */
AP_MUST_USE ap_status ap_book_profile_find(ap_kept_profile *out, bool *found, ap_arena *arena, ap_book *book,
                                           ap_str name, ap_error *err);
/* Replaced texts of a name, the newest first. */
AP_MUST_USE ap_status ap_book_profile_history(ap_profile_change **out, size_t *count, ap_arena *arena, ap_book *book,
                                              ap_str name, ap_error *err);
/* Inside a transaction. *replaced: an older text went to the history. */
AP_MUST_USE ap_status ap_book_profile_keep(bool *replaced, ap_book *book, ap_str name, ap_str text, ap_str why,
                                           const ap_book_author *author, ap_error *err);
/* AP_E_NOT_FOUND when there is none. Its text stays in the history. */
AP_MUST_USE ap_status ap_book_profile_drop(ap_book *book, ap_str name, ap_str why, const ap_book_author *author,
                                           ap_error *err);

#endif
