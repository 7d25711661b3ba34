#include "analysis/kept_recon.h"

#include "book/picks.h"
#include "book/reconstructions.h"

_Static_assert((int)AP_KEPT_VALUES == (int)AP_RECON_KEPT_VALUES, "the book keeps what the reconstruction gives");

ap_status ap_kept_recon_read(ap_recon_kept *out, ap_book *book, const ap_pick *pick, ap_error *err) {
    *out = (ap_recon_kept){0};
    if (!ap_recon_wants_solver(pick)) {
        return AP_OK;
    }
    return ap_book_reconstruction_get(&out->present, &out->fingerprint, out->values, book, pick->id, err);
}

typedef struct keeper {
    ap_book *book;
    const ap_company *company;
    size_t count;
} keeper;

static ap_status keep_one(void *context, const ap_pick *pick, ap_error *err) {
    keeper *it = context;
    ap_recon_kept kept;
    ap_recon recon;
    ap_derived derived;
    if (!ap_recon_wants_solver(pick)) {
        return AP_OK;
    }
    ap_status status = ap_kept_recon_read(&kept, it->book, pick, err);
    if (status != AP_OK) {
        return status;
    }
    ap_derive(&derived, pick, it->company);
    ap_recon_given given = AP_RECON_GIVEN(&derived, it->company);
    given.kept = &kept;
    ap_reconstruct(&recon, pick, &given);
    if (kept.fresh) {
        status = ap_book_reconstruction_put(it->book, pick->id, kept.fingerprint, kept.values, err);
        it->count += status == AP_OK;
    }
    return status;
}

ap_status ap_kept_recon_write(size_t *count, ap_book *book, const ap_company *company, int64_t import_id,
                              ap_error *err) {
    keeper it = {book, company, 0};
    const ap_pick_filter filter = {.since = AP_DATE_NONE, .until = AP_DATE_NONE, .import_id = import_id};
    *count = 0;
    ap_status status = ap_book_begin(book, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_each_pick(book, &filter, keep_one, &it, err);
    status = ap_book_end(book, status, err);
    if (status == AP_OK) {
        *count = it.count;
    }
    return status;
}
