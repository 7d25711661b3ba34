/* The phrase rules as pages and as JSON. */
#ifndef AP_REPORT_PHRASES_PAGE_H
#define AP_REPORT_PHRASES_PAGE_H

#include "nearmiss/phrases.h"
#include "page/doc.h"
#include "page/json.h"

void ap_phrases_page(ap_doc *doc, const ap_phrase_set *set);
void ap_phrase_page(ap_doc *doc, const ap_phrase_rule *rule);
/* What the rules find in a text. */
void ap_phrases_tried(ap_doc *doc, const ap_phrase_set *set, ap_str text, const ap_phrase_hit *hits, size_t count);
/* docs/json.md, "rule phrases"; `only` NULL = all. */
void ap_phrases_json(ap_json *json, const ap_phrase_set *set, const ap_phrase_rule *only);

#endif
