/* Results of the general solver between the book and the reconstruction: read where there is one, written at the end of an import.
 *
 * Why only those: the closed form takes 0.7 us a pick, a kept row 2.3 us to read; the general solver takes some 240 us (measured
 * on one core of the machine it was written on). So the closed form is never kept. */
#ifndef AP_ANALYSIS_KEPT_RECON_H
#define AP_ANALYSIS_KEPT_RECON_H

#include "book/book.h"
#include "derive/reconstruct.h"

/* *out = what is kept of the pick; not present when nothing is, or when it does not want the general solver. */
AP_MUST_USE ap_status ap_kept_recon_read(ap_recon_kept *out, ap_book *book, const ap_pick *pick, ap_error *err);
/* Works out and keeps what is missing or of other inputs, of one import's picks (0: of all). One transaction; the book is open for
 * writing. *count gets how many rows were written. */
AP_MUST_USE ap_status ap_kept_recon_write(size_t *count, ap_book *book, const ap_company *company, int64_t import_id,
                                          ap_error *err);

#endif
