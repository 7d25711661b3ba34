/* Findings kept in the book, so that the next review recognises them. */
#ifndef AP_BOOK_FINDINGS_H
#define AP_BOOK_FINDINGS_H

#include "book/book.h"

/* A pick a finding rests on; the rest is none when it is no longer in the book. */
typedef struct ap_finding_pick {
    ap_str name;
    bool there;
    ap_date date;
    ap_str species, crew, crane;
} ap_finding_pick;

typedef struct ap_finding_row {
    int64_t id;
    ap_str detector, scope;
    ap_str first_pick, last_pick;
    ap_date last_date;
    ap_str class, says;
    int64_t picks;
    ap_str state;
    ap_date found_on, seen_on, state_on;
    int64_t state_picks; /* 0 when its state was never set */
    ap_str who, why;
} ap_finding_row;

typedef struct ap_finding_change {
    ap_str old_state, new_state, who, why;
    ap_date on;
} ap_finding_change;

/* The kept finding of this detector that begins with `first_pick` and has one of the scopes; id 0 when there is none. Its texts live
 * in `arena`; only the members that tell what became of it are set. */
AP_MUST_USE ap_status ap_book_finding_same(ap_finding_row *out, ap_arena *arena, ap_book *book, ap_str detector,
                                           ap_str first_pick, const char *const *scopes, size_t scope_count,
                                           ap_error *err);
/* Keeps a new one (id 0), or what a kept one rests on now; *id is its number. `names` are the picks. Inside a transaction. */
AP_MUST_USE ap_status ap_book_finding_keep(int64_t *id, ap_book *book, const ap_finding_row *row, const ap_str *names,
                                           size_t name_count, ap_date today, ap_error *err);
/* By its number. AP_E_NOT_FOUND. */
AP_MUST_USE ap_status ap_book_finding_get(ap_finding_row *out, ap_arena *arena, ap_book *book, int64_t id,
                                          ap_error *err);
AP_MUST_USE ap_status ap_book_finding_picks(ap_finding_pick **picks, size_t *count, ap_arena *arena, ap_book *book,
                                            int64_t id, ap_error *err);
AP_MUST_USE ap_status ap_book_finding_history(ap_finding_change **rows, size_t *count, ap_arena *arena, ap_book *book,
                                              int64_t id, ap_error *err);
/* "acknowledged", "dismissed", "written up", "new" again. A dismissal needs a reason: AP_E_INPUT. Inside a transaction. */
AP_MUST_USE ap_status ap_book_finding_set_state(ap_book *book, int64_t id, ap_str state, ap_str why,
                                                const ap_book_author *author, ap_error *err);

#endif
