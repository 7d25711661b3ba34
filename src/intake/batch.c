#include "intake/batch.h"

#include <pthread.h>

enum { BATCHES = 2, ARENA_MAX = 24 << 20 };

typedef struct turn {
    pthread_mutex_t lock;
    pthread_cond_t changed;
    ap_batch *batches[BATCHES];
    bool full[BATCHES];
    bool stop; /* the user of the batches has failed */
    ap_batch_fill_fn fill;
    void *context;
} turn;

/* A view into the row moves with it; a cell that was unquoted elsewhere is copied. */
static ap_str moved_cell(ap_batch *batch, ap_str cell, ap_str from, ap_str to) {
    const uintptr_t at = (uintptr_t)cell.ptr;
    const uintptr_t begin = (uintptr_t)from.ptr;
    if (cell.len == 0) {
        return (ap_str){"", 0};
    }
    if (from.ptr && at >= begin && at + cell.len <= begin + from.len) {
        return (ap_str){to.ptr + (at - begin), cell.len};
    }
    batch->bytes += cell.len;
    return ap_arena_str(&batch->arena, cell);
}

ap_batch_item *ap_batch_add(ap_batch *batch, const ap_row *row) {
    ap_batch_item *item = &batch->items[batch->count];
    ap_str *cells = ap_arena_alloc_array(&batch->arena, row->count + 1, sizeof *cells);
    item->row = *row;
    item->row.raw = ap_arena_str(&batch->arena, row->raw);
    if (!cells || batch->arena.failed) {
        return NULL;
    }
    for (size_t i = 0; i < row->count; i++) {
        cells[i] = moved_cell(batch, row->cells[i], row->raw, item->row.raw);
    }
    item->row.cells = cells;
    if (row->numbers) {
        bool *numbers = ap_arena_alloc_array(&batch->arena, row->count, sizeof *numbers);
        if (!numbers) {
            return NULL;
        }
        memcpy(numbers, row->numbers, row->count * sizeof *numbers);
        item->row.numbers = numbers;
    }
    batch->bytes += row->raw.len + row->count * sizeof *cells;
    if (batch->arena.failed) {
        return NULL;
    }
    ap_fault_clear(&item->fault);
    batch->count++;
    return item;
}

bool ap_batch_is_full(const ap_batch *batch) {
    return batch->count == AP_BATCH_ROWS || batch->bytes >= AP_BATCH_BYTES;
}

static ap_batch *batch_new(void) {
    ap_batch *batch = calloc(1, sizeof *batch);
    if (batch) {
        ap_arena_init(&batch->arena, ARENA_MAX);
    }
    return batch;
}

static void batch_free(ap_batch *batch) {
    if (batch) {
        ap_arena_release(&batch->arena);
        free(batch);
    }
}

static void batch_clear(ap_batch *batch) {
    ap_arena_clear(&batch->arena);
    batch->count = 0;
    batch->bytes = 0;
    batch->last = false;
    batch->status = AP_OK;
}

static ap_status use_batch(ap_batch_use_fn use, void *context, ap_batch *batch, ap_error *err) {
    const ap_status status = use(context, batch, err);
    if (status == AP_OK && batch->status != AP_OK) {
        return ap_error_set(err, batch->status, "%s", batch->error.text);
    }
    return status;
}

static ap_status run_in_turn(ap_batch *batch, ap_batch_fill_fn fill, ap_batch_use_fn use, void *context,
                             ap_error *err) {
    for (;;) {
        batch_clear(batch);
        fill(context, batch);
        const ap_status status = use_batch(use, context, batch, err);
        if (status != AP_OK || batch->last) {
            return status;
        }
    }
}

static void *fill_ahead(void *context) {
    turn *shared = context;
    for (size_t at = 0;; at = (at + 1) % BATCHES) {
        pthread_mutex_lock(&shared->lock);
        while (shared->full[at] && !shared->stop) {
            pthread_cond_wait(&shared->changed, &shared->lock);
        }
        const bool stop = shared->stop;
        pthread_mutex_unlock(&shared->lock);
        if (stop) {
            return NULL;
        }
        ap_batch *batch = shared->batches[at];
        batch_clear(batch);
        shared->fill(shared->context, batch);
        const bool end = batch->last || batch->status != AP_OK; /* read before the batch changes hands */
        pthread_mutex_lock(&shared->lock);
        shared->full[at] = true;
        pthread_cond_signal(&shared->changed);
        pthread_mutex_unlock(&shared->lock);
        if (end) {
            return NULL;
        }
    }
}

static ap_status use_in_turn(turn *shared, ap_batch_use_fn use, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t at = 0;; at = (at + 1) % BATCHES) {
        pthread_mutex_lock(&shared->lock);
        while (!shared->full[at]) {
            pthread_cond_wait(&shared->changed, &shared->lock);
        }
        pthread_mutex_unlock(&shared->lock);
        ap_batch *batch = shared->batches[at];
        status = use_batch(use, shared->context, batch, err);
        const bool end = status != AP_OK || batch->last;
        pthread_mutex_lock(&shared->lock);
        shared->full[at] = false;
        shared->stop = end;
        pthread_cond_signal(&shared->changed);
        pthread_mutex_unlock(&shared->lock);
        if (end) {
            return status;
        }
    }
}

ap_status ap_batches_run(ap_batch_fill_fn fill, ap_batch_use_fn use, void *context, bool ahead, ap_error *err) {
    turn shared = {.fill = fill, .context = context};
    pthread_t thread;
    ap_status status = AP_OK;
    for (size_t i = 0; i < BATCHES; i++) {
        shared.batches[i] = batch_new();
        if (!shared.batches[i]) {
            status = ap_error_set(err, AP_E_MEMORY, "out of memory for reading rows");
        }
    }
    if (status == AP_OK && ahead) {
        pthread_mutex_init(&shared.lock, NULL);
        pthread_cond_init(&shared.changed, NULL);
        ahead = pthread_create(&thread, NULL, fill_ahead, &shared) == 0;
        if (ahead) {
            status = use_in_turn(&shared, use, err);
            pthread_join(thread, NULL);
        }
        pthread_cond_destroy(&shared.changed);
        pthread_mutex_destroy(&shared.lock);
    }
    if (status == AP_OK && !ahead) {
        status = run_in_turn(shared.batches[0], fill, use, context, err);
    }
    for (size_t i = 0; i < BATCHES; i++) {
        batch_free(shared.batches[i]);
    }
    return status;
}
