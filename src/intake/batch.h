/* Rows read ahead: while the book stores one batch of picks, the next is read from the log in a thread of its own.
 *
 * A batch keeps its rows' bytes itself, so that the reader may go on. Two batches take turns; a batch is closed at a number
 * of rows or of bytes, whichever comes first, so that memory does not grow with the file. */
#ifndef AP_INTAKE_BATCH_H
#define AP_INTAKE_BATCH_H

#include "intake/read_row.h"

enum { AP_BATCH_ROWS = 64, AP_BATCH_BYTES = 512 * 1024 };

typedef struct ap_batch_item {
    ap_row row;
    ap_row_kind kind;
    ap_pick pick;
    ap_fault fault;
} ap_batch_item;

typedef struct ap_batch {
    ap_arena arena;
    ap_batch_item items[AP_BATCH_ROWS];
    size_t count;
    size_t bytes;
    bool last;
    ap_status status; /* of the reading; comes behind the items */
    ap_error error;
    int64_t offset; /* bytes of the log taken so far */
} ap_batch;

/* Copies a row into the batch; NULL when memory is out. */
ap_batch_item *ap_batch_add(ap_batch *batch, const ap_row *row);
bool ap_batch_is_full(const ap_batch *batch);

/* Fills one batch: sets last, or a status with its error. Called by one thread at a time, in order. */
typedef void (*ap_batch_fill_fn)(void *context, ap_batch *batch);
typedef ap_status (*ap_batch_use_fn)(void *context, ap_batch *batch, ap_error *err);

/* Fills and uses batches to the last or to the first failure. `ahead`: in two threads, where a thread is to be had;
 * what fill and use both touch is then theirs to keep apart. */
AP_MUST_USE ap_status ap_batches_run(ap_batch_fill_fn fill, ap_batch_use_fn use, void *context, bool ahead,
                                     ap_error *err);

#endif
