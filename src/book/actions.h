/* Actions agreed: what, by which role, by when, the figure that should move; and every change of them. */
#ifndef AP_BOOK_ACTIONS_H
#define AP_BOOK_ACTIONS_H

#include "book/book.h"

/* The figure an action should move, over the picks that fit. */
typedef struct ap_action_measure {
    ap_str figure; /* "heavier", "bias", "over-chart", "moved", "near-miss", "re-rig", "unweighed"; none = no figure */
    ap_str species, cut, crew; /* none = all */
} ap_action_measure;

typedef struct ap_action {
    int64_t id;
    int64_t writeup; /* 0 = none */
    int64_t finding; /* 0 = none */
    ap_str says;
    ap_str control; /* place in the hierarchy of controls; none = not said */
    ap_str owner;   /* role */
    ap_date due;
    ap_str target; /* in words; none = not said */
    ap_str state;  /* "open", "done", "dropped" */
    ap_date opened;
    ap_date closed; /* AP_DATE_NONE while open */
    ap_action_measure measure;
} ap_action;

typedef struct ap_action_change {
    ap_str field, old_value, new_value;
    ap_date changed_on;
    ap_str who, why;
} ap_action_change;

/* Inside a transaction. *id = the number a person uses for it. */
AP_MUST_USE ap_status ap_book_action_add(int64_t *id, ap_book *book, const ap_action *action,
                                         const ap_book_author *author, ap_error *err);
/* Writes state, due and owner of `changed` and what differs from `before` into the history. */
AP_MUST_USE ap_status ap_book_action_change(ap_book *book, const ap_action *before, const ap_action *changed,
                                            ap_str why, const ap_book_author *author, ap_error *err);

/* Open ones first, then by the day due. `writeup` 0 = of any write-up or none. Everything lives in the arena. */
AP_MUST_USE ap_status ap_book_actions(ap_action **out, size_t *count, ap_arena *arena, ap_book *book, int64_t writeup,
                                      ap_error *err);
AP_MUST_USE ap_status ap_book_action_get(ap_action *out, ap_arena *arena, ap_book *book, int64_t id, ap_error *err);
AP_MUST_USE ap_status ap_book_action_history(ap_action_change **out, size_t *count, ap_arena *arena, ap_book *book,
                                             int64_t id, ap_error *err);

#endif
