/* Offers checked picks to the book and says what became of them. */
#ifndef AP_INTAKE_STORE_H
#define AP_INTAKE_STORE_H

#include "book/imports.h"
#include "intake/fault.h"
#include "intake/header.h"

typedef struct ap_store ap_store;

AP_MUST_USE ap_status ap_store_new(ap_store **out, ap_book *book, ap_error *err);
void ap_store_free(ap_store *store);
/* *differs: the first column that differs, on a conflict. */
AP_MUST_USE ap_status ap_store_offer(ap_stored *stored, int *differs, ap_store *store, const ap_pick *pick,
                                     const ap_origin *origin, ap_error *err);
/* After a new one: its row number, job and tree as the book has them. The texts live until the next offer. */
void ap_store_last(const ap_store *store, ap_pick *pick);
/* Words a conflict: which pick, where the book has it from, and what stands there. */
AP_MUST_USE ap_status ap_store_describe_conflict(ap_fault *fault, ap_store *store, const ap_pick *pick, int differs,
                                                 const ap_plan *plan, const ap_row *row, ap_error *err);

#endif
