/* What came with the picks of another book, behind the page of their import. */
#ifndef AP_REPORT_MERGED_PAGE_H
#define AP_REPORT_MERGED_PAGE_H

#include "page/doc.h"
#include "page/json.h"

/* Picks whose blank cell the two books read otherwise. */
typedef struct ap_merged_basis {
    int64_t filled;  /* known there: written into the log */
    int64_t unknown; /* not known there: read here as this book reads a blank */
} ap_merged_basis;

typedef struct ap_merged {
    ap_str book; /* its name, without folders */
    int64_t picks;
    int64_t amendments;
    ap_merged_basis planned, measured;
    int64_t rigging; /* picks without the weight of block and slings, of which the books assume another */
    const ap_str *cranes;
    size_t crane_count; /* in its picks and entered there, and here not or otherwise */
    int64_t left_aside, left_conflicts;
} ap_merged;

void ap_merged_page(ap_doc *doc, const ap_merged *merged);
/* The key "merged". */
void ap_merged_json(ap_json *json, const ap_merged *merged);
/* Somebody has to look: bases that are not known, cranes that are described otherwise. */
bool ap_merged_wants_person(const ap_merged *merged);

#endif
