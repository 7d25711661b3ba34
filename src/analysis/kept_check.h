/* What the book keeps of its picks held against the picks themselves, one by one. */
#ifndef AP_ANALYSIS_KEPT_CHECK_H
#define AP_ANALYSIS_KEPT_CHECK_H

#include "analysis/roster.h"

typedef enum ap_kept_verdict {
    AP_KEPT_NONE = 0, /* nothing is in force: the picks are read */
    AP_KEPT_AGREES,
    AP_KEPT_DIFFERS
} ap_kept_verdict;

typedef struct ap_kept_check {
    ap_kept_verdict verdict;
    size_t picks; /* that were held against */
    ap_str first; /* name of the first that differs; none when their number does */
    bool let_go;  /* it is not kept any more */
} ap_kept_check;

/* Reads both; what differs is let go of where the book may be written. */
AP_MUST_USE ap_status ap_kept_facts_check(ap_kept_check *out, ap_arena *arena, ap_book *book, ap_error *err);

#endif
