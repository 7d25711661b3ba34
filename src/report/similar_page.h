/* Where a pick stands among picks like it. */
#ifndef AP_REPORT_SIMILAR_PAGE_H
#define AP_REPORT_SIMILAR_PAGE_H

#include "analysis/similar.h"
#include "page/doc.h"
#include "page/json.h"

/* Sentence and table under an open section. */
void ap_similar_put(ap_doc *doc, const ap_roster *roster, size_t fact, const ap_similar *similar);
/* Key "similar" of docs/json.md, "pick", in the open object. */
void ap_similar_json(ap_json *json, const ap_roster *roster, const ap_similar *similar);

#endif
