/* Actions as a list, one whole, and whether the figure moved that an action should move. */
#ifndef AP_REPORT_ACTIONS_PAGE_H
#define AP_REPORT_ACTIONS_PAGE_H

#include "analysis/action_effect.h"
#include "page/doc.h"
#include "page/json.h"

typedef struct ap_action_line {
    ap_action action;
    bool overdue;
    bool has_effect; /* it names a figure and was done */
    ap_effect effect;
} ap_action_line;

typedef struct ap_action_list {
    ap_action_line *lines;
    size_t count;
    size_t open, overdue, done;
} ap_action_list;

/* The actions agreed up to `until` (AP_DATE_NONE: all) with what became of their figures; `today` says what is overdue. Actions closed
 * later than `until` count as open then. `roster` may be NULL: no figures. Everything lives in the arena. */
AP_MUST_USE ap_status ap_actions_read(ap_action_list *out, ap_arena *arena, ap_book *book, const ap_roster *roster,
                                      ap_date until, ap_date today, int64_t writeup, ap_error *err);

/* Which of them a table shows. */
typedef enum ap_action_show { AP_ACTIONS_ALL, AP_ACTIONS_OPEN, AP_ACTIONS_OVERDUE } ap_action_show;

void ap_actions_table(ap_doc *doc, const ap_action_list *list, ap_action_show show);
void ap_actions_page(ap_doc *doc, const ap_action_list *list, ap_action_show show);
/* One action whole with its history. */
void ap_action_page(ap_doc *doc, const ap_action_line *line, const ap_action_change *changes, size_t count);
/* docs/json.md, "action". */
void ap_actions_json(ap_json *json, const ap_action_list *list, ap_action_show show);
void ap_action_json(ap_json *json, const ap_action_line *line);

/* Did it move? In words a crew reads: "before 9 of 40 (22 %), since 2 of 31 (6 %): lower, and more than chance explains". */
ap_str ap_effect_sentence(ap_doc *doc, const ap_action_line *line);

#endif
