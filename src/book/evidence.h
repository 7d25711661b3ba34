/* What other companies' weighed wood says, taken in as sets of figures, and what this book gave away. */
#ifndef AP_BOOK_EVIDENCE_H
#define AP_BOOK_EVIDENCE_H

#include "book/book.h"

enum { AP_EVIDENCE_ITEMS_MAX = 1000, AP_EVIDENCE_SETS_MAX = 1000, AP_EVIDENCE_TREES_LEAST = 3 };
#define AP_EVIDENCE_SHIFT_MAX 1.0 /* ln: nothing weighs 2.7 times the handbook */

typedef enum ap_evidence_kind {
    AP_EVIDENCE_SPECIES = 1, /* ln against the handbook, sound bare wood above the butt */
    AP_EVIDENCE_BUTT,        /* ln against that, butt pieces whose middle was not taped */
    AP_EVIDENCE_CONDITION,   /* class: ap_wood_class */
    AP_EVIDENCE_BRUSH        /* class: number of piece x foliage x group */
} ap_evidence_kind;

typedef struct ap_evidence_item {
    ap_evidence_kind kind;
    int64_t species_id; /* 0 unless kind is SPECIES */
    uint32_t class;     /* 0 unless kind is CONDITION or BRUSH */
    double log_shift;
    double se_log;
    int64_t trees;
    int64_t picks;
    int64_t set_id;
} ap_evidence_item;

typedef struct ap_evidence_set {
    int64_t id;
    ap_str sha256;
    ap_str origin;
    ap_date imported_on;
    ap_str who;
    ap_str why;
    ap_date removed_on; /* AP_DATE_NONE while it counts */
    ap_str removed_who;
    ap_str removed_why;
} ap_evidence_set;

typedef struct ap_evidence {
    ap_evidence_set *sets; /* oldest first, removed ones too */
    size_t set_count;
    ap_evidence_item *items; /* of the sets that count on the day asked for */
    size_t item_count;
} ap_evidence;

/* All sets, and the items that count on `day` (AP_DATE_NONE: now). In `arena`. */
AP_MUST_USE ap_status ap_book_evidence_read(ap_evidence *out, ap_arena *arena, ap_book *book, ap_date day,
                                            ap_error *err);
/* Takes a set in (sha256, origin, why of `set`). Inside a transaction. *known: the same content counts already, nothing
 * was added. Errors: AP_E_USAGE without a reason; AP_E_DOMAIN when other content of that origin counts already, or
 * when this book gave that content away itself. */
AP_MUST_USE ap_status ap_book_evidence_add(bool *known, ap_book *book, const ap_evidence_set *set,
                                           const ap_evidence_item *items, size_t count, const ap_book_author *author,
                                           ap_error *err);
/* Takes out the set of an origin that counts. Inside a transaction. Errors: AP_E_USAGE, AP_E_NOT_FOUND. */
AP_MUST_USE ap_status ap_book_evidence_remove(ap_book *book, ap_str origin, ap_str why, const ap_book_author *author,
                                              ap_error *err);
/* Remembers what was given away. Inside a transaction. */
AP_MUST_USE ap_status ap_book_evidence_exported(ap_book *book, ap_str sha256, ap_str origin, ap_date today,
                                                ap_error *err);

#endif
