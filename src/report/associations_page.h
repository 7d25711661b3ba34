/* Associations as a table with a sentence each, and as JSON. */
#ifndef AP_REPORT_ASSOCIATIONS_PAGE_H
#define AP_REPORT_ASSOCIATIONS_PAGE_H

#include "analysis/associations.h"
#include "page/doc.h"
#include "page/json.h"

/* The answer in one sentence: what differs most, or that nothing does. */
ap_str ap_associations_answer(ap_doc *doc, const ap_associations *found);
/* The table, and below it what the figures are worth. At most `most` rows. */
void ap_associations_put(ap_doc *doc, const char *id, const ap_associations *found, size_t most);
/* docs/json.md, "findings --associations": an array. */
void ap_associations_json(ap_json *json, const ap_associations *found);

#endif
