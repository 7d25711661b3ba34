/* Picks as a list, and one pick whole. */
#ifndef AP_REPORT_PICK_PAGE_H
#define AP_REPORT_PICK_PAGE_H

#include "book/pick_history.h"
#include "book/problems.h"
#include "figure/figure.h"
#include "report/pick_among.h"
#include "report/recon_page.h"
#include "report/weights_page.h"

/* One line a pick: planned and measured net weight, ratio, share of the chart, what moved; `whole` with crew and crane too,
 * wider than a terminal. */
void ap_picks_page(ap_doc *doc, const ap_roster *roster, size_t first, size_t end, bool whole);
/* The whole table of chosen ones, by their place in the roster. */
void ap_picks_table(ap_doc *doc, const char *id, const char *caption, const ap_roster *roster, const size_t *picks,
                    size_t count);
/* docs/json.md, "pick". */
void ap_picks_json(ap_json *json, const ap_roster *roster, size_t first, size_t end, ap_period period);

/* The same pick with other values, for a what-if. */
typedef struct ap_supposed {
    ap_pick pick;
    ap_derived derived;
    ap_recon recon;
    ap_str says; /* "leg_2_length 10 ft 6 in (logged 16 ft)" */
} ap_supposed;

/* Everything about one pick. */
typedef struct ap_whole_pick {
    ap_pick pick;
    ap_derived derived;
    ap_wood wood;
    ap_recon recon;
    const ap_supposed *supposed; /* NULL: nothing is supposed */
    const ap_pick_among *among;  /* NULL: not looked up */
    const ap_settings *settings;
    ap_pick_source source;
    ap_change_list changes;
    ap_conflict_list conflicts;
    bool history;             /* amendments and conflicts are wanted in full */
    bool names;               /* people as logged */
    const ap_figure *drawing; /* NULL: none is wanted */
    unsigned estimator_number;
    const ap_roster *roster; /* where estimators have their numbers; NULL: it is read when needed */
} ap_whole_pick;

void ap_pick_page(ap_doc *doc, const ap_whole_pick *whole);
/* One row a recorded field, for a spreadsheet. */
void ap_pick_table(ap_doc *doc, const ap_whole_pick *whole);
/* Its keys in the open object; `doc` makes the sentences of findings, may be NULL without `among`. */
void ap_pick_json(ap_json *json, ap_arena *arena, ap_doc *doc, const ap_whole_pick *whole);

/* A field's value in the page's units, people as roles unless `names`; none when blank. */
ap_str ap_say_field(ap_doc *doc, const ap_whole_pick *whole, int column);
/* A text of the history (an old value, an offered one) of a field: people as roles unless `names`. */
ap_str ap_say_history_value(ap_arena *arena, ap_str field, ap_str value, bool names);
/* The same for a page: texts in quotes, "nothing" for a blank. */
ap_str ap_say_past_value(ap_doc *doc, ap_str field, ap_str value, bool names);

#endif
