/* A row that was set aside, looked at once more: which pick it would have been. */
#ifndef AP_INTAKE_ROW_AGAIN_H
#define AP_INTAKE_ROW_AGAIN_H

#include "book/problems.h"

/* What the cells of job, pick and date say; none and AP_DATE_NONE where the row or the log does not tell. */
typedef struct ap_row_again {
    ap_str job;
    ap_str pick;
    ap_date date;
} ap_row_again;

/* Splits the row as its log was split. Texts are copied into `arena`. A row that can not be split tells nothing: no error. */
AP_MUST_USE ap_status ap_row_again_read(ap_row_again *out, ap_arena *arena, const ap_aside *aside, ap_error *err);

#endif
