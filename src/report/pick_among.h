/* A pick among the others of the book: picks like it, and findings that touch it. */
#ifndef AP_REPORT_PICK_AMONG_H
#define AP_REPORT_PICK_AMONG_H

#include "analysis/similar.h"
#include "nearmiss/detect.h"
#include "page/doc.h"
#include "page/json.h"

typedef struct ap_pick_among {
    ap_roster roster; /* all picks */
    size_t fact;      /* this one's */
    ap_similar similar;
    ap_finding_list findings; /* of its month */
} ap_pick_among;

/* Reads all picks; findings live in `arena`. Release also after an error.
 * Errors  AP_E_NOT_FOUND: the book has no pick of that name. */
AP_MUST_USE ap_status ap_pick_among_read(ap_pick_among *out, ap_arena *arena, ap_book *book, ap_str name, ap_date date,
                                         bool names, ap_error *err);
void ap_pick_among_release(ap_pick_among *among);

bool ap_pick_among_touches(const ap_pick_among *among, const ap_finding *finding);
/* Two sections. */
void ap_pick_among_put(ap_doc *doc, const ap_pick_among *among);
/* Keys "similar" and "findings" of docs/json.md, "pick", in the open object. `doc` makes the sentences. */
void ap_pick_among_json(ap_json *json, ap_doc *doc, const ap_pick_among *among);

#endif
