/* The write-ups of a book as a list. */
#ifndef AP_REPORT_WRITEUP_LIST_H
#define AP_REPORT_WRITEUP_LIST_H

#include "book/writeups.h"
#include "page/doc.h"
#include "page/json.h"

void ap_writeups_page(ap_doc *doc, const ap_writeup *writeups, size_t count);
/* docs/json.md, "writeup". */
void ap_writeups_json(ap_json *json, const ap_writeup *writeups, size_t count);

#endif
