/* The changes of an entry (a crane, a sling) in a table or as JSON. */
#ifndef AP_REPORT_ENTRY_HISTORY_H
#define AP_REPORT_ENTRY_HISTORY_H

#include "book/entry_change.h"
#include "page/doc.h"
#include "page/json.h"

/* The newest ten; nothing when there is none. */
void ap_entry_history_put(ap_doc *doc, const ap_entry_change *changes, size_t count);
/* Key "history", an array of all of them, in the open object. */
void ap_entry_history_json(ap_json *json, const ap_entry_change *changes, size_t count);

#endif
