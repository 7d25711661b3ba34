/* What notes say: a pass over the notes of a period's picks that are not logged as near misses. */
#ifndef AP_NEARMISS_SAID_H
#define AP_NEARMISS_SAID_H

#include "analysis/roster.h"
#include "nearmiss/phrases.h"

typedef struct ap_said {
    ap_str note;      /* an excerpt around the hit; line breaks are spaces */
    uint16_t at, len; /* the hit in it */
    uint32_t fact;    /* index in the roster */
    uint32_t reasons; /* bit per class */
    ap_reason reason; /* the gravest class found */
} ap_said;

typedef struct ap_said_list {
    const ap_said *items; /* in pick order */
    size_t count;
    size_t notes;      /* searched */
    size_t cut_short;  /* longer than AP_PHRASE_NOTE_MAX: only their beginning was searched */
    size_t unsearched; /* a rule needed too many steps on them */
} ap_said_list;

/* Reads the book's phrase rules and searches the notes of the picks dated since..until. Everything lives in `arena`.
 *
 * Errors  those of ap_phrase_book_load(); AP_E_MEMORY. */
AP_MUST_USE ap_status ap_said_read(ap_said_list *out, ap_arena *arena, ap_book *book, const ap_roster *roster,
                                   ap_date since, ap_date until, ap_error *err);

#endif
